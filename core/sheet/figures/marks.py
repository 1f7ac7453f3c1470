"""The four verdict marks, drawn as shapes: they must be told apart in black and white and in any typeface."""

from __future__ import annotations

from math import cos, pi, sin

from reportlab.graphics.shapes import Drawing

from core.sheet.figures.draw import Point, Sheet
from core.sheet.figures.palette import PRINT_PALETTE, Palette
from core.verdict import Answer


def put_mark(sheet: Sheet, centre: Point, radius: float, answer: Answer) -> None:
    """Draw the mark of a verdict: filled disc, barred square, half disc or ring."""
    colour = sheet.palette.of(answer)
    outline = radius * 0.28
    if answer is Answer.CONFORMS:
        sheet.circle(centre, radius, fill=colour)
    elif answer is Answer.DOES_NOT_CONFORM:
        _barred_square(sheet, centre, radius, colour)
    else:
        sheet.circle(centre, radius - outline / 2, fill=sheet.palette.ground, colour=colour, width_pt=outline)
        if answer is Answer.UNCERTAIN:
            sheet.shape(_half_disc(centre, radius), fill=colour)


def _barred_square(sheet: Sheet, centre: Point, radius: float, colour: str) -> None:
    side = radius * 0.92
    x, y = centre
    sheet.box((x - side, y - side), 2 * side, 2 * side, fill=colour)
    # The bar is a gap in the square, so that it shows without a second colour.
    sheet.box((x - side * 0.62, y - radius * 0.17), side * 1.24, radius * 0.34, fill=sheet.palette.ground)


def _half_disc(centre: Point, radius: float) -> list[Point]:
    steps = 18
    turns = [pi / 2 + pi * step / steps for step in range(steps + 1)]
    return [(centre[0] + radius * cos(turn), centre[1] + radius * sin(turn)) for turn in turns]


def verdict_mark(answer: Answer, palette: Palette = PRINT_PALETTE, size_pt: float = 40.0) -> Drawing:
    """Return the mark of a verdict as a square drawing of its own."""
    sheet = Sheet((size_pt, size_pt), palette)
    put_mark(sheet, (sheet.width / 2, sheet.height / 2), sheet.width * 0.4, answer)
    return sheet.drawing
