"""Side B of the sheet benchmark: A's imports and fonts, and A's drawing when it is given.

    python tests/benchmarks/bare_sheet.py MODULES FONTS [OPERATIONS OUTPUT]

MODULES holds the names A had imported, in order, with a ! before an empty one that A put there
itself; FONTS a name and a file of each face a line; OPERATIONS what A told its canvas.
"""

from __future__ import annotations

import importlib
import marshal
import sys
from pathlib import Path
from types import ModuleType


def main(modules: str, fonts: str, operations: str = "", output: str = "") -> None:
    """Import, make the fonts known, and draw what was recorded."""
    for name in Path(modules).read_text(encoding="utf-8").split():
        if name.startswith("!"):
            sys.modules.setdefault(name[1:], ModuleType(name[1:]))
        else:
            importlib.import_module(name)
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for line in Path(fonts).read_text(encoding="utf-8").splitlines():
        pdfmetrics.registerFont(TTFont(*line.split(maxsplit=1)))
    if operations:
        from recording import replay

        with Path(output).open("wb") as stream:
            replay(marshal.loads(Path(operations).read_bytes()), stream)  # noqa: S302 - our own


if __name__ == "__main__":
    main(*sys.argv[1:])
