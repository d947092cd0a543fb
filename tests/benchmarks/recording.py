"""What a canvas was told, written down and told again to a bare one."""

from __future__ import annotations

import re
import zlib
from typing import Any, BinaryIO

Log = list[tuple[str, str, list[Any], dict[str, Any]]]
"""(who, method, arguments, keywords) of every call, the making of the canvas first."""
_BEGUN = {"beginPath": "path", "beginText": "text"}
"""What a canvas begins is told by itself, and then drawn."""


def _plain(value: Any) -> Any:
    """Return a value as plain Python: a number of an array's kind as a float."""
    if isinstance(value, _Recorded):
        return value._name
    return value.item() if hasattr(value, "item") else value


class _Recorded:
    """A canvas, or a path or text of one, that writes down every call with its arguments."""

    def __init__(self, real: Any, log: Log, name: str = "canvas") -> None:
        self._real, self._log, self._name = real, log, name

    def __getattr__(self, method: str) -> Any:
        if method.startswith("_"):
            return getattr(self._real, method)  # told past the canvas: nothing is drawn by it

        def call(*args: Any, **kwargs: Any) -> Any:
            plain = [a._real if isinstance(a, _Recorded) else a for a in args]
            made = getattr(self._real, method)(*plain, **kwargs)
            told = [_plain(a) for a in args]
            self._log.append((self._name, method, told, kwargs))
            begun = _BEGUN.get(method)
            return made if begun is None else _Recorded(made, self._log, begun)

        return call


def record(document: Any, stream: BinaryIO) -> Log:
    """Draw a document as the program does and return what its canvas was told."""
    from wicketlay.sheets.page import draw

    real, log = draw.Canvas, []

    def canvas(stream: BinaryIO, **options: Any) -> Any:
        log.append(("canvas", "__init__", [], options))
        return _Recorded(real(stream, **options), log)

    draw.Canvas = canvas  # type: ignore[assignment,misc]
    try:
        draw.write_pdf(document, stream)
    finally:
        draw.Canvas = real  # type: ignore[misc]
    return log


def replay(log: Log, stream: BinaryIO) -> None:
    """Tell a bare canvas the recorded calls and nothing else."""
    from reportlab.pdfgen.canvas import Canvas

    told = {"canvas": Canvas(stream, **log[0][3])}
    for name, method, args, kwargs in log[1:]:
        if method in {"drawPath", "drawText"}:
            getattr(told["canvas"], method)(told[args[0]], *args[1:], **kwargs)
            continue
        made = getattr(told[name], method)(*args, **kwargs)
        if method in _BEGUN:
            told[_BEGUN[method]] = made


def streams(pdf: bytes) -> list[bytes]:
    """Return the page and font streams of a PDF, unpacked; what it says of itself left out."""
    found = re.findall(rb"stream\r?\n(.*?)endstream", pdf, re.DOTALL)
    drawn = [each for each in found if not each.startswith(b"<?xpacket")]
    return [zlib.decompress(each) if each[:1] == b"x" else each for each in drawn]
