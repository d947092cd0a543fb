"""Every layout that comes with the program is shown on every screen."""

from pathlib import Path

import pytest
from tui_bench import SIZES, keys, words_on, workbench

from tui.actions import files
from tui.rows import SCREENS
from wicketlay.plan_file import load
from wicketlay.wording.names import mark_name

LAYOUTS = Path(__file__).parents[2] / "layouts"
PLANS = sorted(p for p in LAYOUTS.glob("*.toml") if 'kind = "plan"' in p.read_text("utf-8"))


@pytest.fixture
def copies(own_folders):
    """Copies to open: a test leaves nothing in the folder of the originals."""
    for path in LAYOUTS.glob("*.toml"):
        Path(path.name).write_bytes(path.read_bytes())
    return [Path(path.name) for path in PLANS]


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
async def test_every_layout_is_shown_on_every_screen(copies, size):
    async with workbench(copies[0], size) as (app, pilot):
        for path in copies:
            files.open_path(app, path)
            await pilot.pause()
            assert app.bench.plan == load(path)
            await keys(pilot, "end")
            assert app.bench.laying is not None, path
            assert mark_name(app.bench.view.mark) in words_on(app), path
            for digit, name in enumerate(SCREENS, start=1):
                # on the practice screen digits are times; Esc leaves it
                await keys(pilot, *(["escape"] if name == "after" else []), str(digit))
                assert app.screen_name() == name, path
            await keys(pilot, "1", "z", "g", "z")
            app.bench.take_plan(app.bench.opened.file.plan, "put back")
