"""Any keys in any order: the workbench goes on, and what it keeps reads back as the plan."""

import random

import pytest
from tui_bench import keys, workbench

from tui.actions import ACTIONS
from wicketlay.plan_file import find_recovery

KEYS = sorted({key for action in ACTIONS for key in action.keys} - {"ctrl+q", "ctrl+o"})
TYPED = [*"0123456789.,%-+ mabcxyz", "enter", "escape", "tab", "up", "down", "backspace", "space"]


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
async def test_any_keys_in_any_order(plan_path, seed):
    chance = random.Random(seed)  # noqa: S311 - the same keys every time
    async with workbench(plan_path, chance.choice([(80, 24), (120, 40)])) as (app, pilot):
        for _ in range(12):
            await keys(pilot, *(chance.choice(KEYS + TYPED) for _ in range(20)))
            assert app.is_running
            assert app.bench.solved.plan == app.bench.plan
        for _ in range(3):
            await keys(pilot, "escape")
        app.keep_now()
        assert app.keeper.trouble == ""
        path = app.bench.opened.path
        if app.bench.unsaved:
            assert find_recovery(path).plan == app.bench.plan
