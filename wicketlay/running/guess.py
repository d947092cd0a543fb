"""Top speed guessed from nothing but a height and the cadence asked of a drill."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.declared import range_of
from wicketlay.running.estimates import Estimate
from wicketlay.running.facts import FirstGuess, Sex
from wicketlay.running.gait import drill_cadence_ratio, speed_for_top_cadence
from wicketlay.running.notebook import Notebook, NotEnoughKnown, refuse_impossible
from wicketlay.sources import LEVEL_CAPS, Level

if TYPE_CHECKING:
    from wicketlay.running.facts import Athlete
    from wicketlay.sources import Judgement


def guessed_speed(
    athlete: Athlete,
    leg: Estimate,
    cadence_hz: float | None,
    speed_share: float,
    *,
    judgement: Judgement,
    book: Notebook,
) -> Estimate:
    """Return the top speed guessed from height and the cadence asked of the section.

    Cadence over max(s^0.88, 0.90) is the top cadence, and leg and top cadence give the speed.
    Held in `first_guess`, the guess stays when the drill's cadence is changed.
    """
    frozen = athlete.first_guess
    if frozen is not None:
        cadence, share = frozen.cadence_hz, frozen.speed_share
    elif cadence_hz is not None:
        cadence, share = cadence_hz, speed_share
    else:
        raise book.stop("top-speed-unknown")
    for what, unit, key, value in (
        ("cadence", "hz", "cadence_hz", cadence),
        ("share", "share", "speed_share", share),
    ):
        low, high = range_of(FirstGuess, key)
        if not low <= value <= high:
            raise book.stop(
                f"guess-{what}-out-of-range",
                **{f"asked_{unit}": value, f"low_{unit}": low, f"high_{unit}": high},
            )
    speed = speed_for_top_cadence(leg.value, cadence / drill_cadence_ratio(share, judgement))
    basis = "height and cadence"
    refuse_impossible(speed, basis, book)
    if athlete.level is not None:
        women, men = LEVEL_CAPS[athlete.level]
        # sex not known: the lower cap, since short gaps are the safe side
        cap = {Sex.FEMALE: float(women), Sex.MALE: float(men), None: min(women, men)}[athlete.sex]
        if speed > cap:
            book.note(
                "guess-capped", guessed_mps=speed, cap_mps=float(cap), level=athlete.level.value
            )
            speed, basis = float(cap), f"{basis}, capped by level"
    else:
        women, men = LEVEL_CAPS[Level.CLUB]
        club = {Sex.FEMALE: float(women), Sex.MALE: float(men), None: float(men)}[athlete.sex]
        if speed > club:
            book.caution("guess-over-club", guessed_mps=speed, club_mps=club)
    sd = float(judgement.height_only_sd) * speed
    book.note(
        "top-speed-guessed" if frozen is None else "top-speed-from-first-guess",
        top_mps=speed,
        sd_mps=sd,
        cadence_hz=cadence,
        speed_share=share,
    )
    return Estimate(value=speed, sd=sd, basis=basis)


def frozen_guess(athlete: Athlete, leg: Estimate, judgement: Judgement) -> Estimate | None:
    """Return the guess that runs over marks began from, None when it is not on record."""
    if athlete.first_guess is None:
        return None
    try:
        return guessed_speed(athlete, leg, None, 1.0, judgement=judgement, book=Notebook(athlete))
    except NotEnoughKnown:
        return None
