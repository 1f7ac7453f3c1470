"""The PDF itself: pages, footers, outline and metadata, the same bytes for the same job every time."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from core.language import tr
from core.sheet.fonts import REGULAR, install_fonts
from core.sheet.style import FOOT, HEAD, MARGIN, PAGES, QUIET, SMALL
from core.sheet.text import fitted

NUMBER_WIDTH = 120.0
"""Room for a page number at the foot [pt]."""


@dataclass(frozen=True)
class Cover:
    """What a document says about itself: title, author, the line at the foot of each page, and what it is known by."""

    title: str
    author: str
    foot: str
    keywords: str = ""


class _NumberedCanvas(Canvas):  # type: ignore[misc]
    """Leaves a gap for "page x of y" on each page, and fills the gaps once the number of pages is known."""

    def leave_gap(self, right: float, baseline: float) -> None:
        """Keep room for this page's number, ending at `right`."""
        self.saveState()
        self.translate(right - NUMBER_WIDTH, baseline)
        self.doForm(_gap(self.getPageNumber()))
        self.restoreState()

    def save(self) -> None:
        """Fill the gaps, then write the document."""
        pages = self.getPageNumber() - 1
        for page in range(1, pages + 1):
            self.beginForm(_gap(page), 0, -SMALL, NUMBER_WIDTH, 2 * SMALL)
            self.setFont(REGULAR, SMALL)
            self.setFillColor(HexColor(QUIET))
            self.drawRightString(NUMBER_WIDTH, 0, tr("page {page} of {pages}", page=page, pages=pages))
            self.endForm()
        super().save()


def _gap(page: int) -> str:
    return f"number-{page}"


def frame_size(page: str) -> tuple[float, float]:
    """Return width and height [pt] of the area text may fill."""
    width, height = PAGES[page]
    return width - 2 * MARGIN, height - HEAD - FOOT


def as_pdf(story: Sequence[Flowable], cover: Cover, page: str) -> bytes:
    """Set a story into pages.

    Parameters
    ----------
    story : sequence of flowables
        What to print; used up by it.
    cover : Cover
        Title, author and foot, already clean.
    page : str
        One of `PAGES`.

    Returns
    -------
    bytes
        The PDF; equal input gives equal bytes.
    """
    install_fonts()
    out = io.BytesIO()
    document = BaseDocTemplate(
        out,
        pagesize=PAGES[page],
        title=cover.title,
        author=cover.author,
        subject=cover.foot,
        keywords=cover.keywords,
        creator="Pinionbook",
        lang="en",
        initialFontName=REGULAR,
        invariant=1,
        pageCompression=1,
    )
    width, height = frame_size(page)
    frame = Frame(MARGIN, FOOT, width, height, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)

    def foot(canvas: _NumberedCanvas, _document: BaseDocTemplate) -> None:
        baseline = FOOT * 0.55
        canvas.setFont(REGULAR, SMALL)
        canvas.setFillColor(HexColor(QUIET))
        canvas.drawString(MARGIN, baseline, fitted(cover.foot, REGULAR, SMALL, width - NUMBER_WIDTH))
        canvas.leave_gap(MARGIN + width, baseline)

    document.addPageTemplates(PageTemplate("page", [frame], onPage=foot))
    document.build(list(story), canvasmaker=_NumberedCanvas)
    return out.getvalue()
