"""The house: what may import what, proved in fresh interpreters."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
LAYOUTS = ROOT / "layouts"

HEAVY = ("numpy", "shapely", "tomlkit", "reportlab", "textual")


def loaded_by(tmp_path: Path, *argv: str) -> set[str]:
    """Run a command in a fresh interpreter and return the heavy packages it imported."""
    code = (
        "import sys\n"
        "from wicketlay.cli import main\n"
        f"code = main({list(argv)!r})\n"
        "assert code in (0, 3), code\n"
        f"print('LOADED', *[name for name in {HEAVY!r} if name in sys.modules], file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    (line,) = (text for text in done.stderr.splitlines() if text.startswith("LOADED"))
    return set(line.split()[1:])


def test_help_imports_nothing_heavy(tmp_path):
    assert loaded_by(tmp_path, "--help") == set()


def test_check_needs_no_paper_and_no_screen(tmp_path):
    loaded = loaded_by(tmp_path, "check", str(LAYOUTS / "tuesday-wickets.toml"))
    assert not loaded & {"reportlab", "textual"}


def test_sheet_needs_no_screen(tmp_path):
    loaded = loaded_by(
        tmp_path, "sheet", str(LAYOUTS / "tuesday-wickets.toml"), "-o", str(tmp_path / "t.pdf")
    )
    assert "textual" not in loaded


def test_a_command_is_seldom_searched_for_dead_objects_and_not_when_it_ends(tmp_path):
    code = (
        "import atexit, gc\n"
        "from wicketlay.cli import main\n"
        "atexit.register(lambda: print('KEPT', gc.get_freeze_count()))\n"
        "usual = gc.get_threshold()\n"
        "swept = sum(each['collections'] for each in gc.get_stats())\n"
        f"main(['check', {str(LAYOUTS / 'tuesday-wickets.toml')!r}])\n"
        "swept = sum(each['collections'] for each in gc.get_stats()) - swept\n"
        "assert swept < 20, swept\n"  # 100 as Python does it by itself
        "assert gc.get_threshold() == usual\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    *_, (_, kept) = (line.split() for line in done.stdout.splitlines() if line.startswith("KEPT"))
    assert int(kept) > 10_000


@pytest.mark.parametrize(
    "module",
    ["running.sprint", "drills", "ground.track", "lanes.sharing", "plan", "solve"],
)
def test_the_domain_knows_no_screen_file_or_paper(module):
    code = (
        f"import sys, wicketlay.{module}\n"
        "print([n for n in ('reportlab', 'textual', 'tomlkit', 'tomllib', 'wicketlay.units') "
        "if n in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert done.stdout.strip() == "[]"


def test_what_rests_on_judgement_or_practice_stands_in_sources_where_it_is_listed():
    marked = [
        f"{path.relative_to(ROOT)}: {line.strip()}"
        for path in sorted((ROOT / "wicketlay").rglob("*.py"))
        if path.name != "sources.py"
        for line in path.read_text("utf-8").splitlines()
        if "(J)" in line or "(C)" in line
    ]
    assert marked == []


def test_nobody_outside_the_drills_decides_by_a_drills_name_how_it_is_run():
    from wicketlay.plan import DRILL_KINDS

    # What other programs may count on is a list of names and decides nothing.
    own = {ROOT / "wicketlay" / each for each in ("drills", "keys", "api.py")}

    classes = "|".join(kind.__name__ for kind in DRILL_KINDS)
    # "acceleration" is a kind of work too; a layout's drill is only ever printed.
    words = "|".join(kind for kind in DRILL_KINDS.values() if "-" in kind)
    named = re.compile(
        rf"\b({classes})\b|\"({words})\"|drills\.(takeoff_run|wicket_run|flying|broken_run|"
        r"acceleration) import|\.(drill|drill_kind) (==|!=|in|is|not in) [\"'({\[]"
    )
    for path in (ROOT / "wicketlay").rglob("*.py"):
        if not own & {path, *path.parents}:
            assert not named.search(path.read_text("utf-8")), path
