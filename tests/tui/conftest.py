"""A state folder, a plan and golden pictures for the tests of the workbench."""

import os
import re
from pathlib import Path

import pytest
import textual
from textual import _wait
from textual._compositor import Compositor
from textual.css.stylesheet import Stylesheet
from tui_bench import PLAN, SIZES

# Waiting is for a hundredth of a second in which nothing is computed, a picture and some more.
_wait.SLEEP_GRANULARITY, _wait.SLEEP_IDLE = 1 / 100, 1 / 2000

_RULES_READ = {}
_read_rules = Stylesheet._parse_rules


def _rules_read_once(sheet, *of_sheet, **named):
    """Read a style sheet once for all the workbenches that the tests start with its colours."""
    key = (of_sheet, frozenset(named.items()), frozenset(sheet._variables.items()))
    if key not in _RULES_READ:
        _RULES_READ[key] = _read_rules(sheet, *of_sheet, **named)
    return _RULES_READ[key]


Stylesheet._parse_rules = _rules_read_once

_render_update = Compositor.render_update


def _no_frame(compositor, full=False, screen_stack=None, simplify=False):
    """Put no frame together, which nobody would see; `tui_bench.draw` draws what is to be seen.

    A picture of the screen (`full`), and what is read off it, are made as ever.
    """
    if full:
        return _render_update(compositor, full, screen_stack, simplify)
    compositor._dirty_regions.clear()
    return None


Compositor.render_update = _no_frame

GOLDEN = Path(__file__).parent / "golden"
REWRITE = "WICKETLAY_REWRITE"
MADE_WITH = GOLDEN / "made-with.txt"
"""The version of the terminal library the pictures were made with."""


def words_of(picture):
    """Return the text of a picture in reading order: what is left when styles are taken away."""
    return re.findall(r"<text[^>]*>([^<]*)</text>", picture)


@pytest.fixture(autouse=True)
def own_folders(tmp_path, monkeypatch):
    """A state folder and a working folder of the test's own."""
    (tmp_path / "work").mkdir()
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.chdir(tmp_path / "work")
    for name in ("NO_COLOR", "COLORFGBG"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path


@pytest.fixture
def plan_path(own_folders):
    """A saved plan, named from the working folder."""
    path = Path("harbour.toml")
    path.write_text(PLAN, encoding="utf-8")
    return path


@pytest.fixture
def golden():
    """Compare the screen at both sizes with the pictures of that name; the last size stays."""

    async def check(pilot, name):
        for size in sorted(SIZES, key=lambda size: size != tuple(pilot.app.size)):
            if size != tuple(pilot.app.size):
                await pilot.resize_terminal(*size)
                # once for the new size, once for what is shown after it has been laid out
                await pilot.pause()
                await pilot.pause()
            compare(pilot.app, name)

    return check


def compare(app, name):
    """Compare the screen with the picture of that name, or write it when the variable is set."""
    width, height = app.size
    picture = re.sub(r"@font-face \{.*?\}\s*", "", app.export_screenshot(), flags=re.DOTALL)
    path = GOLDEN / f"{name}-{width}x{height}.svg"
    if os.environ.get(REWRITE):
        GOLDEN.mkdir(exist_ok=True)
        path.write_text(picture, encoding="utf-8")
        MADE_WITH.write_text(f"textual {textual.__version__}\n", encoding="utf-8")
        if path.name == "starter-80x24.svg":
            # The README shows this one.
            picture_path = Path(__file__).parents[2] / "layouts" / "pictures" / "workbench.svg"
            picture_path.write_text(picture, encoding="utf-8")
        return
    assert path.is_file(), f"no golden picture {path.name}; set {REWRITE}=1 and look at it"
    kept = path.read_text(encoding="utf-8")
    if MADE_WITH.read_text(encoding="utf-8").split() != ["textual", textual.__version__]:
        # Another version of the library may draw styles otherwise; the words must stand.
        kept, picture = words_of(kept), words_of(picture)
        assert kept
    if kept != picture:
        pytest.fail(f"{path.name} differs; set {REWRITE}=1, run again and look at the picture")
