"""Pages to PDF: the one place that knows the PDF library. It draws what it is told."""

from __future__ import annotations

from collections import Counter
from functools import singledispatch
from typing import TYPE_CHECKING, BinaryIO
from xml.sax.saxutils import escape

from reportlab import rl_config
from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFStream
from reportlab.pdfgen.canvas import Canvas

from wicketlay.sheets.page import fonts
from wicketlay.sheets.page.model import Align, Document, Face, Item, Line, Page, Path, Rect, Text

if TYPE_CHECKING:
    from collections.abc import Callable

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
                canvas.addOutlineEntry(sheet.title, key, level=1)
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
    told = _XMP.format(title=escape(document.title), language=_LANGUAGE, dates=dates)
    kind = {"Type": PDFName("Metadata"), "Subtype": PDFName("XML")}
    # Not compressed: whoever looks for it reads the file as text.
    stream = PDFStream(PDFDictionary(kind), told.encode("utf-8"), filters=[])
    # The library has no door of its own for it.
    canvas._doc.Catalog.Metadata = stream  # type: ignore[attr-defined]  # noqa: SLF001


def _draw_page(canvas: Canvas, page: Page) -> None:
    for item in page.items:
        _draw(item, canvas, page.height_mm)


@singledispatch
def _draw(item: Item, canvas: Canvas, height_mm: float) -> None:  # noqa: ARG001 - the kinds use them
    raise TypeError(type(item).__name__)


@_draw.register
def _(item: Text, canvas: Canvas, height_mm: float) -> None:
    canvas.setFillGray(item.ink.white_share)
    canvas.setFont(item.role.face.value, item.size_pt)
    x, y = item.x_mm * _PT, (height_mm - item.y_mm) * _PT
    if item.align is Align.LEFT:
        canvas.drawString(x, y, item.text)
    elif item.align is Align.RIGHT:
        canvas.drawRightString(x, y, item.text)
    else:
        canvas.drawCentredString(x, y, item.text)


def _pen(canvas: Canvas, item: Line | Rect | Path, width_mm: float, dash_mm: float = 0.0) -> None:
    canvas.setLineWidth(width_mm * _PT)
    canvas.setStrokeGray(item.ink.white_share)
    canvas.setDash([dash_mm * _PT] if dash_mm else [])


@_draw.register
def _(item: Line, canvas: Canvas, height_mm: float) -> None:
    _pen(canvas, item, item.width_mm, item.dash_mm)
    canvas.line(
        item.x1_mm * _PT,
        (height_mm - item.y1_mm) * _PT,
        item.x2_mm * _PT,
        (height_mm - item.y2_mm) * _PT,
    )


@_draw.register
def _(item: Rect, canvas: Canvas, height_mm: float) -> None:
    _pen(canvas, item, item.line_mm)
    if item.fill is not None:
        canvas.setFillGray(item.fill.white_share)
    canvas.rect(
        item.x_mm * _PT,
        (height_mm - item.y_mm - item.height_mm) * _PT,
        item.width_mm * _PT,
        item.height_mm * _PT,
        stroke=int(item.line_mm > 0),
        fill=int(item.fill is not None),
    )


@_draw.register
def _(item: Path, canvas: Canvas, height_mm: float) -> None:
    _pen(canvas, item, item.line_mm, item.dash_mm)
    path = canvas.beginPath()
    (x, y), *rest = item.points_mm
    path.moveTo(x * _PT, (height_mm - y) * _PT)
    for x, y in rest:
        path.lineTo(x * _PT, (height_mm - y) * _PT)
    if item.fill is not None:
        path.close()
        canvas.setFillGray(item.fill.white_share)
    canvas.drawPath(path, stroke=int(item.line_mm > 0), fill=int(item.fill is not None))
