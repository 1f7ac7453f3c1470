"""Measures and paragraph styles of the sheet: one type scale, space instead of boxes, ink on white."""

from __future__ import annotations

from dataclasses import dataclass, field

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm

from core.sheet.figures.palette import PRINT_PALETTE, mix
from core.sheet.fonts import MEDIUM, REGULAR

PAGES = {"A4": A4, "Letter": LETTER}
"""Page sizes [pt] by the name a person chooses."""

MARGIN = 18 * mm
HEAD = 14 * mm
FOOT = 16 * mm
GRID = 6.0
"""Space between groups is a multiple of this [pt]."""

# The screen's steps of 12, 14, 17 and 22 pixels, on paper.
SMALL, BODY, LEAD, TITLE = 7.5, 8.75, 11.0, 17.0

INK, QUIET = PRINT_PALETTE.ink, PRINT_PALETTE.quiet
HAIRLINE = mix(QUIET, PRINT_PALETTE.ground, 0.35)


def _style(name: str, size: float, colour: str, face: str, **more: object) -> ParagraphStyle:
    options: dict[str, object] = {"leading": round(size * 1.32, 1), **more}
    return ParagraphStyle(name, fontName=face, fontSize=size, textColor=colour, splitLongWords=1, **options)


@dataclass(frozen=True)
class Styles:
    """The paragraph styles by what they are for."""

    title: ParagraphStyle = field(default_factory=lambda: _style("title", TITLE, INK, MEDIUM))
    heading: ParagraphStyle = field(
        default_factory=lambda: _style("heading", LEAD, INK, MEDIUM, spaceBefore=4 * GRID, spaceAfter=GRID / 2)
    )
    subheading: ParagraphStyle = field(
        default_factory=lambda: _style("subheading", BODY, INK, MEDIUM, spaceBefore=1.5 * GRID, spaceAfter=GRID / 3)
    )
    body: ParagraphStyle = field(default_factory=lambda: _style("body", BODY, INK, REGULAR))
    small: ParagraphStyle = field(default_factory=lambda: _style("small", SMALL, INK, REGULAR))
    item: ParagraphStyle = field(default_factory=lambda: _style("item", SMALL, INK, REGULAR, spaceAfter=GRID / 3))
    quiet: ParagraphStyle = field(default_factory=lambda: _style("quiet", SMALL, QUIET, REGULAR))
    right: ParagraphStyle = field(default_factory=lambda: _style("right", SMALL, QUIET, REGULAR, alignment=2))
    right_title: ParagraphStyle = field(default_factory=lambda: _style("right_title", LEAD, INK, MEDIUM, alignment=2))


STYLES = Styles()
