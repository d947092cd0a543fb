"""Every constant of the computation, once, with its unit, basis and source.

The basis of a constant is one of

P  published: a figure read in, or quoted from, the named publication
C  common practice of the trade, no source
J  our judgement; one called editable may be changed in the plan file under ``[judgement]``
D  derived here from published figures
"""

from __future__ import annotations

from dataclasses import Field, field, fields
from enum import StrEnum
from typing import Any, Self

from wicketlay.errors import DomainError
from wicketlay.values import dataclass


class Basis(StrEnum):
    """Where a constant comes from."""

    PUBLISHED = "P"
    COMMON_PRACTICE = "C"
    JUDGEMENT = "J"
    DERIVED = "D"


class Constant(float):
    """A number that knows its unit, what it means and where it is from.

    Parameters
    ----------
    value
        The number, in `unit`.
    unit
        The unit as text, "1" for a pure number.
    basis
        Published, common practice, judgement or derived.
    meaning
        One line for people.
    source
        The publication, or how it was derived.
    """

    __slots__ = ("basis", "meaning", "source", "unit")

    def __new__(cls, value: float, unit: str, basis: Basis, meaning: str, source: str = "") -> Self:
        """Make the number and hang its provenance on it."""
        made = super().__new__(cls, value)
        made.unit = unit
        made.basis = basis
        made.meaning = meaning
        made.source = source
        return made

    unit: str
    basis: Basis
    meaning: str
    source: str


P, C, J, D = Basis.PUBLISHED, Basis.COMMON_PRACTICE, Basis.JUDGEMENT, Basis.DERIVED

_DORN = "Dorn, Schache & Pandy 2012, J Exp Biol 215:1944, Fig. 2"
_HASE = "Hase, Nakagawa & Iso 2025, PLoS ONE 20(3) e0319738, 22 pupils (abstract)"
_ITO = "Ito, Fukuda & Kijima, 2007 World Championships 100 m finalists (abstract)"
_ANSUR = "ANSUR II, US Army 2012, public data, recomputed"
_JOVANOVIC = "Jovanovic, corrections in sprint modelling (article)"
_HAUGEN_STARTS = "Haugen, Tonnessen & Seiler 2012, J Strength Cond Res 26:473 (abstract)"
_MUREIKA = (
    "Mureika 2001, arXiv physics/0006057; coefficients from memory, checked against his table"
)
_SPRINT_REVIEW = "review entry on the sprint start (second-hand)"

GUIDE_FAST_HZ = Constant(
    4.16,
    "steps/s",
    P,
    "a sound at this rate (SD 0.29) raised the step rate and shortened the steps of 40 m sprints",
    _HASE,
)
GUIDE_SLOW_HZ = Constant(
    3.40,
    "steps/s",
    P,
    "a sound at this rate (SD 0.24) lowered the step rate and lengthened the steps",
    _HASE,
)
GRAVITY = Constant(9.81, "m/s2", P, "gravity", "rounded standard value")

AIR_DRAG_SHARE = Constant(
    0.03,
    "1",
    P,
    "share of a sprint's speed that still air at sea level takes; of height: Linthorne's estimate "
    "of 1994 is 0.07 s over 100 m at 2250 m as ours is, his statistics of 2016 (Sports 4(2):29) "
    "tell 0.19 s, and the two are not reconciled",
    _MUREIKA,
)
AIR_SLOWEST_MPS = Constant(
    5.0, "m/s", J, "slower runs take the ratio of wind to this speed: the correction is of sprints"
)
AIR_THINNING_PER_M = Constant(
    0.000125, "1/m", P, "air density falls by e^(-0.000125 H) with height H", _MUREIKA
)
STEP_FACTOR = Constant(
    1.41,
    "1",
    D,
    "step at top speed = 1.41 L (v / sqrt(g L))^0.45",
    "fitted to Ito et al. 2007, Taylor & Beneke 2012 and Debaere et al. 2013 group means",
)
STEP_SPEED_EXPONENT = Constant(
    0.45,
    "1",
    D,
    "how the step at top speed grows with top speed, between athletes",
    "Weyand & Davis 2005, J Exp Biol 208:2625, Fig. 1 (stance force against speed)",
)
HELD_STEP_EXPONENT = Constant(
    0.12, "1", P, "step at a held share s of top speed = step_top s^0.12 (band 0 to 0.25)", _DORN
)
HELD_CADENCE_EXPONENT = Constant(
    0.88, "1", P, "cadence at a held share s of top speed = cadence_top s^0.88", _DORN
)
FOOT_AHEAD_M = Constant(0.31, "m", P, "toe ahead of the body's centre at touchdown", _ITO)
CADENCE_RAMP = (
    Constant(0.80, "1", P, "cadence at step 1 as a share of full", _SPRINT_REVIEW),
    Constant(0.85, "1", D, "cadence at step 2 as a share of full", "between steps 1 and 3"),
    Constant(0.90, "1", P, "cadence at step 3 as a share of full", _SPRINT_REVIEW),
    Constant(0.933, "1", D, "cadence at step 4 as a share of full", "between steps 3 and 6"),
    Constant(0.967, "1", D, "cadence at step 5 as a share of full", "between steps 3 and 6"),
)
MOVING_CADENCE_RAMP = tuple(
    Constant(
        share, "1", J, f"cadence at step {step} of a run that comes in moving, as a share of full"
    )
    for step, share in ((1, 0.90), (2, 0.95))
)
LEG_MEN_SLOPE = Constant(
    0.6098, "1", P, "trochanter height, men = 0.6098 S - 0.1699 m (S 1.5 to 2.0 m)", _ANSUR
)
LEG_MEN_OFFSET_M = Constant(-0.1699, "m", P, "trochanter height, men, offset", _ANSUR)
LEG_WOMEN_SLOPE = Constant(
    0.5970, "1", P, "trochanter height, women = 0.5970 S - 0.1269 m (S 1.5 to 2.0 m)", _ANSUR
)
LEG_WOMEN_OFFSET_M = Constant(-0.1269, "m", P, "trochanter height, women, offset", _ANSUR)
LEG_MEN_SEE_M = Constant(0.026, "m", P, "standard error of that estimate, men", _ANSUR)
LEG_WOMEN_SEE_M = Constant(0.023, "m", P, "standard error of that estimate, women", _ANSUR)
LEG_RATIO_SD = Constant(0.015, "1", P, "SD of leg over height between people", _ANSUR)
GATE_SHIFT_S = Constant(
    0.30, "s", P, "time added when a beam started the clock and it cannot be fitted", _JOVANOVIC
)
CONTACT_SD_FRAMES = Constant(
    0.71,
    "frames",
    D,
    "error of one touchdown read in a video",
    "a time of one frame from end to end has two of them in it: 1 / sqrt(2)",
)
FOLLOW_SDS = Constant(2.0, "SD", J, "marks follow a top speed that lies farther off, either way")
FOLLOW_TREND_SDS = Constant(0.4, "SD", J, "the same along a trend, where the effort was told")
FOLLOW_UNTOLD_SDS = Constant(3.0, "SD", J, "the same for opening, where nobody told the effort")
EFFORT_FROM_SDS = Constant(
    2.2, "SD", J, "farther off, a run over marks of untold effort is put down to effort"
)
SLOW_DOWN_REACTION_S = Constant(1.0, "s", J, "from the last mark to where slowing down begins")
SLOW_DOWN_BRAKING_MPS2 = Constant(2.0, "m/s2", J, "even braking in the slow-down that is wanted")
LEAST_UNSURE_SHARE = Constant(
    0.1,
    "1",
    J,
    "what is left of a speed or a step two SDs down, however unsure somebody is of it: below it "
    "no run is meant, and a share of 0 or less has no time",
)
FIRST_CORRECTION_SDS = Constant(
    2.0, "SD", J, "how far the reviews of a first estimate may open it, in SDs of that estimate"
)
HAND_RELEASE_TO_GUN_S = Constant(
    0.17,
    "s",
    P,
    "time from the gun of a block start over time from the hand's release",
    _HAUGEN_STARTS,
)
FOOT_RELEASE_TO_GUN_S = Constant(
    0.69,
    "s",
    P,
    "time from the gun of a block start over time from the foot's release",
    _HAUGEN_STARTS,
)
BETWEEN_DAY_STEP_SD = Constant(
    0.035,
    "1",
    P,
    "between-day variation of an athlete's step length, as a share",
    "Girard et al. 2016, IJSPP 11:432 (abstract)",
)
BETWEEN_DAY_STEP_SD_UNDER_18 = Constant(
    0.044,
    "1",
    D,
    "the same under 18 years",
    "middle of the 3.8 to 5.0 % of boys, Meyers et al. 2015 (abstract)",
)
FASTEST_TOP_SPEED_MPS = Constant(
    12.4,
    "m/s",
    P,
    "top speed above which a figure is refused as faster than anyone",
    "Taylor & Beneke 2012, Int J Sports Med 33:667, 12.3 m/s (abstract)",
)
CAUTION_WICKET_HEIGHT_M = Constant(
    0.20,
    "m",
    P,
    "hurdle height from which the run itself changes",
    "Makaruk 2021, Theory Pract Phys Cult (2):19 (abstract, direction only)",
)
PENULTIMATE_RATIO = Constant(
    1.122,
    "1",
    P,
    "penultimate step over last step of a long jump approach (women indoors)",
    "Panoutsakopoulos et al. 2021, J Hum Sport Exerc 16(Proc3) (abstract)",
)
STEEL_EXPANSION_PER_C = Constant(
    1.16e-5,
    "1/degC",
    P,
    "thermal expansion of a steel tape",
    "6.45e-6 per degF, road-measuring form",
)
STEEL_REFERENCE_C = Constant(
    20.0, "degC", P, "temperature a steel tape is true at", "68 degF, road-measuring form"
)
LONG_SPRINT_RECOVERY_FROM = Constant(
    0.97,
    "1",
    J,
    "speed share from which recovery is a minute per 10 m",
    "Haugen et al. 2019, Sports Med Open 5:44, Table 2: 4 to 15 min above 98 %",
)


_TRAINING = "Haugen, Seiler, Sandbakk & Tonnessen 2019, Sports Med Open 5:44, Table 2"


def _published(low: float, high: float, unit: str, meaning: str) -> tuple[Constant, Constant]:
    """Return both ends of a range from that table."""
    return (
        Constant(low, unit, P, f"{meaning}, from", _TRAINING),
        Constant(high, unit, P, f"{meaning}, to", _TRAINING),
    )


MAX_VELOCITY_FROM = Constant(
    0.98, "1", P, "speed share from which running is maximal-velocity work", _TRAINING
)
TRAINING_RANGES: dict[str, tuple[Constant, Constant]] = {
    "max_velocity_zone_m": _published(10, 30, "m", "maximal velocity: zone"),
    "max_velocity_run_on_m": _published(20, 40, "m", "maximal velocity: run-on"),
    "max_velocity_recovery_s": _published(240, 900, "s", "maximal velocity: recovery"),
    "max_velocity_session_m": _published(50, 150, "m", "maximal velocity: session, in the zone"),
    "max_velocity_rest_h": _published(48, 72, "h", "maximal velocity: to the next hard session"),
    "acceleration_run_m": _published(10, 50, "m", "acceleration: run"),
    "acceleration_recovery_s": _published(120, 420, "s", "acceleration: recovery"),
    "acceleration_session_m": _published(100, 300, "m", "acceleration: session"),
    "speed_endurance_run_m": _published(60, 80, "m", "speed endurance: run"),
    "speed_endurance_share": _published(0.90, 0.95, "1", "speed endurance: speed share"),
    "speed_endurance_recovery_s": _published(120, 240, "s", "speed endurance: recovery"),
    "speed_endurance_session_m": _published(600, 2000, "m", "speed endurance: session"),
}
"""Published ranges of sprint training, (low, high) each."""
LONGEST_SPRINT_M = Constant(60.0, "m", C, "sprint work is mostly up to this run")
MOST_SPRINT_M = Constant(400.0, "m", C, "sprint metres of a session, at most (10 runs of 40 m)")


_RULES = "World Athletics rules (second-hand)"
_FACILITIES = "facilities manual (second-hand)"
_MARKING = "World Athletics track marking plan (second-hand)"
_HURDLES = "World Athletics rules, hurdle spacing tables"
_RULE_29 = "World Athletics rules 29.1 to 29.4 (2022); NIDE athletics sheets"

RUN_LINE_FROM_KERB_M = Constant(0.30, "m", P, "run line outside a raised kerb", _MARKING)
RUN_LINE_FROM_PAINT_M = Constant(
    0.20, "m", P, "run line outside a painted line (no kerb, and lanes 2 and up)", _MARKING
)
KERB_RADIUS_M = Constant(36.50, "m", P, "kerb radius of the standard 400 m track", _MARKING)
STRAIGHT_M = Constant(84.39, "m", P, "straight of the standard 400 m track", _MARKING)
LANE_WIDTH_M = Constant(1.22, "m", P, "lane width, right-hand line included", _RULES)
LINE_WIDTH_M = Constant(0.05, "m", P, "width of a lane line", _RULES)
BEHIND_START_M = Constant(
    3.0, "m", P, "free length behind the 110 m start of a standard track", _FACILITIES
)
BEYOND_FINISH_M = Constant(
    17.0, "m", P, "free length beyond the finish of a standard track", _FACILITIES
)
RELAY_ZONE_BEFORE_M = Constant(
    20.0, "m", P, "takeover zone of the 4 x 100 m relay before the scratch line", _RULES
)
RELAY_ZONE_AFTER_M = Constant(
    10.0, "m", P, "takeover zone of the 4 x 100 m relay after the scratch line", _RULES
)
HURDLES_100_M = tuple(
    Constant(value, "m", P, f"100 m hurdles, {what}", _HURDLES)
    for value, what in ((13.00, "start to first"), (8.50, "between"), (10.50, "last to finish"))
)
HURDLES_110_M = tuple(
    Constant(value, "m", P, f"110 m hurdles, {what}", _HURDLES)
    for value, what in ((13.72, "start to first"), (9.14, "between"), (14.02, "last to finish"))
)
HURDLES_400_M = tuple(
    Constant(value, "m", P, f"400 m hurdles, {what}", _HURDLES)
    for value, what in ((45.0, "start to first"), (35.0, "between"), (40.0, "last to finish"))
)
RUNWAY_LENGTH_M = Constant(40.0, "m", P, "runway, at least (45 where possible)", _RULE_29)
RUNWAY_WIDTH_TOLERANCE_M = Constant(0.01, "m", P, "runway and lane width, plus or minus", _RULE_29)
BOARD_LENGTH_M = Constant(0.20, "m", P, "take-off board along the runway", _RULE_29)
PIT_WIDTH_LEAST_M = Constant(2.75, "m", P, "landing area width, at least", _RULE_29)
PIT_WIDTH_MOST_M = Constant(3.00, "m", P, "landing area width, at most", _RULE_29)
LONG_TO_PIT_LEAST_M = Constant(1.0, "m", P, "long jump, line to pit, at least", _RULE_29)
LONG_TO_PIT_MOST_M = Constant(3.0, "m", P, "long jump, line to pit, at most", _RULE_29)
LONG_TO_FAR_END_M = Constant(10.0, "m", P, "long jump, line to far end of pit, at least", _RULE_29)
TRIPLE_TO_PIT_WOMEN_M = Constant(
    11.0, "m", P, "triple jump, line to pit, at least, women", _RULE_29
)
TRIPLE_TO_PIT_MEN_M = Constant(13.0, "m", P, "triple jump, line to pit, at least, men", _RULE_29)
TRIPLE_TO_FAR_END_M = Constant(
    21.0, "m", P, "triple jump, line to far end of pit, at least", _RULE_29
)
FREE_BAND_M = Constant(1.50, "m", P, "free band beside a runway", _RULE_29)
COMPETITION_MARKERS = Constant(
    2,
    "1",
    P,
    "markers an athlete may put beside a runway in competition, at most",
    "World Athletics rule 180.3 (2016-17)",
)
ADULT_HEIGHTS_M = tuple(
    Constant(value, "m", J, f"heights for which the leg regressions hold, {end}")
    for value, end in ((1.5, "from"), (2.0, "to"))
)
CHILD_BELOW_YEARS = Constant(16.0, "years", J, "age below which a leg is a child's share of height")
CAUTIOUS_BELOW_YEARS = Constant(15.0, "years", C, "age below which an athlete is named as a child")
SLOW_BELOW_MPS = Constant(7.0, "m/s", J, "top speed below which the step estimate is less sure")
DISAGREE_SDS = Constant(2.0, "SD", J, "two estimates farther apart than this are reported")
TIGHT_ROOM_M = Constant(1.0, "m", J, "less room than this behind a start is only just enough")
FEWEST_TO_TIME = Constant(
    6, "1", J, "fewer wickets than this are passed too quickly to time by hand"
)
USUAL_GAPS_M = tuple(
    Constant(value, "m", J, f"a gap outside is hardly a running step, {end}")
    for value, end in ((1.0, "from"), (2.8, "to"))
)
BESIDE_LANE_M = Constant(3.0, "m", J, "what stands no farther beside a lane is drawn with it")
FEWEST_WICKETS_LEFT = Constant(
    4, "1", C, "fewer wickets than this are not proposed for want of room"
)
SLOWEST_PROPOSED_SHARE = Constant(
    0.75, "1", J, "a slower run than this share of top speed is not proposed for want of room"
)
USUAL_RUN_ON_STEPS = Constant(
    6, "1", J, "with fewer run-on steps to a take-off wickets are left out, then free steps"
)
FOOT_AT_BOARD_SD_M = Constant(
    0.08,
    "m",
    P,
    "one SD of a skilled jumper's foot at the take-off line; nobody is taken for steadier",
    "Lee, Lishman & Thomson 1982, J Exp Psychol HPP 8:448, three women (from memory)",
)
BOARD_SD_RUNS = Constant(
    4, "runs", J, "what is expected of that SD weighs as much as so many runs of one's own"
)
LONG_SLIDE_M = Constant(
    1.0, "m", J, "a take-off run moved by more is more likely a slip than a missed board"
)
EASY_BELOW_SHARE = Constant(0.95, "1", C, "speed share below which the shorter recoveries hold")
SLOW_MEAN_MPS = Constant(6.0, "m/s", J, "mean speed given to a run without an expected time")
LONG_WAIT_RATIO = Constant(2.0, "1", J, "a wait is long from so many recoveries, muscles cool")
LONG_WAIT_S = Constant(480.0, "s", J, "and no wait is long below this")
USUAL_SHARE = Constant(
    0.95,
    "1",
    J,
    "speed share of wickets, of a cadence that was seen and of a step that is shown, when not said",
)
SAME_RHYTHM_SHARE = Constant(
    0.015, "1", J, "a cadence changed by less is the same rhythm to an athlete"
)
ONE_STEP_SHARE = Constant(
    0.01, "1", J, "a step seen and one expected that differ by no more are told as one"
)
COARSE_SPEED_SHARE = Constant(
    0.03, "1", J, "a speed known no better than this cannot steer gaps by itself"
)
UNLIKELY_SHARE = Constant(
    0.12, "1", J, "a time farther from the expected one is asked about before it is written"
)
FAR_OFF_SHARE = Constant(
    0.25, "1", J, "a time farther from the expected one cannot be right, and says nothing else"
)
FAR_OVER_CAP_SHARE = Constant(
    0.05, "1", J, "a stated top speed farther over the cap of age or level is a caution"
)
APART_SDS = Constant(4.0, "SD", J, "times of one athlete farther apart hold a slip of the watch")
START_TOLD_M = Constant(
    0.05, "m", J, "a start mark that moves less is not told: nobody sets a foot to that"
)
FOLLOWED_WITHIN_DAYS = Constant(
    6, "days", J, "what marks do not follow within so many more days they are not said to follow"
)
GAP_NOTCH_SHARE = Constant(0.02, "1", J, "one notch of the gaps")
OBSTACLE_CLEARANCE_M = Constant(
    0.5, "m", J, "free band round an obstacle, unless the ground says otherwise"
)
CORNERS_APART_M = Constant(
    0.001, "m", J, "nearer than this a corner of an outline touches another side of it"
)
REAR_FOOT_M = Constant(
    1.0, "m", J, "free behind the start mark before a wall, for the rear foot and the hands"
)
TAPE_CLASS_MM = {
    name: tuple(
        Constant(
            value,
            unit,
            P,
            f"error of a tape of class {name}, {what}",
            "EU 2014/32 Annex X; UK SI 2016/1153 Sch. 1I",
        )
        for value, unit, what in zip(
            pair, ("mm", "mm/m"), ("fixed part", "per metre begun"), strict=True
        )
    )
    for name, pair in {"I": (0.1, 0.1), "II": (0.3, 0.2), "III": (0.6, 0.4)}.items()
}


def _judged(
    value: float, low: float, high: float, unit: str, meaning: str, basis: Basis = J
) -> Any:  # noqa: ANN401 - dataclasses.field is typed as the field it stands for
    """Return a field with this default that takes values from `low` to `high`."""
    default = Constant(value, unit, basis, meaning, "editable")
    return field(default=default, metadata={"low": low, "high": high})


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """The constants that rest on judgement or common practice; a plan may change each.

    Every field has a range outside which the value is refused.

    Raises
    ------
    DomainError
        When a value is not a number inside its range.
    """

    entry_share: float = _judged(
        0.95, 0.80, 0.995, "1", "speed at the last landing before W1, of the speed built towards"
    )
    entry_share_even: float = _judged(0.98, 0.80, 0.998, "1", "the same when all gaps are even")
    beyond_share: float = _judged(
        0.5, 0.2, 0.8, "1", "share of the step that lies beyond the wicket"
    )
    push_off_s: float = _judged(
        0.10, 0.0, 0.4, "s", "push-off before the first step, standing start"
    )
    reaction_s: float = _judged(0.15, 0.05, 0.5, "s", "reaction time to a gun when none is given")
    time_constant_s: float = _judged(1.1, 0.5, 2.0, "s", "tau when no splits are known")
    time_constant_sd_s: float = _judged(0.2, 0.0, 0.6, "s", "band of an assumed tau, plus or minus")
    cadence_floor: float = _judged(
        0.90, 0.6, 1.0, "1", "least natural cadence in a drill, of top cadence"
    )
    walk_in_mps: float = _judged(1.5, 0.5, 2.5, "m/s", "speed at the start mark, walk-in")
    jog_in_mps: float = _judged(3.0, 1.5, 5.0, "m/s", "speed at the start mark, jog-in")
    walk_in_m: float = _judged(4.0, 0.0, 20.0, "m", "room for the walk before the start mark")
    jog_in_m: float = _judged(8.0, 0.0, 30.0, "m", "room for the jog before the start mark")
    leg_share_adult: float = _judged(
        0.515, 0.45, 0.58, "1", "leg over height, sex not given or height out"
    )
    leg_share_under_16: float = _judged(0.52, 0.45, 0.58, "1", "leg over height under 16 years")
    step_sd_measured: float = _judged(
        0.040, 0.0, 0.2, "1", "SD of the step at top speed, leg measured"
    )
    step_sd_estimated: float = _judged(0.046, 0.0, 0.2, "1", "the same, leg estimated from height")
    step_sd_measured_slow: float = _judged(
        0.050, 0.0, 0.2, "1", "the same, leg measured, below 7 m/s"
    )
    step_sd_estimated_slow: float = _judged(
        0.055, 0.0, 0.2, "1", "the same, leg estimated, below 7 m/s"
    )
    growth_sd_per_month: float = _judged(
        0.005, 0.0, 0.05, "1/month", "SD added to an old count under 18 years"
    )
    height_only_sd: float = _judged(
        0.084, 0.0, 0.3, "1", "SD of a top speed from height and cadence only"
    )
    cadence_by_eye_sd: float = _judged(
        0.03, 0.0, 0.2, "1", "error of a cadence seen by eye, as a share"
    )
    cadence_by_video_sd: float = _judged(0.015, 0.0, 0.2, "1", "the same, counted from a video")
    kept_gaps_sd: float = _judged(
        0.04, 0.0, 0.2, "1", "error of the step that gaps tell of which a coach kept for somebody"
    )
    height_only_short: float = _judged(
        0.03, 0.0, 0.10, "1", "gaps laid short until there is one time"
    )
    top_speed_sd: float = _judged(0.02, 0.0, 0.2, "1", "SD of a top speed given without a source")
    leg_tape_sd_m: float = _judged(0.010, 0.0, 0.05, "m", "error of a leg measured with a tape")
    gate_shift_sd_s: float = _judged(
        0.10,
        0.0,
        0.3,
        "s",
        "error of the time added when a gate or a foot's release started the clock",
    )
    reaction_sd_s: float = _judged(0.03, 0.0, 0.2, "s", "error of an assumed reaction time")
    given_time_constant_sd_s: float = _judged(
        0.10, 0.0, 0.5, "s", "error of a tau given by the coach"
    )
    between_day_speed_sd: float = _judged(
        0.01, 0.0, 0.1, "1", "between-day variation of top speed, as a share"
    )
    top_speed_drift_sd: float = _judged(
        0.003, 0.0, 0.05, "1/sqrt(week)", "how far top speed drifts in a week, one SD as a share"
    )
    speed_trend_sd: float = _judged(
        0.005, 0.0, 0.05, "1/week", "how fast somebody may be getting faster before a run tells"
    )
    speed_trend_drift_sd: float = _judged(
        0.001, 0.0, 0.02, "1/week/sqrt(week)", "how far that trend drifts in a week, one SD"
    )
    speed_trend_weeks: float = _judged(
        12.0, 1.0, 200.0, "weeks", "after so many weeks a trend nobody measured is down to a third"
    )
    follow_from_share: float = _judged(
        0.031, 0.0, 0.1, "1", "a change of top speed that is worth moving marks for"
    )
    held_share_sd: float = _judged(
        0.02, 0.0, 0.2, "1", "error of the speed share a run was held at, or was asked for"
    )
    told_share_sd: float = _judged(
        0.005, 0.0, 0.2, "1", "the same over marks when the coach told how hard it was"
    )
    held_exponent_sd: float = _judged(
        0.06, 0.0, 0.2, "1", "error of the exponent 0.12; its band 0 to 0.25 taken as two SDs"
    )
    step_count_sd: float = _judged(0.25, 0.0, 1.0, "steps", "error of a step count over a zone")
    step_reading_sd: float = _judged(0.01, 0.0, 0.1, "1", "error of a measured step, as a share")
    long_caution: float = _judged(0.03, 0.0, 0.2, "1", "gap over the natural step: caution")
    long_stop: float = _judged(0.07, 0.0, 0.3, "1", "gap over the natural step: stop")
    short_caution: float = _judged(0.06, 0.0, 0.3, "1", "natural step over the gap: caution")
    short_stop: float = _judged(0.12, 0.0, 0.4, "1", "natural step over the gap: stop")
    cadence_caution: float = _judged(1.08, 1.0, 1.3, "1", "cadence asked over top cadence: caution")
    cadence_stop: float = _judged(1.15, 1.0, 1.5, "1", "cadence asked over top cadence: stop")
    cadence_caution_hz: float = _judged(
        5.2, 4.0, 6.0, "steps/s", "cadence asked: caution for anyone"
    )
    run_out_wanted_least_m: float = _judged(15.0, 5.0, 60.0, "m", "slow-down wanted, at least")
    run_out_least_m: float = _judged(12.0, 5.0, 60.0, "m", "slow-down needed, at least")
    toe_behind_line_m: float = _judged(
        0.05, 0.0, 0.2, "m", "toe behind the take-off line at the last landing"
    )
    free_steps: float = _judged(
        4, 2, 12, "1", "steps after the landing beyond the last wicket and before the last two"
    )
    takeoff_run_sd_m: float = _judged(0.5, 0.0, 2.0, "m", "first-run error at the take-off line")
    board_run_sd_m: float = _judged(
        0.12, 0.0, 1.0, "m", "one SD between runs at the take-off line, until misses tell"
    )
    board_day_sd_m: float = _judged(0.05, 0.0, 1.0, "m", "one SD between days at the take-off line")
    board_drift_sd_m: float = _judged(
        0.03, 0.0, 1.0, "m/sqrt(week)", "how far the place of the take-off drifts in a week, one SD"
    )
    easy_share: float = _judged(
        0.95, 0.5, 1.0, "1", "speed of an easy part, of that reached before it", C
    )
    progress_cap: float = _judged(
        0.03, 0.0, 0.1, "1", "most a gap opens from one session to the next"
    )
    start_move_m: float = _judged(
        0.5, 0.0, 2.0, "m", "start-mark moves below this are not asked for"
    )
    share_cap: float = _judged(
        0.03, 0.0, 0.1, "1", "shared gap over the shortest member's natural gap, at most"
    )
    seconds_per_mark: float = _judged(18.0, 2.0, 120.0, "s", "time to move or lay one mark")
    hand_sd_s: float = _judged(0.1, 0.0, 0.5, "s", "error of a hand-held time")
    gate_sd_s: float = _judged(0.01, 0.0, 0.1, "s", "error of a gate time")
    unknown_wind_sd: float = _judged(
        0.005,
        0.0,
        0.05,
        "1",
        "error of a gate time outdoors when nobody read the wind: about 1 m/s",
    )
    video_frame_s: float = _judged(1 / 30, 0.0005, 0.1, "s", "error of a video time: one frame")
    sighting_cone_m: float = _judged(
        30.0, 5.0, 100.0, "m", "second cone beyond a zero on unmarked ground"
    )
    straight_pull_m: float = _judged(
        5.0, 0.0, 20.0, "m", "longest tape pulled straight along a bend"
    )
    mark_error_m: float = _judged(0.005, 0.0, 0.1, "m", "error of a mark a new pull begins at")
    recovery_low_s: float = _judged(120.0, 0.0, 1800.0, "s", "least recovery below 95 %", C)
    recovery_high_s: float = _judged(240.0, 0.0, 1800.0, "s", "most recovery below 95 %", C)
    start_interval_s: float = _judged(
        30.0, 5.0, 300.0, "s", "one athlete's start to the next one's on the same lane, at least"
    )
    efforts: float = _judged(
        6, 1, 30, "1", "runs of each when not said, fewer where their metres allow no more"
    )

    def __post_init__(self) -> None:
        """Refuse a value outside its range."""
        for each in fields(self):
            value = getattr(self, each.name)
            low, high = each.metadata["low"], each.metadata["high"]
            if isinstance(value, bool) or not low <= value <= high:
                raise DomainError(
                    f"judgement {each.name} is {value:g} {default_of(each).unit}; "
                    f"it must lie between {low:g} and {high:g}"
                )

    def changed(self) -> dict[str, float]:
        """Return the names and values that differ from the defaults."""
        return {
            f.name: getattr(self, f.name)
            for f in fields(self)
            if getattr(self, f.name) != f.default
        }


def default_of(judged: Field[Any]) -> Constant:
    """Return the default of one field of `Judgement`, with its provenance."""
    constant: Constant = judged.default  # type: ignore[assignment]
    return constant


DEFAULTS = Judgement()


class Standard(StrEnum):
    """How far an athlete has come; used only to cap a speed guessed from height."""

    UNDER_13 = "under-13"
    UNDER_15 = "under-15"
    UNDER_17 = "under-17"
    CLUB = "club"
    NATIONAL = "national"


def _cap(value: float, who: str) -> Constant:
    return Constant(value, "m/s", J, f"cap of a guessed top speed, {who}")


LEVEL_CAPS: dict[Standard, tuple[Constant, Constant]] = {
    Standard.UNDER_13: (_cap(7.0, "under 13, girls"), _cap(7.0, "under 13, boys")),
    Standard.UNDER_15: (_cap(8.0, "under 15, girls"), _cap(8.0, "under 15, boys")),
    Standard.UNDER_17: (_cap(9.0, "under 17, girls"), _cap(9.0, "under 17, boys")),
    Standard.CLUB: (_cap(8.5, "club women"), _cap(9.8, "club men")),
    Standard.NATIONAL: (_cap(10.0, "national women"), _cap(11.5, "national men")),
}
"""Standard to (women's, men's) cap [m/s]."""
AGE_LEVELS = ((13.0, Standard.UNDER_13), (15.0, Standard.UNDER_15), (17.0, Standard.UNDER_17))
"""The level an age below so many years gives, where none is told."""


def catalogue() -> tuple[tuple[str, Constant], ...]:
    """Return (name, constant) of every constant, published ones first."""
    found: list[tuple[str, Constant]] = []
    for name, value in globals().items():
        if isinstance(value, Constant):
            found.append((name.lower(), value))
    for prefix, values in (
        ("hurdles_100_m", HURDLES_100_M),
        ("hurdles_110_m", HURDLES_110_M),
        ("hurdles_400_m", HURDLES_400_M),
        ("adult_heights_m", ADULT_HEIGHTS_M),
        ("usual_gaps_m", USUAL_GAPS_M),
        ("cadence_ramp", CADENCE_RAMP),
        ("moving_cadence_ramp", MOVING_CADENCE_RAMP),
        *TRAINING_RANGES.items(),
        *((f"tape_class_{name}_mm", pair) for name, pair in TAPE_CLASS_MM.items()),
    ):
        found += [(f"{prefix}_{i}", value) for i, value in enumerate(values, start=1)]
    found += [(f.name, default_of(f)) for f in fields(Judgement)]
    for level, caps in LEVEL_CAPS.items():
        found += [
            (f"cap_{level.value}_{who}", cap)
            for who, cap in zip(("women", "men"), caps, strict=True)
        ]
    order = "PDCJ"
    return tuple(sorted(found, key=lambda item: order.index(item[1].basis.value)))
