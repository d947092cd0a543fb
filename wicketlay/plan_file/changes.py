"""A changed plan to the new texts of its files."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

from wicketlay.keys.athletes import ATHLETE
from wicketlay.keys.codecs import Date, quoted
from wicketlay.keys.drills import DRILLS
from wicketlay.keys.grounds import GROUNDS
from wicketlay.keys.parts import ADJUST
from wicketlay.plan_file.document import TABLES, Document
from wicketlay.plan_file.edit import Editor
from wicketlay.plan_file.one_file import TITLE
from wicketlay.plan_file.squads import NAMES
from wicketlay.plan_file.writing import Table, inline_text, section_lines, update, update_list

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from wicketlay.plan import Plan
    from wicketlay.running.athlete import Athlete


def changed_texts(document: Document, plan: Plan) -> dict[str, str]:
    """Return the new text of every file that has to change, by role.

    Only keys whose value differs are touched; nothing else of a file changes.
    """
    editors = {role: Editor(opened.source.text) for role, opened in document.files.items()}
    old = document.plan
    main = Table(editors["plan"], (), document.files["plan"].raw)
    _update_plain(main, old, plan)
    _update_athletes(document, editors, plan)
    drill = DRILLS[plan.drill_kind]
    same_kind = type(old.drill) is type(plan.drill)
    if old.drill != plan.drill:
        update(main.inside("drill"), drill, old.drill if same_kind else None, plan.drill)
    _update_ground(document, editors, plan)
    for key, (record, attr, _) in TABLES.items():
        was, now = getattr(old, attr), getattr(plan, attr)
        if was == now:
            continue
        if now is None:
            editors["plan"].delete((key,))
        else:
            update(main.inside(key), record, was, now)
    _update_adjustments(main, document, plan)
    texts = {role: editor.result() for role, editor in editors.items()}
    return {role: text for role, text in texts.items() if text != document.files[role].source.text}


def _update_plain(main: Table, old: Plan, plan: Plan) -> None:
    if old.title != plan.title:
        main.editor.replace(("title",), TITLE.write(plan.title))
    if old.date != plan.date:
        if plan.date is None:
            main.editor.delete(("date",))
        elif "date" in main.raw:
            main.editor.replace(("date",), Date().write(plan.date, main.raw["date"]))
        else:
            main.editor.insert((), "date", Date().write(plan.date))


def _update_athletes(document: Document, editors: dict[str, Editor], plan: Plan) -> None:
    """Bring the squad up to date, then the list of those who run.

    An athlete who is taken off the plan stays in the squad, a guest in the plan's file. One
    whose name alone changed is the same athlete. Who is new stands in the squad file, a new guest
    in the plan's.
    """
    role = "squad" if "squad" in document.files else "plan"
    there = document.files[role].raw["athlete"]

    def home(place: int) -> Table:
        """Return the table of an athlete of the squad: guests stand in the plan."""
        guest = place - len(there)
        whose, at = (role, place) if guest < 0 else ("plan", guest)
        return Table(editors[whose], ("athlete", at), document.files[whose].raw["athlete"][at])

    places = {athlete.name: place for place, athlete in enumerate(document.squad)}
    names = [athlete.name for athlete in document.squad]
    for was, now in _renamed(document, plan):
        places[now] = places.pop(was)
        names[places[now]] = now
    added: dict[str, list[Athlete]] = {role: [], "plan": []}
    for athlete in plan.athletes:
        place = places.get(athlete.name)
        if place is None:
            added["plan" if athlete.name in plan.guests else role].append(athlete)
        elif document.squad[place] != athlete:
            update(home(place), ATHLETE, document.squad[place], athlete)
    for whose, new in added.items():
        # Who is new stands last in their file, and those of the squad's before all guests.
        at = len(there) if whose == "squad" else len(names)
        names[at:at] = [athlete.name for athlete in new]
        _add_athletes(editors[whose], document.files[whose].raw, new)
    _update_names(Table(editors["plan"], (), document.files["plan"].raw), names, document, plan)


def _renamed(document: Document, new: Plan) -> list[tuple[str, str]]:
    """Return (was, now) of who has another name and is otherwise the same."""
    old = document.plan.athletes
    if len(old) != len(new.athletes):
        return []
    taken = {athlete.name for athlete in document.squad}
    kept = {athlete.name for athlete in new.athletes}
    return [
        (was.name, now.name)
        for was, now in zip(old, new.athletes, strict=True)
        if was.name not in kept
        and now.name not in taken
        and dataclasses.replace(was, name=now.name) == now
    ]


def _add_athletes(editor: Editor, raw: Mapping[str, Any], added: Sequence[Athlete]) -> None:
    if not added:
        return
    if editor.is_inline(("athlete",)):
        kept: list[int | str] = list(range(len(raw["athlete"])))
        editor.set_array(("athlete",), [*kept, *(inline_text(ATHLETE, each) for each in added)])
        return
    for athlete in added:
        editor.append_table(("athlete",), section_lines(ATHLETE, athlete, ("athlete",)))


def _update_names(main: Table, names: list[str], document: Document, plan: Plan) -> None:
    """Write who runs, when that is no longer what the file says."""
    wanted = [athlete.name for athlete in plan.athletes]
    if "athletes" not in main.raw:
        if wanted != names:
            main.editor.insert((), "athletes", NAMES.write(wanted))
        return
    was = [athlete.name for athlete in document.plan.athletes]
    if wanted == was:
        return
    members: list[int | str] = [was.index(name) if name in was else quoted(name) for name in wanted]
    main.editor.set_array(("athletes",), members)


def _update_ground(document: Document, editors: dict[str, Editor], plan: Plan) -> None:
    """Bring the ground up to date where it stands.

    The numbers of a file that is named anew stay as they are, and so do those of the file that
    was named before.
    """
    old, kind = document.plan, type(plan.ground)
    named = plan.ground_file != old.ground_file
    role = "plan" if named or plan.ground_file is None else "ground"
    table = Table(editors[role], (), document.files[role].raw).inside("ground")
    if named and plan.ground_file is not None:
        if "file" in table.raw:
            table.editor.replace(("ground", "file"), quoted(plan.ground_file))
            return
        for key in table.raw:
            table.editor.delete(("ground", key))
        table.editor.insert(("ground",), "file", quoted(plan.ground_file))
    elif named or old.ground != plan.ground:
        record = next(record for record in GROUNDS.values() if record.make is kind)
        same = not named and type(old.ground) is kind
        update(table, record, old.ground if same else None, plan.ground)


def _update_adjustments(main: Table, document: Document, plan: Plan) -> None:
    """Edit each athlete's adjustment where it stands, in whatever order the file has them."""
    old = document.plan
    if old.adjustments == plan.adjustments:
        return
    renamed = dict(_renamed(document, plan))
    names = [each["athlete"] for each in document.files["plan"].raw.get("adjust", ())]
    now = {each.athlete: each for each in plan.adjustments}
    there = [now.pop(renamed.get(name, name), None) for name in names]
    was = [old.adjustment(name) for name in names]
    update_list(main, "adjust", ADJUST, (was, [*there, *now.values()]))
