"""How long an athlete's step is and how quick, at top speed and below it.

With L the height of the trochanter (hip) and v the top speed::

    step_top    = 1.41 L (v / sqrt(g L))^0.45          cadence_top = v / step_top
    held at s   : step = step_top s^0.12               cadence = cadence_top s^0.88
    in a drill  : cadence = cadence_top max(s^0.88, 0.90)
"""

from __future__ import annotations

import math

from wicketlay.errors import require_positive
from wicketlay.running.estimates import Estimate
from wicketlay.running.facts import Sex, is_child
from wicketlay.sources import (
    ADULT_HEIGHTS_M,
    CHILD_BELOW_YEARS,
    DEFAULTS,
    GRAVITY,
    HELD_CADENCE_EXPONENT,
    HELD_STEP_EXPONENT,
    LEG_MEN_OFFSET_M,
    LEG_MEN_SEE_M,
    LEG_MEN_SLOPE,
    LEG_RATIO_SD,
    LEG_WOMEN_OFFSET_M,
    LEG_WOMEN_SEE_M,
    LEG_WOMEN_SLOPE,
    SLOW_BELOW_MPS,
    STEP_FACTOR,
    STEP_SPEED_EXPONENT,
    Judgement,
)
from wicketlay.values import dataclass


def leg_length_m(
    height_m: float,
    sex: Sex | None = None,
    age_years: float | None = None,
    *,
    judgement: Judgement = DEFAULTS,
) -> float:
    """Return the height of the trochanter [m] estimated from stature.

    Parameters
    ----------
    height_m
        Stature [m].
    sex
        With it, adults of 1.5 to 2.0 m get a regression.
    age_years
        Under 16 years the child's share of height is used; None counts as adult.

    Returns
    -------
    float
        Trochanter height L [m].

    Raises
    ------
    DomainError
        When the height is not above 0.

    References
    ----------
    ANSUR II, US Army 2012, public data, recomputed. The shares of height are our judgement.
    """
    require_positive("height", height_m, "m")
    if is_child(age_years, CHILD_BELOW_YEARS):
        return float(judgement.leg_share_under_16) * height_m
    if not _regressed(height_m, sex, age_years):
        return float(judgement.leg_share_adult) * height_m
    if sex is Sex.MALE:
        return float(LEG_MEN_SLOPE * height_m + LEG_MEN_OFFSET_M)
    return float(LEG_WOMEN_SLOPE * height_m + LEG_WOMEN_OFFSET_M)


def _regressed(height_m: float, sex: Sex | None, age_years: float | None) -> bool:
    """Return whether the leg comes from a regression on adults of that sex."""
    adult = not is_child(age_years, CHILD_BELOW_YEARS)
    return adult and sex is not None and ADULT_HEIGHTS_M[0] <= height_m <= ADULT_HEIGHTS_M[1]


def leg_sd_m(height_m: float, sex: Sex | None, age_years: float | None) -> float:
    """Return one SD [m] of the leg estimated by `leg_length_m`."""
    if not _regressed(height_m, sex, age_years):
        return float(LEG_RATIO_SD * height_m)
    return float(LEG_MEN_SEE_M if sex is Sex.MALE else LEG_WOMEN_SEE_M)


def top_step_m(leg_m: float, top_speed_mps: float) -> float:
    """Return the step [m] at top speed, 1.41 L (v / sqrt(g L))^0.45.

    Parameters
    ----------
    leg_m
        Trochanter height L [m], above 0.
    top_speed_mps
        Top speed v [m/s], above 0.

    References
    ----------
    Exponent: Weyand & Davis 2005, J Exp Biol 208:2625, Fig. 1. Factor: fitted to group means of
    Ito et al. 2007, Taylor & Beneke 2012, Debaere et al. 2013. One SD is 4.0 % with a measured
    leg, 4.6 % with an estimated one, more below 7 m/s.
    """
    require_positive("leg", leg_m, "m")
    require_positive("top speed", top_speed_mps, "m/s")
    froude = top_speed_mps / math.sqrt(GRAVITY * leg_m)
    return float(STEP_FACTOR * leg_m * froude**STEP_SPEED_EXPONENT)


def speed_for_top_cadence(leg_m: float, cadence_hz: float) -> float:
    """Return the top speed [m/s] at which `top_step_m` gives the cadence.

    Parameters
    ----------
    leg_m
        Trochanter height L [m], above 0.
    cadence_hz
        Cadence at top speed [steps/s], above 0.
    """
    require_positive("leg", leg_m, "m")
    require_positive("cadence", cadence_hz, "steps/s")
    rest = 1.0 - STEP_SPEED_EXPONENT
    # v = cadence 1.41 L (v / sqrt(g L))^0.45, solved for v
    scale = STEP_FACTOR * leg_m * (GRAVITY * leg_m) ** (-0.5 * STEP_SPEED_EXPONENT)
    return float((cadence_hz * scale) ** (1.0 / rest))


def held_step_ratio(share: float) -> float:
    """Return the step held at a share of top speed over the step at top speed, s^0.12.

    References
    ----------
    Dorn, Schache & Pandy 2012, J Exp Biol 215:1944, Fig. 2; shares of about 0.78 to 1.
    """
    require_positive("speed share", share, "")
    return float(share**HELD_STEP_EXPONENT)


def held_cadence_ratio(share: float) -> float:
    """Return the cadence held at a share of top speed over the top cadence, s^0.88."""
    require_positive("speed share", share, "")
    return float(share**HELD_CADENCE_EXPONENT)


def drill_cadence_ratio(share: float, judgement: Judgement = DEFAULTS) -> float:
    """Return the natural cadence in a drill over the top cadence, max(s^0.88, 0.90).

    The floor is our judgement: free running that slow would be bounding between wickets.
    """
    return max(held_cadence_ratio(share), float(judgement.cadence_floor))


def prior_step(
    leg: Estimate, top_speed_mps: float, *, measured: bool, judgement: Judgement = DEFAULTS
) -> Estimate:
    """Return the step at top speed that leg and speed let expect, before any steps are counted.

    Its SD is the one between people of that leg and speed; the error of the speed is kept
    beside it, in the runner.
    """
    if top_speed_mps < SLOW_BELOW_MPS:
        sd = judgement.step_sd_measured_slow if measured else judgement.step_sd_estimated_slow
    else:
        sd = judgement.step_sd_measured if measured else judgement.step_sd_estimated
    step = top_step_m(leg.value, top_speed_mps)
    return Estimate(value=step, sd=step * float(sd), basis=leg.basis)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gait:
    """An athlete's leg, and step and cadence at top speed, as estimates.

    Parameters
    ----------
    leg
        Trochanter height [m].
    top_step
        Step at top speed [m].
    top_cadence
        Cadence at top speed [steps/s]; times the step it gives the top speed.
    """

    leg: Estimate
    top_step: Estimate
    top_cadence: Estimate

    def free_cadence_hz(self, share: float) -> float:
        """Return the cadence [steps/s] of free running held at a share of top speed."""
        return self.top_cadence.value * held_cadence_ratio(share)

    def natural_cadence_hz(self, share: float, judgement: Judgement = DEFAULTS) -> float:
        """Return the natural cadence [steps/s] in a drill at a share of top speed, with floor."""
        return self.top_cadence.value * drill_cadence_ratio(share, judgement)
