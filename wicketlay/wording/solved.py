"""All that was found of a solved plan, as lines that say which laying each is of."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from wicketlay.findings import Level
from wicketlay.units import UnitSystem, format_count
from wicketlay.values import replace
from wicketlay.wording import told, word
from wicketlay.wording.places import place_parts

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from wicketlay.findings import Finding, Value
    from wicketlay.plan import Plan
    from wicketlay.solve import Laying, Solved


def unit_of(plan: Plan) -> UnitSystem:
    """Return the unit that a plan's tape is read in."""
    return UnitSystem.METRIC if plan.tape.tick.metric else UnitSystem.FEET


def told_of(
    solved: Solved, layings: Sequence[Laying] | None = None, *, but: Sequence[Finding] = ()
) -> tuple[tuple[Level, str], ...]:
    """Return all that was found as lines, gravest first, each once.

    With several layings a stop or a caution says which one it is of, unless it names the athlete;
    a note does where another of the same lane would read like it. What does not hold at every
    stage says at which it does.

    Parameters
    ----------
    solved, layings
        The solved plan, and of which layings; None is all of them.
    but
        What is told elsewhere.
    """
    unit = unit_of(solved.plan)
    several = len(solved.layings) > 1
    whole = [f for f in solved.findings if f not in but]
    if layings is None:
        layings = solved.layings
    else:
        here = [f for laying in layings for f in solved.findings_on(laying)]
        whole = [f for f in whole if f in here]
    if not several:
        return told((*whole, *(f for laying in layings for f in laying.findings)), unit)
    lines = list(told(whole, unit))
    unlike = _read_alike(layings)
    whose: list[tuple[int, Finding]] = []
    others: list[tuple[Laying, tuple[tuple[Level, str], ...]]] = []
    reaches = _reaches(layings)
    for laying in layings:
        found = [_of_all(f, reaches) for f in laying.findings]
        alone = [f for f in found if _says_whose(f, unlike)]
        whose += ((laying.stage, each) for each in alone)
        others.append((laying, told((f for f in found if f not in alone), unit)))
    lines += _whose_lines(whose, {laying.stage for laying in layings}, unit)
    # What holds wherever something is laid is of the ground, and said once.
    everywhere = [line for line in others[0][1] if all(line in own for _, own in others)]
    lines += everywhere
    each_told = [(each, line) for each, own in others for line in own if line not in everywhere]
    stages: dict[tuple[int, int, tuple[Level, str]], set[int]] = {}
    for each, line in each_told:
        stages.setdefault((each.lane, each.wave, line), set()).add(each.stage)
    every = {laying.stage for laying in layings}
    for each, line in each_told:
        stage = stages[each.lane, each.wave, line] != every
        lines.append((line[0], _placed(solved, each, line[1], stage=stage)))
    return tuple(sorted(dict.fromkeys(lines), key=lambda line: list(Level).index(line[0])))


def count_text(lines: Iterable[tuple[Level, str]]) -> str:
    """Return how many there are of each level: ``1 stop, 2 notes``."""
    counts = Counter(level for level, _ in lines)
    told = [format_count(counts[level], level.value) for level in Level if counts[level]]
    return ", ".join(told) or "nothing found"


def _says_whose(finding: Finding, unlike: set[tuple[str, int | None]]) -> bool:
    """Tell whether it names its athlete, or is a note that no other of its lane reads like."""
    if finding.athlete is not None:
        return True
    return finding.level is Level.NOTE and (finding.code, finding.lane) not in unlike


_BAG = "bag-too-small"


def _reaches(layings: Iterable[Laying]) -> dict[Value, list[float]]:
    """Return how far the bag reaches on each laying [m], by how many wickets are needed."""
    found: dict[Value, list[float]] = {}
    for each in (f for laying in layings for f in laying.findings if f.code == _BAG):
        found.setdefault(each.values["needed"], []).append(float(each.values["reach_m"]))
    return found


def _of_all(finding: Finding, reaches: Mapping[Value, list[float]]) -> Finding:
    """Return what is found of a bag as it is of all layings that need as many, or as it is."""
    if finding.code != _BAG:
        return finding
    reach = reaches[finding.values["needed"]]
    values = {**finding.values, "least_m": min(reach), "most_m": max(reach)}
    return replace(finding, code=f"{_BAG}-each", values=values) if len(reach) > 1 else finding


def _whose_lines(
    whose: Sequence[tuple[int, Finding]], stages: set[int], unit: UnitSystem
) -> list[tuple[Level, str]]:
    """Return what is found of athletes; what does not hold at each of `stages` says at which."""
    held: dict[str, set[int]] = {}
    for stage, finding in whose:
        held.setdefault(str(word(finding, unit)), set()).add(stage)
    every = [f for _, f in whose if held[str(word(f, unit))] == stages]
    lines = list(told(every, unit))
    for stage in sorted(stages):
        some = (f for at, f in whose if at == stage and f not in every)
        lines += [(level, f"stage {stage}: {text}") for level, text in told(some, unit)]
    return lines


def _read_alike(layings: Iterable[Laying]) -> set[tuple[str, int | None]]:
    """Return (code, lane) of what is found otherwise at another wave of the same lane."""
    told: dict[tuple[str, int | None], list[list[tuple[str | None, Mapping[str, Value]]]]] = {}
    for laying in layings:
        own: dict[tuple[str, int | None], list[tuple[str | None, Mapping[str, Value]]]] = {}
        for each in laying.findings:
            if each.athlete is None:
                own.setdefault((each.code, each.lane), []).append((each.mark, each.values))
        for what, said in own.items():
            before = told.setdefault(what, [])
            if said not in before:
                before.append(said)
    return {what for what, said in told.items() if len(said) > 1}


def _placed(solved: Solved, laying: Laying, text: str, *, stage: bool) -> str:
    """Return what was found on a laying with its lane, wave, stage and athletes before it."""
    at_stage = f", stage {laying.stage}" if stage and solved.plan.stages is not None else ""
    where = f"{place_parts(laying)[0]}, wave {laying.wave}{at_stage}, {', '.join(laying.athletes)}"
    return f"{where}: {text.removeprefix(f'lane {laying.lane}: ')}"
