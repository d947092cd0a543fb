"""Paper: pages in millimetres made from what was solved, and their drawing as PDF."""

from __future__ import annotations

from typing import TYPE_CHECKING, BinaryIO

from wicketlay.sheets.document import KINDS, USUAL, make_pages
from wicketlay.sheets.page.model import Document, counted

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["KINDS", "USUAL", "Document", "counted", "make_pages", "write_pdf"]


def write_pdf(
    document: Document, stream: BinaryIO, progress: Callable[[int, int], None] | None = None
) -> int:
    """Draw a document as PDF; see `wicketlay.sheets.page.draw.write_pdf`.

    The PDF library is imported when the first page is set and not before, so that a check needs
    none of it.
    """
    from wicketlay.sheets.page.draw import write_pdf as draw  # noqa: PLC0415 - 0.2 s of import

    return draw(document, stream, progress)
