"""Building blocks of a page: a verdict with its mark, quiet tables, headings that find their way into the outline."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Frame, Paragraph, Table, TableStyle

from core.sheet.figures.draw import Sheet
from core.sheet.figures.marks import put_mark
from core.sheet.figures.palette import PRINT_PALETTE
from core.sheet.fonts import REGULAR
from core.sheet.style import HAIRLINE
from core.verdict import Answer


class Marked(Flowable):  # type: ignore[misc]
    """A paragraph with a verdict's mark in front of its first line; without a verdict it only stands as far in."""

    def __init__(self, answer: Answer | None, paragraph: Paragraph) -> None:
        super().__init__()
        self.paragraph = paragraph
        size = float(paragraph.style.fontSize)
        self._radius = size * 0.38
        self._indent = size * 1.15
        sheet = Sheet((40, 40), PRINT_PALETTE)
        if answer is not None:
            put_mark(sheet, (self._radius, self._radius), self._radius, answer)
        self._mark = sheet.drawing

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """Return the room it takes [pt]."""
        inner = max(available_width - self._indent, 1.0)
        _, self.height = self.paragraph.wrap(inner, available_height)
        self.width = available_width
        return self.width, self.height

    def draw(self) -> None:
        """Draw mark and words."""
        style = self.paragraph.style
        # The middle of the mark sits on the middle of the capitals of the first line.
        baseline = self.height - style.fontSize * 0.95
        self._mark.drawOn(self.canv, 0, baseline + style.fontSize * 0.36 - self._radius)
        self.paragraph.drawOn(self.canv, self._indent, 0)


class Heading(Flowable):  # type: ignore[misc]
    """A heading that enters itself in the document's outline."""

    def __init__(self, paragraph: Paragraph, title: str, key: str, level: int = 0) -> None:
        super().__init__()
        self.paragraph, self.title, self.key, self.level = paragraph, title, key, level

    def getSpaceBefore(self) -> float:  # noqa: N802 - reportlab's name
        """Return the space above [pt]."""
        return float(self.paragraph.getSpaceBefore())

    def getSpaceAfter(self) -> float:  # noqa: N802 - reportlab's name
        """Return the space below [pt]."""
        return float(self.paragraph.getSpaceAfter())

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """Return the room it takes [pt]."""
        self.width, self.height = self.paragraph.wrap(available_width, available_height)
        return self.width, self.height

    def draw(self) -> None:
        """Draw the words and enter them in the outline."""
        canvas: Canvas = self.canv
        canvas.bookmarkHorizontal(self.key, 0, self.height + 6)
        canvas.addOutlineEntry(self.title, self.key, level=self.level, closed=0)
        self.paragraph.drawOn(canvas, 0, 0)


class Scaled(Flowable):  # type: ignore[misc]
    """A story drawn smaller, so that it fits the room it has; its type is set as if the page were larger."""

    def __init__(self, story: Sequence[Flowable], width: float, height: float, scale: float) -> None:
        super().__init__()
        self.story, self.width, self.height, self.scale = list(story), width, height, scale

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """Return the room it takes [pt]."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw the whole story; what does not fit would be lost, so that is a bug."""
        self.canv.saveState()
        self.canv.scale(self.scale, self.scale)
        frame = Frame(
            0, 0, self.width / self.scale, self.height / self.scale,
            leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
        )  # fmt: skip
        frame.addFromList(self.story, self.canv)
        if self.story:
            raise RuntimeError("a page that was measured to fit did not")
        self.canv.restoreState()


def table(
    rows: Sequence[Sequence[object]],
    widths: Sequence[float],
    *,
    heads: int = 0,
    is_lined: bool = True,
    padding: float = 2.2,
    more: Sequence[tuple[object, ...]] = (),
) -> Table:
    """Return a table without boxes: hairlines between its rows at most, text on the left edge.

    Parameters
    ----------
    rows : sequence of rows
        A cell is a flowable or a list of them.
    widths : sequence of float
        Column widths [pt].
    heads : int
        How many rows are repeated on each page.
    is_lined : bool
        Whether hairlines run between the rows.
    padding : float
        Space above and below each cell [pt].
    more : sequence of tuple
        Further commands of reportlab's table style.
    """
    commands: list[tuple[object, ...]] = [
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 6),
        ("TOPPADDING", (0, 0), (-1, -1), padding),
        ("BOTTOMPADDING", (0, 0), (-1, -1), padding),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("FONTNAME", (0, 0), (-1, -1), REGULAR),  # of empty cells: the default is a face that is not embedded
    ]
    if is_lined and len(rows) > 1:
        commands.append(("LINEABOVE", (0, 1), (-1, -1), 0.4, HexColor(HAIRLINE)))
    made = Table([list(row) for row in rows], colWidths=list(widths), repeatRows=heads, hAlign="LEFT")
    made.setStyle(TableStyle([*commands, *more]))
    return made


def bare(flowables: Sequence[Flowable], width: float) -> Table:
    """Return several flowables stacked as one, for standing beside others."""
    return table([[list(flowables)]], [width], is_lined=False, padding=0)
