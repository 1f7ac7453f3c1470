"""Strokes that all figures share, so that they look like one hand drew them; and the way out as SVG.

Coordinates are points with the origin at the lower left. Sizes of type and line follow the figure's own size, so
the same function serves a stamp on the sheet and half a screen at the bench.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import cos, isfinite, radians, sin

from reportlab.graphics import renderSVG
from reportlab.graphics.shapes import Circle, Drawing, Line, Polygon, PolyLine, Rect, String
from reportlab.lib.colors import Color

from core.sheet.figures.palette import Palette, mix, paint
from core.sheet.fonts import BOLD, BOLD_ITALIC, ITALIC, MEDIUM, REGULAR, install_fonts, width_pt
from core.sheet.text import fitted, one_line

Point = tuple[float, float]

_SVG_FONTS = {
    REGULAR: {"family": REGULAR},
    MEDIUM: {"family": REGULAR, "weight": "500"},
    BOLD: {"family": REGULAR, "weight": "700"},
    ITALIC: {"family": REGULAR, "style": "italic"},
    BOLD_ITALIC: {"family": REGULAR, "weight": "700", "style": "italic"},
}


def finite(value: float | None) -> float | None:
    """Return a number that can be drawn, or None: a gap in the readings is never drawn as one."""
    return value if value is not None and isfinite(value) else None


def all_finite(values: Iterable[float | None]) -> list[float]:
    """Return the values that can be drawn."""
    return [v for v in values if v is not None and isfinite(v)]


@dataclass
class Sheet:
    """A drawing in the making: a surface of a given size, its palette and its strokes.

    `ems` is how many letters' widths the surface is across: wide figures need smaller type to match the others.
    """

    size: tuple[float, float]
    palette: Palette
    ems: float = 32.0
    drawing: Drawing = field(init=False)

    def __post_init__(self) -> None:
        install_fonts()
        # Whole points: the SVG renderer cuts the view box down to whole numbers.
        self.drawing = Drawing(max(40, round(self.size[0])), max(30, round(self.size[1])))

    @property
    def width(self) -> float:
        """Width [pt]."""
        return float(self.drawing.width)

    @property
    def height(self) -> float:
        """Height [pt]."""
        return float(self.drawing.height)

    @property
    def type_pt(self) -> float:
        """Size of the figure's plain type [pt]."""
        return min(max(min(self.width / self.ems, self.height / 16), 6.0), 20.0)

    @property
    def hair_pt(self) -> float:
        """Width of a thin line [pt]."""
        return max(0.5, self.type_pt / 14)

    @property
    def hairline(self) -> str:
        """Colour of thin lines that only guide the eye."""
        return mix(self.palette.quiet, self.palette.ground, 0.55)

    def text(
        self,
        at: Point,
        text: str,
        *,
        colour: str = "",
        size_pt: float = 0.0,
        anchor: str = "middle",
        face: str = REGULAR,
        room_pt: float = 0.0,
    ) -> None:
        """Write one line; `anchor` is ``start``, ``middle`` or ``end``, `room_pt` cuts it short."""
        size = size_pt or self.type_pt
        line = one_line(text)
        if room_pt:
            line = fitted(line, face, size, room_pt)
        # The SVG renderer turns text about twice its height, in whole numbers: half points come out true.
        y = round(at[1] * 2) / 2
        self.drawing.add(
            String(
                at[0],
                y,
                line,
                fontName=face,
                fontSize=size,
                fillColor=paint(colour or self.palette.ink),
                textAnchor=anchor,
            )
        )

    def line(self, start: Point, end: Point, *, colour: str = "", width_pt: float = 0.0, dash: float = 0.0) -> None:
        """Draw a straight line; `dash` is the length of a dash."""
        if dash:
            # The SVG renderer closes a line, and the way back would fill the gaps of the way there.
            self.path([start, end], colour=colour, width_pt=width_pt, dash=dash)
        else:
            self.drawing.add(Line(*start, *end, **self._stroke(colour, width_pt, 0.0)))

    def path(self, points: Sequence[Point], *, colour: str = "", width_pt: float = 0.0, dash: float = 0.0) -> None:
        """Draw an open run of lines."""
        flat = [c for point in points for c in point]
        self.drawing.add(PolyLine(flat, **self._stroke(colour, width_pt, dash)))

    def shape(
        self,
        points: Sequence[Point],
        *,
        fill: str = "",
        colour: str = "",
        width_pt: float = 0.0,
        dash: float = 0.0,
    ) -> None:
        """Draw a closed shape, filled, outlined or both."""
        flat = [c for point in points for c in point]
        self.drawing.add(Polygon(flat, fillColor=_paint_or_none(fill), **self._outline(colour, width_pt, dash)))

    def circle(
        self,
        centre: Point,
        radius: float,
        *,
        fill: str = "",
        colour: str = "",
        width_pt: float = 0.0,
        dash: float = 0.0,
    ) -> None:
        """Draw a circle, filled, outlined or both."""
        self.drawing.add(
            Circle(*centre, radius, fillColor=_paint_or_none(fill), **self._outline(colour, width_pt, dash))
        )

    def box(
        self, corner: Point, width: float, height: float, *, fill: str = "", colour: str = "", width_pt: float = 0.0
    ) -> None:
        """Draw an upright rectangle from its lower left corner."""
        self.drawing.add(
            Rect(*corner, width, height, fillColor=_paint_or_none(fill), **self._outline(colour, width_pt, 0.0))
        )

    def _outline(self, colour: str, width_pt: float, dash: float) -> dict[str, object]:
        return self._stroke(colour, width_pt, dash) if colour else {"strokeColor": None, "strokeWidth": 0}

    def _stroke(self, colour: str, width_pt: float, dash: float) -> dict[str, object]:
        stroke: dict[str, object] = {
            "strokeColor": paint(colour or self.palette.ink),
            "strokeWidth": width_pt or self.hair_pt,
        }
        if dash:
            stroke["strokeDashArray"] = [dash, dash]
        return stroke


def _paint_or_none(colour: str) -> object:
    return paint(colour) if colour else None


def on_circle(centre: Point, radius: float, angle_deg: float) -> Point:
    """Return a point on a circle; 0° is at the top and angles go clockwise, as on a dial."""
    turn = radians(angle_deg)
    return centre[0] + radius * sin(turn), centre[1] + radius * cos(turn)


class NothingYet(Drawing):  # type: ignore[misc]
    """A drawing that only says that there is nothing to draw; paper leaves it out."""


def nothing_yet(size: tuple[float, float], palette: Palette, sentence: str) -> NothingYet:
    """Return a drawing that says in a quiet line that there is nothing to draw."""
    sheet = Sheet(size, palette)
    sheet.text(
        (sheet.width / 2, sheet.height / 2), sentence, colour=palette.quiet, room_pt=sheet.width - 2 * sheet.type_pt
    )
    return NothingYet(sheet.width, sheet.height, *sheet.drawing.contents)


def text_width(text: str, size_pt: float, face: str = REGULAR) -> float:
    """Return how wide a line runs [pt]."""
    return width_pt(one_line(text), face, size_pt)


class _TrueColours(renderSVG.SVGCanvas):  # type: ignore[misc]
    """Writes colours to the last bit, and open lines without a fill; the renderer itself does neither."""

    def _formatStyle(self, include: object = (), exclude: str = "", **extra: object) -> str:  # noqa: N802
        if "fill" in extra and extra["fill"] is None:
            extra["fill"] = "none"
        return str(super()._formatStyle(include, exclude, **extra))

    def setStrokeColor(self, color: object) -> None:  # noqa: N802 - reportlab's name
        super().setStrokeColor(color)
        self.style["stroke"] = _as_hex(color)

    def setFillColor(self, color: object) -> None:  # noqa: N802 - reportlab's name
        super().setFillColor(color)
        self.style["fill"] = _as_hex(color)


def _as_hex(color: Color | None) -> str:
    # reportlab's Color writes itself as 0xRRGGBB.
    return "none" if color is None else "#" + color.hexval()[2:]


def as_svg(drawing: Drawing) -> bytes:
    """Return a drawing as SVG for the window.

    Only what a small SVG reader knows is used: no clipping, no opacity, no gradients; text is left as text in the
    family ``Roboto``.
    """
    canvas = _TrueColours(
        (drawing.width, drawing.height),
        useClip=True,
        fontHacks={name: dict(hack) for name, hack in _SVG_FONTS.items()},
    )
    renderSVG.draw(drawing, canvas, 0, 0, showBoundary=0)
    out = io.StringIO()
    canvas.save(out)
    return out.getvalue().encode("utf-8")
