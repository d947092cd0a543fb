"""Files that could be read, however odd: every export and every sheet of them can be made."""

from __future__ import annotations

import csv
import io
import json
import random
import time
from typing import TYPE_CHECKING

import jsonschema
import pytest
from hostile_files import files_of

from wicketlay.edits import in_unit
from wicketlay.errors import WicketlayError
from wicketlay.export import as_csv, as_json, as_sharing, as_stages, as_table, as_text, schema
from wicketlay.findings import Level
from wicketlay.plan_file import load, open_plan
from wicketlay.sheets import KINDS, make_pages, write_pdf
from wicketlay.solve import places_for, solve

if TYPE_CHECKING:
    from wicketlay.plan import Plan

SCHEMA = jsonschema.Draft202012Validator(schema())
LONGEST_S = 10.0
"""Of one file with all its sheets, in one process' time; the median takes 40 ms."""


def read(folder, number: int) -> Plan | None:
    """Read the files of a number from a real folder; None when they are refused."""
    files = files_of(number)
    for name, data in {"plan.toml": files.plan, **files.others}.items():
        (folder / name).write_bytes(data)
    try:
        return load(folder / "plan.toml")
    except WicketlayError:
        return None
    finally:
        for name in files.others:
            (folder / name).unlink()


def told_in_every_way(plan: Plan, rng: random.Random) -> int:
    """Write everything there is of a plan; return the number of pages."""
    solved = solve(plan)
    SCHEMA.validate(json.loads(as_json(solved)))
    places_for(solved)
    for text in (as_table(solved), as_text(solved), as_sharing(solved), as_stages(solved)):
        assert text.replace("\n", "").isprintable()
    rows = list(csv.DictReader(io.StringIO(as_csv(solved))))
    stops = sum(f.level is Level.STOP for f in solved.all_findings)
    laid = [laying for laying in solved.layings if solved.may_lay(laying)]
    assert len(rows) == stops + sum(len(laying.placed.marks) for laying in laid)
    cells = [cell for row in rows for cell in row.values()]
    assert not any(cell.startswith(("=", "+", "@")) for cell in cells)
    document = make_pages(
        solve(in_unit(plan, metric=rng.choice([plan.tape.tick.metric, True, False]))),
        only=rng.choice([None, KINDS]),
        paper=rng.choice(["a4", "letter", "a5", "phone"]),
    )
    stream = io.BytesIO()
    pages = write_pdf(document, stream)
    assert stream.getvalue().startswith(b"%PDF-")
    assert stream.getvalue().rstrip().endswith(b"%%EOF")
    return pages


def use(folder, numbers) -> tuple[int, int]:
    """Return how many files were read and how many pages they made."""
    plans = pages = 0
    for number in numbers:
        plan = read(folder, number)
        if plan is None:
            continue
        began = time.process_time()
        made = told_in_every_way(plan, random.Random(number))  # noqa: S311 - equal choices
        assert made > 0, f"file {number} has no page"
        assert time.process_time() - began < LONGEST_S, f"file {number} takes too long"
        plans, pages = plans + 1, pages + made
    return plans, pages


@pytest.mark.parametrize("kind", ["made up", "damaged"])
def test_some_files_make_paper(tmp_path, kind):
    plans, pages = use(tmp_path, range(kind == "damaged", 90, 2))
    assert plans >= 8
    assert pages >= plans


@pytest.mark.nightly
def test_thousands_of_files_make_paper(tmp_path):
    plans, _ = use(tmp_path, range(10_000, 20_000))
    assert plans > 2000


def test_what_is_read_is_saved_as_it_was(tmp_path):
    saved = 0
    for number in range(0, 400, 2):
        files = files_of(number)
        for name, data in {"plan.toml": files.plan, **files.others}.items():
            (tmp_path / name).write_bytes(data)
        path = tmp_path / "plan.toml"
        try:
            opened = open_plan(path)
        except WicketlayError:
            continue
        opened.save(opened.plan)
        assert path.read_bytes() == files.plan
        saved += 1
    assert saved > 50


@pytest.mark.parametrize(
    "brackets", ["{}", "{0}", "{athlete}", "{mark!r}", "{{", "}}", "{", "%(x)s"]
)
def test_brackets_in_names_and_titles_are_only_characters(tmp_path, brackets):
    path = tmp_path / "plan.toml"
    path.write_text(
        f'format = 1\nkind = "plan"\ntitle = "T {brackets}"\n'
        '\n[drill]\nkind = "wicket-run"\nspeed = "95 %"\nwickets = 5\n'
        f'\n[[athlete]]\nname = "A {brackets}"\nheight = "1.7 m"\ntop_speed = "8 m/s"\n'
        f'\n[ground]\nkind = "strip"\nname = "G {brackets}"\n'
        f'\n[[ground.landmark]]\nkey = "L {brackets}"\ntext = "L {brackets}"\nat = "3 m"\n',
        encoding="utf-8",
    )
    plan = load(path)
    assert told_in_every_way(plan, random.Random(1)) > 0  # noqa: S311 - equal choices
    assert f"A {brackets}" in as_table(solve(plan))
    assert f"L {brackets}" in as_text(solve(plan))
