"""The workbench in a test: running it, pressing keys, reading the screen."""

import asyncio
import re
from contextlib import asynccontextmanager
from datetime import date, datetime, timedelta

from rich.cells import cell_len
from textual._context import visible_screen_stack
from textual.events import Key
from textual.keys import _character_to_key

SIZES = [(80, 24), (120, 40)]
TODAY = date(2026, 3, 4)

PLAN = """\
format = 1
kind = "plan"
title = "Harbour wickets"   # kept

[[athlete]]
name = "Tarik"
height = "1.86 m"
sex = "m"
top_speed = "10.5 m/s"
tau = "1.2 s"

[[athlete]]
name = "Odalys"
height = "1.72 m"
sex = "f"
top_speed = "9.2 m/s"
tau = "1.1 s"

[[athlete]]
name = "Wren"
height = "1.66 m"
sex = "f"
top_speed = "7.9 m/s"
tau = "1.05 s"

[drill]
kind = "wicket-run"
speed = "95 %"
wickets = 10

[ground]
kind = "strip"
length = "120 m"
lanes = 2

[place]
lanes = [1, 2]

[tape]
length = "50 m"

[session]
efforts = 4
recovery = "3 min"
"""


MORE = {"Ilya": ("m", 1.80, 9.9), "Mira": ("f", 1.70, 8.6), "Sanne": ("f", 1.74, 8.9)}
SIX = PLAN.replace(
    "[drill]",
    "".join(
        f'[[athlete]]\nname = "{name}"\nheight = "{height} m"\nsex = "{sex}"\n'
        f'top_speed = "{speed} m/s"\ntau = "1.1 s"\n\n'
        for name, (sex, height, speed) in MORE.items()
    )
    + "[drill]",
).replace("efforts = 4", 'efforts = 6\nlength = "60 min"')
"""Six athletes on two lanes in three waves, six runs each, an hour."""


_TOKEN = re.compile(r"\x1b\[([0-?]*)([@-~])|[^\x1b]")


class Screen:
    """A terminal that knows places, text and styles."""

    def __init__(self):
        self.cells = {}
        self.at = (0, 0)
        self.style = {}

    def take(self, data):
        for token in _TOKEN.finditer(data):
            (x, y), (numbers, end) = self.at, token.groups()
            if end == "H":
                row, column = map(int, (numbers or "1;1").split(";"))
                self.at = column - 1, row - 1
            elif end == "C":
                self.at = x + int(numbers), y
            elif end == "m":
                self._turn([int(each or 0) for each in numbers.split(";")])
            elif end == "h" and numbers == "?1049":
                self.cells = {}
            elif end is None and token.group() == "\n":
                self.at = x, y + 1
            elif end is None:
                wide = cell_len(token.group())
                for place in range(x, x + wide):
                    self.cells[place, y] = token.group(), frozenset(self.style.items())
                self.at = x + wide, y

    def _turn(self, numbers):
        while numbers:
            many = {2: 5, 5: 3}[numbers[1]] if numbers[0] in {38, 48} else 1
            said, numbers = tuple(numbers[:many]), numbers[many:]
            if said == (0,):
                self.style = {}
            elif said[0] in {*range(40, 50), *range(100, 108)}:
                self.style["ground"] = said
            elif said[0] in {*range(30, 40), *range(90, 98)}:
                self.style["letters"] = said
            else:
                self.style[said] = True

    def text(self):
        """Return what stands there, a line a row."""
        rows = [y for _, y in self.cells]
        wide = max((x for x, _ in self.cells), default=-1) + 1
        return "\n".join(
            "".join(self.cells.get((x, y), (" ", None))[0] for x in range(wide))
            for y in range(max(rows, default=-1) + 1)
        )


class Watch:
    """A clock that goes on when it is told."""

    def __init__(self):
        self.gone_s = 0.0

    def wall(self):
        return datetime(2026, 3, 4, 17, 0) + timedelta(seconds=self.gone_s)

    def ticks(self):
        return 1000.0 + self.gone_s


@asynccontextmanager
async def workbench(path=None, size=(120, 40), watch=None):
    """Run the workbench; yield the app and its pilot."""
    from tui.app import Workbench
    from tui.bench.bench import first_bench
    from tui.bench.hour import Clock

    watch = watch or Watch()
    clock = Clock(wall=watch.wall, ticks=watch.ticks)
    app = Workbench(first_bench(path), today=TODAY, clock=clock)
    app.animation_level = "none"
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield app, pilot
        draw(app)
        app.keep_now()
        app.bench.opened.lock.release()


async def until(condition, longest_s=60.0):
    """Wait until something holds: at once on a quiet machine, long on a loaded one."""
    end = asyncio.get_running_loop().time() + longest_s
    while not condition():
        assert asyncio.get_running_loop().time() < end, "what was waited for never came"
        await asyncio.sleep(0.01)


def draw(app):
    """Draw every widget on view, as a frame would when all that was asked for is done."""
    if not app.is_running:
        return
    visible_screen_stack.set(app._background_screens)
    for _ in app.screen._compositor._get_renders(app.screen.size.region):
        pass


async def keys(pilot, *pressed):
    """Press keys as fast as they go; '=text' is typed letter by letter.

    All keys are there at once, as from a slow line: the app takes them one at a time.
    """
    app = pilot.app
    for each in pressed:
        for key in each[1:] if len(each) > 1 and each[0] == "=" else (each,):
            name = _character_to_key(key) if len(key) == 1 and not key.isalnum() else key
            app.post_message(Key(name, key if len(key) == 1 else None))
    for _ in range(8000):  # a loaded machine may take long; a quiet one leaves at once
        await asyncio.sleep(0.005)
        if not app.is_running or app._exit or not (app._waiting or app._busy):
            break
    await pilot.pause()
    for _ in range(100):  # what is shown once the screen has been drawn
        if not app.is_running or not (app.screen._callbacks or app.screen._layout_required):
            break
        await pilot.pause()
    draw(app)


def words_on(app):
    """Return the text on the screen, line by line."""
    lines = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in lines)
