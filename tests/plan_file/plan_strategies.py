"""Hypothesis strategies for changes of a plan: any field of anything a plan file can hold."""

from __future__ import annotations

import dataclasses
import datetime as dt

from hypothesis import strategies as st

from wicketlay.drills.acceleration import AccelerationMarks
from wicketlay.drills.broken_run import BrokenRun
from wicketlay.drills.cadence import CadenceRule, CadenceTarget
from wicketlay.drills.flying import FlyingSegment
from wicketlay.drills.takeoff_run import TakeoffRun
from wicketlay.drills.wicket_run import WicketRun
from wicketlay.errors import DomainError
from wicketlay.ground.lines import ChainageM, Landmark
from wicketlay.ground.runway import Runway
from wicketlay.ground.strip import Strip
from wicketlay.ground.tape import Tick
from wicketlay.ground.track import Track
from wicketlay.keys.athletes import ATHLETE, FLYING, RUN, SPLITS
from wicketlay.keys.codecs import (
    Age,
    Cadence,
    Choice,
    Count,
    Date,
    Flag,
    Many,
    Number,
    Quantity,
    Steps,
    Temperature,
    Text,
)
from wicketlay.keys.drills import DRILLS
from wicketlay.keys.grounds import GROUNDS
from wicketlay.keys.parts import (
    ADJUST,
    JUDGEMENT,
    KIT,
    PLACE,
    SESSION,
    STAGES,
    TAPE,
)
from wicketlay.keys.records import Sub, SubList
from wicketlay.plan import Adjustment, StagePlan
from wicketlay.running.facts import (
    Athlete,
    FirstGuess,
    FlyingTime,
    Observation,
    SeenBy,
    Splits,
)

DATES = st.dates(dt.date(1990, 1, 1), dt.date(2030, 12, 31))
NAMES = (
    st.text(st.characters(categories=["L", "N", "P", "S"], codec="utf-8"), min_size=1, max_size=20)
    .map(str.strip)
    .filter(bool)
)


def floats(low: float, high: float) -> st.SearchStrategy[float]:
    """Any float of a range, and the rounder ones people write."""
    return st.one_of(
        st.floats(low, high),
        st.floats(low, high).map(lambda value: round(value, 2)).filter(lambda v: low <= v <= high),
    ).map(lambda value: 0.0 if abs(value) < 1e-9 and low <= 0.0 else value)


CADENCES = st.one_of(
    st.just(CadenceTarget()),
    st.builds(CadenceTarget, rule=st.just(CadenceRule.STEPS_PER_S), value=floats(2.0, 6.0)),
    st.builds(
        CadenceTarget,
        rule=st.sampled_from([CadenceRule.OF_TOP, CadenceRule.OF_NATURAL]),
        value=floats(0.7, 1.3),
    ),
)


def _ends(codec):
    return floats(codec.low, codec.high)


VALUES = {
    Quantity: _ends,
    Number: _ends,
    Count: lambda codec: st.integers(codec.low, codec.high),
    Flag: lambda _: st.booleans(),
    Text: lambda _: NAMES,
    Choice: lambda codec: st.sampled_from(list(codec.words.values())),
    Date: lambda _: DATES,
    Age: lambda _: st.one_of(st.integers(5, 90).map(float), floats(5.0, 90.0)),
    Temperature: lambda _: floats(-29.0, 59.0),
    Steps: lambda codec: values_of(codec.count),
    Cadence: lambda _: CADENCES,
    Many: lambda codec: st.lists(values_of(codec.member), min_size=codec.least, max_size=6).map(
        tuple
    ),
}


def values_of(codec) -> st.SearchStrategy:
    """Values that a codec can hold."""
    return VALUES[type(codec)](codec)


RUNS = st.one_of(
    st.builds(
        Observation,
        date=DATES,
        distance_m=floats(10.0, 20.0),
        time_s=floats(2.0, 5.0),
        steps=floats(8.0, 20.0),
        held_share=st.none() | floats(0.5, 1.0),
        over_marks=st.booleans(),
        runs=st.integers(1, 10),
        fps=st.none() | floats(10.0, 1000.0),
        spread_s=st.none() | floats(0.0, 1.0),
    ).filter(lambda run: run is not None),
    st.builds(Observation, date=DATES, step_m=floats(1.0, 2.5), speed_mps=floats(5.0, 11.0)),
)
FLYING_TIMES = st.builds(
    FlyingTime, distance_m=floats(10.0, 30.0), time_s=floats(1.0, 5.0), run_on_m=floats(10.0, 40.0)
)
SPLIT_TIMES = st.lists(floats(0.5, 3.0), min_size=2, max_size=5).map(
    lambda steps: Splits(
        distances_m=tuple(5.0 * (i + 1) for i in range(len(steps))),
        times_s=tuple(sum(steps[: i + 1]) for i in range(len(steps))),
    )
)
SPRINTS = st.builds(dataclasses.replace, SPLIT_TIMES, date=DATES)


def replaced(thing, **changes):
    """Return the changed thing, or the thing as it was when it cannot be so."""
    try:
        return dataclasses.replace(thing, **changes)
    except DomainError:
        return thing


@st.composite
def changed_record(draw, record, thing):
    """Change up to three of the fields that a record holds."""
    simple = [e for e in record.entries if e.attr and not isinstance(e.codec, (Sub, SubList))]
    optional = {f.name for f in dataclasses.fields(thing) if f.default is None}
    for entry in draw(st.lists(st.sampled_from(simple), min_size=1, max_size=3)):
        values = values_of(entry.codec)
        if entry.attr in optional:
            values = st.none() | values
        thing = replaced(thing, **{entry.attr: draw(values)})
    return thing


@st.composite
def changed_list(draw, members, new):
    """Take members out, put new ones in at the end, or change one."""
    members = list(members)
    what = draw(st.sampled_from(["out", "in", "change"]))
    if what == "out" and members:
        members.pop(draw(st.integers(0, len(members) - 1)))
    elif what == "change" and members:
        members[draw(st.integers(0, len(members) - 1))] = draw(new)
    else:
        members += draw(st.lists(new, min_size=1, max_size=2))
    return tuple(members)


GUESSES = st.builds(
    FirstGuess,
    cadence_hz=floats(2.5, 6.0),
    speed_share=floats(0.5, 1.0),
    by=st.sampled_from(SeenBy),
)


@st.composite
def changed_athlete(draw, athlete):
    """Change anything but the name."""
    runs = athlete.observations
    changes = [
        st.fixed_dictionaries({"flying": st.none() | FLYING_TIMES}),
        st.fixed_dictionaries({"splits": st.none() | SPLIT_TIMES}),
        st.fixed_dictionaries({"sprints": changed_list(athlete.sprints, SPRINTS)}),
        st.fixed_dictionaries({"observations": changed_list(runs, RUNS)}),
        st.fixed_dictionaries({"first_guess": st.none() | GUESSES}),
    ]
    if athlete.flying is not None:
        changes.append(st.fixed_dictionaries({"flying": changed_record(FLYING, athlete.flying)}))
    if athlete.splits is not None:
        changes.append(st.fixed_dictionaries({"splits": changed_record(SPLITS, athlete.splits)}))
    if runs:
        first = changed_record(RUN, runs[0]).map(lambda run: (run, *runs[1:]))
        changes.append(st.fixed_dictionaries({"observations": first}))
    if draw(st.booleans()):
        return replaced(athlete, **draw(st.one_of(changes)))
    return replaced(draw(changed_record(ATHLETE, athlete)), name=athlete.name)


@st.composite
def changed_athletes(draw, plan, squad):
    """Change who runs, in which order, or what is known of one of them."""
    athletes = list(plan.athletes)
    what = draw(st.sampled_from(["facts", "order", "out", "in", "back", "name"]))
    if what == "order":
        athletes = draw(st.permutations(athletes))
    elif what == "out" and len(athletes) > 1:
        athletes.pop(draw(st.integers(0, len(athletes) - 1)))
    elif what == "in":
        taken = {athlete.name.casefold() for athlete in [*squad, *athletes]}
        name = draw(NAMES.filter(lambda name: name.casefold() not in taken))
        new = draw(changed_athlete(Athlete(name=name, height_m=1.7, observations=())))
        athletes.insert(draw(st.integers(0, len(athletes))), new)
    elif what == "back":
        away = [a for a in squad if a.name not in {each.name for each in athletes}]
        athletes += away[:1]
    elif what == "name":
        taken = {athlete.name.casefold() for athlete in [*squad, *athletes]}
        name = draw(NAMES.filter(lambda name: name.casefold() not in taken))
        was = athletes[0].name
        athletes[0] = dataclasses.replace(athletes[0], name=name)
        moved = tuple(
            dataclasses.replace(a, athlete=name) if a.athlete == was else a
            for a in plan.adjustments
        )
        plan = dataclasses.replace(plan, adjustments=moved)
    else:
        place = draw(st.integers(0, len(athletes) - 1))
        athletes[place] = draw(changed_athlete(athletes[place]))
    # Who was renamed and taken off since the file was read takes the adjustments along.
    names = {athlete.name for athlete in [*athletes, *squad]}
    kept = tuple(a for a in plan.adjustments if a.athlete in names)
    return dataclasses.replace(plan, athletes=tuple(athletes), adjustments=kept)


OTHER_DRILLS = st.one_of(
    st.builds(WicketRun, speed_share=floats(0.5, 1.0), wickets=st.integers(2, 60)),
    st.builds(WicketRun, speed_share=floats(0.5, 1.0), section_m=floats(3.0, 100.0)),
    st.builds(
        WicketRun,
        speed_share=floats(0.5, 1.0),
        wickets=st.just(9),
        cadence=CADENCES,
        run_on_steps=st.integers(3, 60),
    ),
    st.builds(
        WicketRun, speed_share=floats(0.5, 1.0), wickets=st.just(9), run_on_m=floats(3.0, 100.0)
    ),
    st.builds(
        TakeoffRun,
        speed_share=floats(0.5, 1.0),
        cadence=CADENCES,
        approach_steps=st.none() | st.integers(8, 40),
    ),
    st.builds(FlyingSegment, zone_m=floats(5.0, 60.0)),
    st.builds(BrokenRun, parts_m=st.lists(floats(5.0, 59.0), min_size=2, max_size=5).map(tuple)),
    st.builds(AccelerationMarks, steps=st.integers(3, 30)),
)


def _drill_record(drill):
    return next(record for record in DRILLS.values() if record.make is type(drill))


def _ground_record(ground):
    return next(record for record in GROUNDS.values() if record.make is type(ground))


LANDMARKS = st.builds(
    Landmark, key=NAMES, text=NAMES, chainage_m=floats(-100.0, 50.0).map(ChainageM), edge=NAMES
)


@st.composite
def changed_ground(draw, ground):
    """Change numbers of a ground, its landmarks, or take another kind of ground."""
    what = draw(st.sampled_from(["numbers", "landmarks", "kind"]))
    if what == "kind":
        return draw(st.sampled_from([Strip(length_m=80.0), Track(), Runway()]))
    if what == "landmarks" and not isinstance(ground, Track):
        return replaced(ground, landmarks=draw(changed_list(ground.landmarks, LANDMARKS)))
    return draw(changed_record(_ground_record(ground), ground))


@st.composite
def changed_plans(draw, plan, squad):
    """Change one to three things of a plan."""
    for _ in range(draw(st.integers(1, 3))):
        plan = draw(_one_change(plan, squad))
    return plan


def _changed_stages(plan):
    stages = plan.stages or StagePlan(from_share=0.88, to_share=0.97, count=20)
    changed = changed_record(STAGES, stages)
    return st.none() | changed.map(lambda made: made if made.now <= made.count else stages)


def _changed_adjustments(plan):
    names = [athlete.name for athlete in plan.athletes]
    new = st.sampled_from(names).flatmap(
        lambda name: changed_record(ADJUST, Adjustment(athlete=name)).map(
            lambda made: dataclasses.replace(made, athlete=name)
        )
    )
    return changed_list(plan.adjustments, new).map(
        lambda members: tuple({each.athlete: each for each in members}.values())
    )


def _changed_place(plan):
    lanes = st.lists(st.integers(1, 12), min_size=1, max_size=4, unique=True).map(tuple)
    return changed_record(PLACE, plan.place) | lanes.map(
        lambda row: replaced(plan.place, lanes=row)
    )


def _changed_tape(plan):
    ticks = st.sampled_from(Tick).map(lambda tick: replaced(plan.tape, tick=tick))
    return changed_record(TAPE, plan.tape) | ticks


CHANGES = {
    "title": lambda _: NAMES,
    "date": lambda _: st.none() | DATES,
    "drill": lambda plan: changed_record(_drill_record(plan.drill), plan.drill) | OTHER_DRILLS,
    "ground": lambda plan: changed_ground(plan.ground),
    "kit": lambda plan: changed_record(KIT, plan.kit),
    "place": _changed_place,
    "tape": _changed_tape,
    "session": lambda plan: changed_record(SESSION, plan.session),
    "stages": _changed_stages,
    "adjustments": _changed_adjustments,
    "judgement": lambda plan: changed_record(JUDGEMENT, plan.judgement),
}


@st.composite
def _one_change(draw, plan, squad):
    what = draw(st.sampled_from(["athletes", *CHANGES]))
    if what == "athletes":
        return draw(changed_athletes(plan, squad))
    return replaced(plan, **{what: draw(CHANGES[what](plan))})
