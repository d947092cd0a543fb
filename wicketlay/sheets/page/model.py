"""The page model: what stands where, in millimetres from the top left corner, as plain data.

::

    (0, 0) ---- x ---->            y of a text is its baseline
      |
      y      a page knows nothing of PDF; `draw` knows nothing of wickets
      |
      v
"""

from __future__ import annotations

from enum import Enum, StrEnum
from typing import TYPE_CHECKING

from wicketlay.files.whole import own_mark
from wicketlay.values import dataclass, replace

if TYPE_CHECKING:
    from collections import Counter
    from collections.abc import Callable, Iterator
    from datetime import date

    from wicketlay.findings import Finding


class Face(StrEnum):
    """A font face."""

    REGULAR = "Roboto"
    BOLD = "Roboto-Bold"


class Ink(Enum):
    """How dark, as the share of white: black, one grey for fine lines, one tint for bands."""

    BLACK = 0.0
    GREY = 0.45
    TINT = 0.92
    WHITE = 1.0

    def __init__(self, white_share: float) -> None:
        self.white_share = white_share


class Role(Enum):
    """What a text is for: its face and its two sizes [pt].

    The full size is the usual one; the small one is for small paper, and where the full one does
    not fit.
    """

    PLACE = (Face.BOLD, 26.0, 19.0)
    BANNER = (Face.BOLD, 40.0, 26.0)
    ZERO = (Face.BOLD, 17.0, 14.0)
    HEADING = (Face.BOLD, 11.0, 9.5)
    MARK = (Face.BOLD, 20.0, 18.0)
    MARK_PLAIN = (Face.REGULAR, 20.0, 18.0)
    READING = (Face.BOLD, 24.0, 22.0)
    NAME = (Face.BOLD, 13.0, 10.0)
    FIGURE = (Face.REGULAR, 14.0, 11.5)
    FIGURE_STRONG = (Face.BOLD, 14.0, 11.5)
    BODY = (Face.REGULAR, 10.0, 9.0)
    STRONG = (Face.BOLD, 10.0, 9.0)
    LABEL = (Face.REGULAR, 8.0, 7.0)
    LABEL_STRONG = (Face.BOLD, 8.0, 7.0)

    def __init__(self, face: Face, large_pt: float, small_pt: float) -> None:
        self.face = face
        self.large_pt = large_pt
        self.small_pt = small_pt

    # Each is one object: widths are kept by role, and the usual hash is that of its name.
    __hash__ = object.__hash__


class Align(StrEnum):
    """Which point of a text its x is."""

    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A run of printable characters on one baseline; never parsed as markup."""

    x_mm: float
    y_mm: float
    text: str
    role: Role
    size_pt: float
    align: Align = Align.LEFT


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line; `dash_mm` 0 is unbroken."""

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    width_mm: float = 0.2
    dash_mm: float = 0.0
    ink: Ink = Ink.BLACK


@dataclass(frozen=True, slots=True)
class Rect:
    """A box from its top left corner; `line_mm` 0 draws no outline, `fill` None no inside."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    line_mm: float = 0.2
    fill: Ink | None = None


@dataclass(frozen=True, slots=True)
class Path:
    """A chain of straight pieces through `points_mm`, closed and filled when `fill` is given."""

    points_mm: tuple[tuple[float, float], ...]
    line_mm: float = 0.2
    dash_mm: float = 0.0
    fill: Ink | None = None


Item = Text | Line | Rect | Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One side of paper; a bookmark is the y it leads to [mm] and its title."""

    width_mm: float
    height_mm: float
    items: tuple[Item, ...]
    bookmarks: tuple[tuple[float, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Pages that belong together: one lane's tape sheet, one athlete's coach sheet.

    Parameters
    ----------
    kind
        "tape", "coach", "card".
    group, title
        The bookmark it hangs under, and its own.
    pages
        At least one.
    """

    kind: str
    group: str
    title: str
    pages: tuple[Page, ...]

    @property
    def of_assistant(self) -> bool:
        """Whether it is the assistant's; all others are the coach's."""
        return self.kind in {"tape", "stop"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """Sheets made one at a time, so that a big squad never lies in memory as a whole.

    Parameters
    ----------
    title
        Of the document, for its metadata.
    makers
        One function a sheet, in printing order.
    findings
        What making the paper found (characters no font has).
    origin
        The plan it is of, by the name of its file; "" for a plan that has no file.
    blank
        Makes the page that keeps the sheets of one role off the back of the other's.
    date
        Of the practice, for the metadata; None when the plan has none.
    """

    title: str
    makers: tuple[Callable[[], Sheet], ...]
    findings: tuple[Finding, ...] = ()
    origin: str = ""
    blank: Callable[[], Sheet] | None = None
    date: date | None = None

    @property
    def mark(self) -> str:
        """What a PDF holds so that it is known again as one of the same plan."""
        return own_mark(self.origin or self.title)

    def __len__(self) -> int:
        """Return the number of sheets."""
        return len(self.makers)

    def __iter__(self) -> Iterator[Sheet]:
        """Make the sheets, one after another.

        Where the other role begins on the back of a page, a blank one comes before.
        """
        written = 0
        before: Sheet | None = None
        for make in self.makers:
            sheet = make()
            turns = before is not None and before.of_assistant is not sheet.of_assistant
            if turns and written % 2 and self.blank is not None:
                yield self.blank()
                written += 1
            yield sheet
            written += len(sheet.pages)
            before = sheet

    def pages(self) -> Iterator[Page]:
        """Make all pages, in printing order."""
        return (page for sheet in self for page in sheet.pages)


def counted(document: Document, pages: Counter[str]) -> Document:
    """Return the same document, which adds the pages of each sheet to `pages`, by kind, as made."""

    def counting(make: Callable[[], Sheet]) -> Callable[[], Sheet]:
        def made() -> Sheet:
            sheet = make()
            pages[sheet.kind] += len(sheet.pages)
            return sheet

        return made

    return replace(
        document,
        makers=tuple(counting(make) for make in document.makers),
        blank=None if document.blank is None else counting(document.blank),
    )
