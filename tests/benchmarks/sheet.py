"""A one-athlete plan of three pages to PDF: what the program adds to its libraries.

A is the whole process `wicketlay sheet PLAN --only tape,coach,card`. B1 is a process that makes
the same imports and the same fonts known and does nothing; B2 also tells a bare canvas all that
A tells its own, and its page streams equal A's; B3 is B1 without the imports that are ours.
"""

from __future__ import annotations

import io
import marshal
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import harness
import recording

HERE = Path(__file__).resolve().parent
BARE = str(HERE / "bare_sheet.py")
KINDS = ("tape", "coach", "card")
AIMS = (1.40, 1.15, 1.5)
PLAN = """\
format = 1
kind = "plan"
title = "One athlete"

[[athlete]]
name = "Mira"
height = "1.66 m"
sex = "f"
top_speed = "7.9 m/s"
tau = "1.05 s"

[drill]
kind = "wicket-run"
speed = "95 %"
wickets = 12

[ground]
kind = "track"

[place]
line = "home straight"
lanes = [4]
landmark = "finish"
mark = "w1"
offset = "-60 m"
"""
_OURS = re.compile(r"!?(wicketlay|tui)\b")
_NAMES = """
import sys
from wicketlay.cli import main
code = main(sys.argv[1:])
names = [n for n in sys.modules if n not in ("__main__", "__mp_main__")]
sys.stdout.write(" ".join(n if getattr(sys.modules[n], "__spec__", n) else "!" + n for n in names))
sys.exit(code)
"""


def _prepare(folder: Path) -> tuple[list[str], list[str], list[str]]:
    """Write plan, names of modules and drawing operations; return A's, B2's and B3's arguments."""
    plan, names, fonts = folder / "plan.toml", folder / "modules.txt", folder / "fonts.txt"
    plan.write_text(PLAN, encoding="utf-8")
    arguments = ["sheet", str(plan), "--only", ",".join(KINDS), "-o", str(folder / "a.pdf")]
    imported = subprocess.run(
        [sys.executable, "-c", _NAMES, *arguments], check=True, capture_output=True
    )
    names.write_bytes(imported.stdout)
    theirs = [name for name in imported.stdout.decode().split() if not _OURS.match(name)]
    (folder / "theirs.txt").write_text(" ".join(theirs), encoding="utf-8")

    from wicketlay.plan_file import load
    from wicketlay.sheets import make_pages
    from wicketlay.sheets.page.fonts import path_of
    from wicketlay.sheets.page.model import Face
    from wicketlay.solve import solve

    fonts.write_text("".join(f"{face.value} {path_of(face)}\n" for face in Face), encoding="utf-8")
    document = make_pages(solve(load(plan)), only=KINDS)
    log = recording.record(document, io.BytesIO())
    pages = sum(method == "showPage" for _, method, _, _ in log)
    if pages != len(KINDS) + 1:  # a blank one lies between the assistant's and the coach's
        message = f"the plan has {pages} pages, not {len(KINDS) + 1}"
        raise RuntimeError(message)
    (folder / "log").write_bytes(marshal.dumps(log))
    bare = [BARE, str(names), str(fonts), str(folder / "log"), str(folder / "b.pdf")]
    harness.run([sys.executable, "-m", "wicketlay", *arguments])
    harness.run([sys.executable, *bare])
    drawn = [recording.streams((folder / name).read_bytes()) for name in ("a.pdf", "b.pdf")]
    if drawn[0] != drawn[1]:
        message = "B does not draw what A draws"
        raise RuntimeError(message)
    return ["-m", "wicketlay", *arguments], bare, [BARE, str(folder / "theirs.txt"), str(fonts)]


def rows(pairs: int = harness.PAIRS) -> list[harness.Row]:
    """Measure and return the lines of the table."""
    with tempfile.TemporaryDirectory() as name:
        program, bare, theirs = _prepare(Path(name))
        a = harness.process(*program)
        nothing = harness.in_turn(a, harness.process(*bare[:3]), pairs)
        drawing = harness.in_turn(a, harness.process(*bare), pairs)
        libraries = harness.in_turn(a, harness.process(*theirs), pairs)
    what = "one athlete, three pages"
    return [
        harness.row(what, "sheet process / same imports and fonts", nothing, AIMS[0]),
        harness.row(what, "sheet process / same and its drawing", drawing, AIMS[1]),
        harness.row(what, "sheet process / its libraries and fonts", libraries, AIMS[2]),
    ]


if __name__ == "__main__":
    harness.settle_down()
    harness.show(rows())
