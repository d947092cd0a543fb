"""What every sheet shares: what stands at its top and foot, the check bar, boxes, findings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.findings import Finding, Level
from wicketlay.sheets.page.flow import Block, Frame, abreast, paragraph
from wicketlay.sheets.page.layout import Paper, Pen, cap_mm, fit, line_mm, width_mm, wrap
from wicketlay.sheets.page.model import Align, Role
from wicketlay.sheets.page.tables import Column
from wicketlay.values import replace
from wicketlay.wording import told, word
from wicketlay.wording.cautions import FOOT_LINE
from wicketlay.wording.places import ground_text

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from wicketlay.plan import Plan
    from wicketlay.sheets.setting import PlanSetting, Setting
    from wicketlay.units import UnitSystem


CHECK_BAR_MM = 100.0
GAP_MM = 2.0
"""White between blocks."""


def frame(
    setting: Setting, sheet: str, *, heading: str | None = None, turn_over: Sequence[str] = ()
) -> Frame:
    """Return top and foot of the pages of one of a laying's sheets.

    Parameters
    ----------
    sheet
        What the foot calls it ("tape sheet").
    heading
        What stands large at the top; the place when None.
    turn_over
        What the foot of each page but the last says of what follows.
    """
    identity = identity_text(setting.solved.plan, setting.short_place)
    return page_frame(setting.paper, heading or setting.place, identity, sheet, turn_over=turn_over)


def plan_frame(setting: PlanSetting, name: str, sheet: str) -> Frame:
    """Return top and foot of the pages of a sheet of the whole plan: `name` large, then its title.

    One of several stations is called by its title. The stage is told when the plan has stages.
    """
    plan = setting.solved.plan
    parts = [name.upper()]
    if not setting.alone:
        parts.append(setting.title.upper())
    elif setting.layings and setting.layings[0].placed.line_text:
        parts.append(setting.layings[0].placed.line_text.upper())
    if plan.stages is not None:
        parts.append(f"STAGE {plan.stage}")
    identity = identity_text(plan, title=setting.title)
    return page_frame(setting.paper, " · ".join(parts), identity, sheet)


def identity_text(plan: Plan, *place: str, title: str | None = None) -> str:
    """Return what tells a page from those of other days: title, day, ground where it is named."""
    title = plan.title if title is None else title
    return joined(title, plan.date, ground_text(plan.ground), *place)


def joined(*parts: str | date | None) -> str:
    """Return the parts that say something, with a dot between."""
    return " · ".join(str(part) for part in parts if part)


def page_frame(
    paper: Paper, heading: str, identity: str, sheet: str, *, turn_over: Sequence[str] = ()
) -> Frame:
    """Return top and foot of pages: `heading` large, cautions, `identity` and check bar below.

    `turn_over` stands at the foot of the pages but the last, a text a page.
    """
    size = paper.size_pt(Role.LABEL)
    identity_lines = wrap(identity, Role.LABEL, size, paper.inner_mm)
    cautions = wrap(FOOT_LINE, Role.LABEL, Role.LABEL.small_pt, paper.inner_mm)
    cautions_mm = len(cautions) * line_mm(Role.LABEL.small_pt)
    # Beside what the sheet is of where there is room, else on a line of its own above.
    over, over_pt = Role.HEADING, Role.HEADING.small_pt
    beside_mm = width_mm(identity_lines[-1], Role.LABEL, size) if identity_lines else 0.0
    over_mm = max((width_mm(text, over, over_pt) for text in turn_over), default=0.0)
    over_above = bool(turn_over) and beside_mm + over_mm + 4.0 > paper.inner_mm

    def top(pen: Pen, index: int) -> float:
        y = paper.margin_mm
        if index == 0:
            role = Role.PLACE
            points, lines = fit(heading, role, paper.inner_mm, compact=paper.compact)
        else:
            role, points = Role.HEADING, Role.HEADING.large_pt
            lines = wrap(f"{heading} · continued", role, points, paper.inner_mm)
        pen.lines(paper.left_mm, y + cap_mm(points), lines, role, size_pt=points)
        y += cap_mm(points) + (len(lines) - 1) * line_mm(points) + 2.2
        pen.line(paper.left_mm, y, paper.right_mm, y, width_mm=0.7)
        return y + 1.6

    def foot(pen: Pen, number: int, count: int) -> None:
        y = paper.height_mm - paper.margin_mm - _last_lines_mm(paper)
        baseline = y - 1.2 - (len(identity_lines) - 1) * line_mm(size)
        rule = baseline - cap_mm(size) - 1.2 - cautions_mm
        pen.line(paper.left_mm, rule, paper.right_mm, rule)
        warned = rule + 1.0 + cap_mm(Role.LABEL.small_pt)
        pen.lines(paper.left_mm, warned, cautions, Role.LABEL, size_pt=Role.LABEL.small_pt)
        if number < count and turn_over:
            last = baseline + (len(identity_lines) - 1) * line_mm(size)
            at = rule - 1.4 if over_above else last
            text = turn_over[min(number, len(turn_over)) - 1]
            pen.text(paper.right_mm, at, text, over, size_pt=over_pt, align=Align.RIGHT)
        pen.lines(paper.left_mm, baseline, identity_lines, Role.LABEL)
        pages = f"page {number} of {count}"
        lines = (sheet, pages) if paper.compact else (f"{sheet}, {pages}",)
        at_mm, align = paper.right_mm, Align.RIGHT
        if paper.screen:
            lines, at_mm, align = (f"{sheet}, {pages}",), paper.left_mm, Align.LEFT
        else:
            check_bar(pen, paper.left_mm, y + 1.4)
        for line, at in zip(lines, foot_lines_mm(paper), strict=False):
            pen.text(at_mm, at, line, Role.LABEL_STRONG, align=align)

    foot_mm = _last_lines_mm(paper) + len(identity_lines) * line_mm(size) + cautions_mm + 2.2
    if over_above:
        foot_mm += cap_mm(over_pt) + 2.2
    return Frame(paper=paper, top=top, foot=foot, foot_mm=foot_mm)


def _last_lines_mm(paper: Paper) -> float:
    """Return the height of the check bar, or of the one line below all on a screen."""
    return 2.6 if paper.screen else 6.0


def foot_lines_mm(paper: Paper) -> tuple[float, ...]:
    """Return the baselines at the right of the foot: the sheet, its page, and its stamp last.

    On a screen all stand on one line.
    """
    top = paper.height_mm - paper.margin_mm - _last_lines_mm(paper)
    if paper.screen:
        return (top + 1.9,)
    if paper.compact:
        return (top + 1.4, top + 4.05, top + 6.7)
    return (top + 3.2, top + 6.5)


def check_bar(pen: Pen, x_mm: float, y_mm: float) -> None:
    """Draw the 100 mm bar that shows whether the printer kept the size."""
    pen.line(x_mm, y_mm, x_mm + CHECK_BAR_MM, y_mm, width_mm=0.3)
    for i in range(11):
        height = 1.6 if i % 5 == 0 else 0.9
        pen.line(x_mm + 10 * i, y_mm, x_mm + 10 * i, y_mm + height, width_mm=0.2)
    size = Role.LABEL.small_pt
    told = "This bar is 100 mm. If it is not, print again at actual size (100 %)."
    pen.text(x_mm, y_mm + 2.2 + cap_mm(size), told, Role.LABEL, size_pt=size)


def heading(text: str, paper: Paper, *, rule: bool = True) -> Block:
    """Return the heading of a part of a sheet."""
    size = paper.size_pt(Role.HEADING)
    lines = wrap(text, Role.HEADING, size, paper.inner_mm)
    high = cap_mm(size) + (len(lines) - 1) * line_mm(size)

    def draw(pen: Pen, y: float) -> None:
        pen.lines(paper.left_mm, y + 1.0 + cap_mm(size), lines, Role.HEADING)
        if rule:
            below = y + high + 2.0
            pen.line(paper.left_mm, below, paper.right_mm, below, width_mm=0.2)

    return Block(height_mm=high + 3.2, draw=draw, keeps_next=True)


def banner(stops: Iterable[Finding], paper: Paper, unit: UnitSystem) -> tuple[Block, ...]:
    """Return "DO NOT LAY OUT" across the sheet, with each reason and its remedy."""
    role = Role.PLACE if paper.screen else Role.BANNER
    size = paper.size_pt(role)

    def draw(pen: Pen, y: float) -> None:
        y += GAP_MM
        high = cap_mm(size) + 12.0
        pen.rect(paper.left_mm, y, paper.inner_mm, high, line_mm=1.6)
        middle = y + (high + cap_mm(size)) / 2
        pen.text(paper.column_mm(0.5), middle, "DO NOT LAY OUT", role, align=Align.CENTRE)

    blocks = [Block(height_mm=cap_mm(size) + 12.0 + 3 * GAP_MM, draw=draw)]
    for finding in stops:
        phrase = word(finding, unit)
        blocks.append(paragraph(as_sentence(phrase.text), Role.ZERO, paper))
        if phrase.remedy:
            blocks.append(paragraph(as_sentence(phrase.remedy), Role.NAME, paper, below_mm=4.0))
    return tuple(blocks)


def finding_lines(found: Iterable[Finding], paper: Paper, unit: UnitSystem) -> tuple[Block, ...]:
    """Return findings one below the other, each with its level as a word and a sign."""
    return told_lines(told(found, unit), paper)


def told_lines(lines: Iterable[tuple[Level, str]], paper: Paper) -> tuple[Block, ...]:
    """Return lines of findings as `finding_lines` does."""
    wide = 18.0
    blocks = []
    for level, text in lines:
        noted = level is Level.NOTE
        word, role = (level.value, Role.BODY) if noted else (level.value.upper(), Role.STRONG)
        cells = (
            (paper.left_mm, wide, word, role),
            (paper.left_mm + wide, paper.inner_mm - wide, as_sentence(text), Role.BODY),
        )
        blocks.append(abreast(cells, Role.BODY.small_pt, below_mm=0.8))
    return tuple(blocks)


def capital(text: str) -> str:
    """Return lower-case wording with its first letter in upper case."""
    return text[:1].upper() + text[1:]


def as_sentence(text: str) -> str:
    """Return lower-case wording as a sentence, "" for none."""
    return capital(text) + ("" if text.endswith((".", "!", "?")) or not text else ".")


def athlete_column(least_mm: float, *, share: float = 0.0) -> Column:
    """Return the column of the names of a table of athletes."""
    column = Column(title="athlete", align=Align.LEFT, strong=True, wraps=True, names=True)
    return replace(column, share=share, least_mm=least_mm)


def boxed(lines: Iterable[tuple[str, Role]], paper: Paper) -> Block:
    """Return lines of text in a box, wrapped to its width."""
    set_lines: list[tuple[str, Role, float]] = []
    for text, role in lines:
        size = paper.size_pt(role)
        set_lines += [(part, role, size) for part in wrap(text, role, size, paper.inner_mm - 6.0)]
    inner = sum(line_mm(size) for _, _, size in set_lines)

    def draw(pen: Pen, y: float) -> None:
        pen.rect(paper.left_mm, y, paper.inner_mm, inner + 2.6, line_mm=0.5)
        baseline = y + 1.6
        for text, role, size in set_lines:
            pen.text(paper.left_mm + 3.0, baseline + cap_mm(size), text, role, size_pt=size)
            baseline += line_mm(size)

    return Block(height_mm=inner + 2.6 + GAP_MM, draw=draw)
