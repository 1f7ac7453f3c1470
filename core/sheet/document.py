"""The PDF itself: pages, footers, outline and metadata, the same bytes for the same job every time."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from core.language import tr
from core.sheet.fonts import REGULAR, install_fonts
from core.sheet.style import FOOT, HEAD, MARGIN, PAGES, QUIET, SMALL
from core.sheet.text import fitted


@dataclass(frozen=True)
class Cover:
    """What a document says about itself: title, author, and the line at the foot of each page."""

    title: str
    author: str
    foot: str


def frame_size(page: str) -> tuple[float, float]:
    """Return width and height [pt] of the area text may fill."""
    width, height = PAGES[page]
    return width - 2 * MARGIN, height - HEAD - FOOT


def as_pdf(story: Callable[[], Sequence[Flowable]], cover: Cover, page: str) -> bytes:
    """Set a story into pages.

    Parameters
    ----------
    story : callable
        Returns the flowables, new ones at each call: they are set twice, first to count the pages.
    cover : Cover
        Title, author and foot, already clean.
    page : str
        One of `PAGES`.

    Returns
    -------
    bytes
        The PDF; equal input gives equal bytes.
    """
    pages = _set(story(), cover, page, 0)[1]
    return _set(story(), cover, page, pages)[0]


def _set(story: Sequence[Flowable], cover: Cover, page: str, pages: int) -> tuple[bytes, int]:
    install_fonts()
    out = io.BytesIO()
    document = BaseDocTemplate(
        out,
        pagesize=PAGES[page],
        title=cover.title,
        author=cover.author,
        subject=cover.foot,
        creator="Pinionbook",
        lang="en",
        initialFontName=REGULAR,
        invariant=1,
        pageCompression=1,
    )
    width, height = frame_size(page)
    frame = Frame(MARGIN, FOOT, width, height, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)

    def foot(canvas: Canvas, _document: BaseDocTemplate) -> None:
        number = tr("page {page} of {pages}", page=canvas.getPageNumber(), pages=pages)
        canvas.setFont(REGULAR, SMALL)
        canvas.setFillColor(HexColor(QUIET))
        canvas.drawString(MARGIN, FOOT * 0.55, fitted(cover.foot, REGULAR, SMALL, width * 0.8))
        canvas.drawRightString(MARGIN + width, FOOT * 0.55, number)

    document.addPageTemplates(PageTemplate("page", [frame], onPage=foot))
    document.build(list(story))
    return out.getvalue(), document.page
