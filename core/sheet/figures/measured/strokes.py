"""Dimension lines, leaders and labels: what a workshop drawing is written with."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, cos, hypot, radians, sin

from core.calculations.registry import calculation
from core.language import tr
from core.sheet.figures.draw import Point, Sheet, text_width
from core.sheet.figures.palette import Palette, mix
from core.sheet.fonts import REGULAR
from core.sheet.text import fitted, one_line

SIZE = (420.0, 260.0)
LEADING = 1.2
"""Line to line, in sizes of type."""


def named(key: str, of: str) -> str:
    """Return the label of an input or result of a calculation as it is shown, without the aside in brackets."""
    declared = calculation(key)
    labels = {term.key: term.label for term in declared.results} | {term.key: term.label for term in declared.inputs}
    return tr(labels[of]).split(" (")[0]


def polar(centre: Point, radius: float, angle_deg: float) -> Point:
    """Return a point on a circle; 0° is to the right and angles go against the clock, as in a drawing's geometry."""
    turn = radians(angle_deg)
    return centre[0] + radius * cos(turn), centre[1] + radius * sin(turn)


def wrapped(text: str, size_pt: float, room_pt: float, most: int) -> list[str]:
    """Return a label as at most `most` lines of `room_pt`; what does not fit shows as an ellipsis."""
    lines: list[str] = []
    for word in one_line(text).split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and (text_width(longer, size_pt) <= room_pt or len(lines) == most):
            lines[-1] = longer
        else:
            lines.append(word)
    return [fitted(line, REGULAR, size_pt, room_pt) for line in lines]


class Schematic(Sheet):
    """A section on which it is written what is measured where."""

    def __init__(self, palette: Palette) -> None:
        super().__init__(SIZE, palette, ems=42.0)

    @property
    def metal(self) -> str:
        """Fill of a part."""
        return mix(self.palette.quiet, self.palette.ground, 0.16)

    @property
    def other_metal(self) -> str:
        """Fill of the part beside it."""
        return mix(self.palette.quiet, self.palette.ground, 0.34)

    def part(self, points: Sequence[Point], fill: str = "") -> None:
        """Draw a cut part."""
        self.shape(points, fill=fill or self.metal, colour=self.palette.quiet)

    def block(self, left: float, low: float, right: float, high: float, fill: str = "") -> None:
        """Draw a cut part with square corners."""
        self.part([(left, low), (right, low), (right, high), (left, high)], fill)

    def note(self, at: Point, text: str, room: float = 90.0, anchor: str = "middle", most: int = 2) -> None:
        """Write a label around a middle height, on as many lines as it takes."""
        lines = wrapped(text, self.type_pt, room, most)
        step = self.type_pt * LEADING
        y = at[1] + step * (len(lines) - 1) / 2 - self.type_pt * 0.35
        for count, line in enumerate(lines):
            self.text((at[0], y - count * step), line, anchor=anchor)

    def arrow(self, start: Point, end: Point, colour: str = "", width_pt: float = 0.0) -> None:
        """Draw a line with a head at its end."""
        self.line(start, end, colour=colour or self.palette.accent, width_pt=width_pt)
        self.head(end, atan2(end[1] - start[1], end[0] - start[0]), colour)

    def head(self, tip: Point, turn: float, colour: str = "") -> None:
        """Draw an arrow head that points along `turn` [rad]."""
        long, half = self.type_pt * 0.6, self.type_pt * 0.2
        back = tip[0] - long * cos(turn), tip[1] - long * sin(turn)
        side = -half * sin(turn), half * cos(turn)
        points = [tip, (back[0] + side[0], back[1] + side[1]), (back[0] - side[0], back[1] - side[1])]
        self.shape(points, fill=colour or self.palette.accent)

    def dimension(self, start: Point, end: Point) -> None:
        """Draw a dimension line; one too short for two heads has them outside, pointing in."""
        turn = atan2(end[1] - start[1], end[0] - start[0])
        tail = self.type_pt * 1.4
        if hypot(end[0] - start[0], end[1] - start[1]) >= tail:
            self.line(start, end, colour=self.palette.accent)
            self.head(end, turn)
            self.head(start, turn + radians(180))
            return
        along = tail * cos(turn), tail * sin(turn)
        self.arrow((start[0] - along[0], start[1] - along[1]), start)
        self.arrow((end[0] + along[0], end[1] + along[1]), end)

    def across(self, left: float, right: float, y: float, edge: float | tuple[float, float]) -> None:
        """Draw a level dimension with its extension lines from the height `edge` (left, right) of the part."""
        first, second = edge if isinstance(edge, tuple) else (edge, edge)
        for x, of in ((left, first), (right, second)):
            self.extension((x, of), (x, y + (3 if y > of else -3)))
        self.dimension((left, y), (right, y))

    def upright(self, low: float, high: float, x: float, edge: float | tuple[float, float]) -> None:
        """Draw an upright dimension with its extension lines from the place `edge` (low, high) of the part."""
        first, second = edge if isinstance(edge, tuple) else (edge, edge)
        for y, of in ((low, first), (high, second)):
            self.extension((of, y), (x + (3 if x > of else -3), y))
        self.dimension((x, low), (x, high))

    def extension(self, start: Point, end: Point) -> None:
        """Draw a thin line that carries an edge to its dimension."""
        self.line(start, end, colour=self.hairline)

    def axis(self, start: Point, end: Point) -> None:
        """Draw an axis."""
        # A run of lines: a single line is closed in SVG, and its way back fills the gaps.
        self.path((start, end), colour=self.palette.quiet, dash=self.type_pt * 0.5)

    def leader(self, start: Point, end: Point) -> None:
        """Draw a thin line from a label to the place it is about, with a dot on it."""
        self.line(start, end, colour=self.palette.accent)
        self.circle(end, self.type_pt * 0.17, fill=self.palette.accent)

    def angle(self, centre: Point, radius: float, start_deg: float, end_deg: float) -> None:
        """Draw an angle's arc with heads at both ends, `end_deg` above `start_deg`."""
        steps = 24
        points = [polar(centre, radius, start_deg + (end_deg - start_deg) * n / steps) for n in range(steps + 1)]
        self.path(points, colour=self.palette.accent)
        self.head(points[-1], radians(end_deg + 90 - 8))
        self.head(points[0], radians(start_deg - 90 + 8))
