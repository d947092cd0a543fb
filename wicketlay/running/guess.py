"""Top speed guessed from nothing but a height and a cadence, and how fast a level or age allows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.declared import range_of
from wicketlay.running.estimates import Estimate
from wicketlay.running.facts import FirstGuess, Sex
from wicketlay.running.gait import drill_cadence_ratio, speed_for_top_cadence
from wicketlay.running.notebook import Notebook, NotEnoughKnown, refuse_impossible
from wicketlay.sources import AGE_LEVELS, FAR_OVER_CAP_SHARE, LEVEL_CAPS, Standard
from wicketlay.values import dataclass

if TYPE_CHECKING:
    from wicketlay.findings import Value
    from wicketlay.running.facts import Athlete
    from wicketlay.sources import Judgement


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """A guessed top speed [m/s], the cadence it came from, and whether a cap stands in its way."""

    speed: Estimate
    seen: FirstGuess
    capped: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Cap:
    """How fast a level allows [m/s]; `age_years` is given where the age told the level."""

    level: Standard
    low_mps: float
    high_mps: float
    age_years: float | None

    @property
    def told(self) -> dict[str, Value]:
        """What tells the cap, for a finding."""
        if self.age_years is None:
            return {"level": self.level.value}
        return {"age": f"{int(self.age_years)}", "level": self.level.value}

    @property
    def by(self) -> str:
        """What tells it, in a word."""
        return "level" if self.age_years is None else "age"


def cap_of(athlete: Athlete, age_years: float | None) -> Cap | None:
    """Return how fast an athlete's level allows, else their age under 17; None when neither is.

    Of the two ends, women's and men's, both are kept where the sex is not known: the lower one
    caps a guess, since short gaps are the safe side, and the higher one judges a stated speed.
    """
    level = athlete.level
    by_age = None
    if level is None and age_years is not None:
        level = next((each for below, each in AGE_LEVELS if age_years < below), None)
        by_age = age_years
    if level is None:
        return None
    low, high = _ends(level, athlete.sex)
    return Cap(level=level, low_mps=low, high_mps=high, age_years=by_age)


def _ends(level: Standard, sex: Sex | None) -> tuple[float, float]:
    women, men = (float(cap) for cap in LEVEL_CAPS[level])
    known = {Sex.FEMALE: (women, women), Sex.MALE: (men, men)}
    return known.get(sex, (women, men)) if sex is not None else (women, men)


def caution_far_over(cap: Cap | None, speed: Estimate, book: Notebook) -> None:
    """Write a caution when a top speed that is no guess lies far above what the cap allows."""
    if cap is not None and speed.value > cap.high_mps * (1.0 + FAR_OVER_CAP_SHARE):
        book.caution(
            f"top-speed-over-{cap.by}",
            top_mps=speed.value,
            basis=speed.basis,
            cap_mps=cap.high_mps,
            **cap.told,
        )


def guessed_speed(
    athlete: Athlete,
    leg: Estimate,
    cadence_hz: float | None,
    speed_share: float,
    *,
    age_years: float | None,
    judgement: Judgement,
    book: Notebook,
) -> Guess:
    """Return the top speed guessed from height and a cadence seen in a section.

    Cadence over max(s^0.88, 0.90) is the top cadence, and leg and top cadence give the speed.
    Held in `first_guess`, the guess stays when the drill's cadence is changed; else cadence and
    speed share asked of the section give it.
    """
    seen = athlete.first_guess or _asked(cadence_hz, speed_share, book)
    top_hz = seen.cadence_hz / drill_cadence_ratio(seen.speed_share, judgement)
    speed = speed_for_top_cadence(leg.value, top_hz)
    basis = "height and cadence"
    refuse_impossible(speed, basis, book)
    cap = cap_of(athlete, age_years)
    capped = cap is not None and speed > cap.low_mps
    if cap is not None and capped:
        code = "guess-capped" if cap.by == "level" else "guess-capped-by-age"
        book.note(code, guessed_mps=speed, cap_mps=cap.low_mps, **cap.told)
        speed, basis = cap.low_mps, f"{basis}, capped by {cap.by}"
    elif cap is None:
        if athlete.born is not None and age_years is None:
            book.caution("guess-age-unknown", born=athlete.born.isoformat())
        club = _ends(Standard.CLUB, athlete.sex)[1]
        if speed > club:
            book.caution("guess-over-club", guessed_mps=speed, club_mps=club)
    sd = float(judgement.height_only_sd) * speed
    book.note(
        "top-speed-guessed" if athlete.first_guess is None else "top-speed-from-first-guess",
        top_mps=speed,
        sd_mps=sd,
        cadence_hz=seen.cadence_hz,
        speed_share=seen.speed_share,
    )
    return Guess(speed=Estimate(value=speed, sd=sd, basis=basis), seen=seen, capped=capped)


def _asked(cadence_hz: float | None, speed_share: float, book: Notebook) -> FirstGuess:
    """Return cadence and share of a drill as what a guess is made from."""
    if cadence_hz is None:
        raise book.stop("top-speed-unknown")
    for what, unit, key, value in (
        ("cadence", "hz", "cadence_hz", cadence_hz),
        ("share", "share", "speed_share", speed_share),
    ):
        low, high = range_of(FirstGuess, key)
        if not low <= value <= high:
            raise book.stop(
                f"guess-{what}-out-of-range",
                **{f"asked_{unit}": value, f"low_{unit}": low, f"high_{unit}": high},
            )
    return FirstGuess(cadence_hz=cadence_hz, speed_share=speed_share)


def frozen_guess(
    athlete: Athlete, leg: Estimate, age_years: float | None, judgement: Judgement
) -> Estimate | None:
    """Return the guess that runs over marks began from, None when it is not on record."""
    if athlete.first_guess is None:
        return None
    book = Notebook(athlete)
    try:
        guess = guessed_speed(
            athlete, leg, None, 1.0, age_years=age_years, judgement=judgement, book=book
        )
    except NotEnoughKnown:
        return None
    return guess.speed
