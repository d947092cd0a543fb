"""Pages to PDF: the one place that knows the PDF library. It draws what it is told."""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING, BinaryIO

from reportlab import rl_config
from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFStream
from reportlab.pdfgen.canvas import Canvas

from wicketlay.sheets.page import fonts
from wicketlay.sheets.page.layout import width_mm
from wicketlay.sheets.page.model import Align, Document, Face, Ink, Line, Page, Path, Rect, Text

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

_PT = 72 / 25.4
_LANGUAGE = "en"

# Streams as printable text are for links that lose bytes: a tenth more of file and of time.
rl_config.useA85 = 0


def write_pdf(
    document: Document,
    stream: BinaryIO,
    progress: Callable[[int, int], None] | None = None,
) -> int:
    """Draw a document as PDF, the same bytes for the same document.

    Parameters
    ----------
    document
        Its sheets are made and drawn one at a time.
    stream
        Where the bytes go, all at once at the end.
    progress
        Called after each sheet with sheets done and sheets in all.

    Returns
    -------
    int
        Number of pages written.
    """
    for face in Face:
        fonts.registered(face)
    canvas = Canvas(
        stream,
        invariant=1,
        pageCompression=1,
        # Otherwise every page refers to a Helvetica that is not embedded.
        initialFontName=Face.REGULAR.value,  # type: ignore[arg-type]  # the stubs are wrong
        lang=_LANGUAGE,
        pdfVersion=(1, 7),
    )
    canvas.setTitle(document.title)
    canvas.setCreator("wicketlay")
    canvas.setSubject("drill marks to lay out with a tape")
    canvas.setAuthor("")
    canvas.setKeywords(document.mark)
    _describe(canvas, document)
    canvas.setViewerPreference("PrintScaling", "None")
    # Where a printer turns paper over, it does so as a book is turned, and no role is mixed:
    # the document has a blank page between the assistant's sheets and the coach's.
    canvas.setViewerPreference("Duplex", "DuplexFlipLongEdge")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.showOutline()
    written = 0
    numbered: Counter[str] = Counter()
    group = None
    for number, sheet in enumerate(document, start=1):
        begun: set[str] = set()
        for index, page in enumerate(sheet.pages):
            canvas.setPageSize((page.width_mm * _PT, page.height_mm * _PT))
            # Labels as people say them: A1, A2 the assistant's pages, C1, C2 the coach's.
            letter = "A" if sheet.of_assistant else "C"
            numbered[letter] += sheet.kind != "blank"
            if sheet.kind == "blank":
                canvas.addPageLabel(written, prefix="blank")
            else:
                canvas.addPageLabel(written, "ARABIC", numbered[letter], letter)
            if index == 0 and sheet.kind != "blank":
                key = f"sheet-{number}"
                canvas.bookmarkPage(key)
                if sheet.group != group:
                    # A key of its own: the library keeps one title a key.
                    canvas.bookmarkPage(f"group-{number}")
                    canvas.addOutlineEntry(sheet.group, f"group-{number}", level=0, closed=False)
                    group = sheet.group
                canvas.addOutlineEntry(sheet.title, key, level=1, closed=True)
            for at_mm, title in page.bookmarks:
                # What goes on over the page is found where it begins.
                if title not in begun:
                    begun.add(title)
                    key = f"sheet-{number}-{len(begun)}"
                    top = (page.height_mm - at_mm) * _PT
                    canvas.bookmarkPage(key, fit="XYZ", left=0, top=top)
                    canvas.addOutlineEntry(title, key, level=2)
            _draw_page(canvas, page)
            canvas.showPage()
            written += 1
        if progress is not None:
            progress(number, len(document))
    canvas.save()
    return written


_XMP = """\
<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" \
xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/">
<dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<dc:language><rdf:Bag><rdf:li>{language}</rdf:li></rdf:Bag></dc:language>
<xmp:CreatorTool>wicketlay</xmp:CreatorTool>{dates}
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="r"?>"""
"""What a PDF says of itself to those who do not read PDF: Dublin Core in XMP (ISO 16684-1)."""
_IN_XML = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})
"""The standard library's own way brings half a web client with it."""


def _describe(canvas: Canvas, document: Document) -> None:
    """Write title, language and the day of the practice as metadata.

    The day is the plan's, never that of a clock, so that the same plan gives the same bytes.
    """
    dates = ""
    date = document.date
    if date is not None:
        day = f"{date:%Y-%m-%d}"
        dates = f"\n<xmp:CreateDate>{day}</xmp:CreateDate><xmp:ModifyDate>{day}</xmp:ModifyDate>"
        canvas.setDateFormatter(lambda *_: f"D:{date:%Y%m%d}")
    title = document.title.translate(_IN_XML)
    told = _XMP.format(title=title, language=_LANGUAGE, dates=dates)
    kind = {"Type": PDFName("Metadata"), "Subtype": PDFName("XML")}
    # Not compressed: whoever looks for it reads the file as text.
    stream = PDFStream(PDFDictionary(kind), told.encode("utf-8"), filters=[])
    # The library has no door of its own for it.
    canvas._doc.Catalog.Metadata = stream  # type: ignore[attr-defined]  # noqa: SLF001


def _draw_page(canvas: Canvas, page: Page) -> None:
    """Draw lines and bands, then all texts as one text object: whatever is read lies on top.

    An object of its own for each text would tell face, size and line height each time.
    """
    drawing = _Drawing(canvas, page.height_mm)
    texts = []
    for item in page.items:
        if isinstance(item, Text):
            texts.append(item)
        else:
            drawing.draw(item)
    drawing.write(texts)


class _Drawing:
    """A page as it is drawn, and how the canvas was last set, which is told to it once."""

    def __init__(self, canvas: Canvas, height_mm: float) -> None:
        self.canvas = canvas
        self.height_mm = height_mm
        self.fill = self.stroke = self.width_mm = self.dash_mm = math.nan

    def draw(self, item: Line | Rect | Path) -> None:
        """Draw an item that is no text."""
        match item:
            case Line():
                self._line(item)
            case Rect():
                self._rect(item)
            case Path():
                self._path(item)

    def write(self, items: Sequence[Text]) -> None:
        """Write the texts of the page."""
        told = self.canvas.beginText()
        font: tuple[str, float] | None = None
        if self.fill != Ink.BLACK.white_share:
            told.setFillGray(Ink.BLACK.white_share)
        for item in items:
            face = (item.role.face.value, item.size_pt)
            if face != font:
                font = face
                told.setFont(*face)
            x_mm = item.x_mm
            if item.align is not Align.LEFT:
                wide_mm = width_mm(item.text, item.role, item.size_pt)
                x_mm -= wide_mm if item.align is Align.RIGHT else wide_mm / 2
            told.setTextOrigin(x_mm * _PT, (self.height_mm - item.y_mm) * _PT)
            # Not `textOut`, which measures what it writes.
            told.textLine(item.text)
        self.canvas.drawText(told)

    def _line(self, item: Line) -> None:
        self._pen(item.ink, item.width_mm, item.dash_mm)
        self.canvas.line(
            item.x1_mm * _PT,
            (self.height_mm - item.y1_mm) * _PT,
            item.x2_mm * _PT,
            (self.height_mm - item.y2_mm) * _PT,
        )

    def _rect(self, item: Rect) -> None:
        if item.line_mm > 0:
            self._pen(Ink.BLACK, item.line_mm, 0.0)
        if item.fill is not None:
            self._fill(item.fill)
        self.canvas.rect(
            item.x_mm * _PT,
            (self.height_mm - item.y_mm - item.height_mm) * _PT,
            item.width_mm * _PT,
            item.height_mm * _PT,
            stroke=int(item.line_mm > 0),
            fill=int(item.fill is not None),
        )

    def _path(self, item: Path) -> None:
        if item.line_mm > 0:
            self._pen(Ink.BLACK, item.line_mm, item.dash_mm)
        path = self.canvas.beginPath()
        (x, y), *rest = item.points_mm
        path.moveTo(x * _PT, (self.height_mm - y) * _PT)
        for x, y in rest:
            path.lineTo(x * _PT, (self.height_mm - y) * _PT)
        if item.fill is not None:
            path.close()
            self._fill(item.fill)
        self.canvas.drawPath(path, stroke=int(item.line_mm > 0), fill=int(item.fill is not None))

    def _fill(self, ink: Ink) -> None:
        if ink.white_share != self.fill:
            self.canvas.setFillGray(ink.white_share)
            self.fill = ink.white_share

    def _pen(self, ink: Ink, width_mm: float, dash_mm: float) -> None:
        if width_mm != self.width_mm:
            self.canvas.setLineWidth(width_mm * _PT)
            self.width_mm = width_mm
        if ink.white_share != self.stroke:
            self.canvas.setStrokeGray(ink.white_share)
            self.stroke = ink.white_share
        if dash_mm != self.dash_mm:
            self.canvas.setDash([dash_mm * _PT] if dash_mm else [])
            self.dash_mm = dash_mm
