"""The output-flange groove in section: what matters is the radius in its root."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin

from reportlab.graphics.shapes import Drawing

from core.language import tr
from core.quantities import show, unit_for
from core.sheet.figures.draw import Point, Sheet, finite, nothing_yet
from core.sheet.figures.marks import put_mark
from core.sheet.figures.palette import Palette
from core.sheet.fonts import MEDIUM
from core.verdict import Answer


@dataclass(frozen=True)
class GrooveInput:
    """Width, root diameter, root radius and position from the stub end [mm]; `answer` judges how it is cut."""

    width_mm: float | None = None
    diameter_mm: float | None = None
    radius_mm: float | None = None
    position_mm: float | None = None
    answer: Answer | None = None
    units: str = "metric"


@dataclass(frozen=True)
class _Cut:
    """The groove on the paper [pt]: left and right wall, root, surface, corner radius."""

    left: float
    right: float
    root: float
    surface: float
    corner: float


def groove(shown: GrooveInput, palette: Palette, size: tuple[float, float]) -> Drawing:
    """Draw the groove's section with its width, root radius and root diameter; the depth is not to scale.

    Parameters
    ----------
    shown : GrooveInput
        Readings [mm]; a root radius of nought is drawn square.
    palette : Palette
        Colours.
    size : tuple of float
        Width and height [pt].
    """
    measures = (shown.width_mm, shown.diameter_mm, shown.radius_mm, shown.position_mm)
    if all(finite(v) is None for v in measures):
        return nothing_yet(size, palette, tr("No groove measured yet"))
    sheet = Sheet(size, palette)
    cut = _cut(sheet, shown)
    _stub(sheet, cut, shown)
    _widths(sheet, cut, shown)
    _root(sheet, cut, shown)
    return sheet.drawing


def _cut(sheet: Sheet, shown: GrooveInput) -> _Cut:
    small = sheet.type_pt
    width = min(sheet.width * 0.3, sheet.height * 0.5)
    left = sheet.width * 0.6 - width / 2
    surface = sheet.height - 3.6 * small
    root = surface - min(width * 0.75, max(surface - 6.0 * small, 8.0))
    corner = _corner(finite(shown.width_mm), finite(shown.radius_mm), width)
    return _Cut(left, left + width, root, surface, min(corner, width / 2, surface - root))


def _corner(width_mm: float | None, radius_mm: float | None, width_pt: float) -> float:
    """Return the corner on the paper: to scale with the width where both are known, else as a token."""
    if radius_mm is None:
        return width_pt * 0.12
    if not width_mm or width_mm <= 0:
        return width_pt * 0.25 if radius_mm > 0 else 0.0
    return width_pt * max(radius_mm, 0.0) / width_mm


def _bottom(cut: _Cut) -> list[Point]:
    """Return the walls and root from the left edge to the right, with rounded corners."""
    points: list[Point] = [(cut.left, cut.surface)]
    corners = ((cut.left + cut.corner, pi, 1.5 * pi), (cut.right - cut.corner, 1.5 * pi, 2 * pi))
    for centre_x, start, end in corners:
        for step in range(9):
            turn = start + (end - start) * step / 8
            at = centre_x + cut.corner * cos(turn), cut.root + cut.corner + cut.corner * sin(turn)
            points.append(at)
    return [*points, (cut.right, cut.surface)]


def _stub(sheet: Sheet, cut: _Cut, shown: GrooveInput) -> None:
    """Draw the stub, its end to the left; the axis runs below."""
    small = sheet.type_pt
    end, far, low = 1.5 * small, sheet.width - 1.5 * small, 3.2 * small
    bottom = _bottom(cut)
    sheet.shape([(end, low), (end, cut.surface), *bottom, (far, cut.surface), (far, low)], fill=sheet.palette.sunk)
    sheet.path([(end, low), (end, cut.surface), *bottom, (far, cut.surface)], colour=sheet.palette.quiet)
    sheet.path(
        bottom[1:-1], colour=sheet.palette.of(shown.answer) if shown.answer else sheet.palette.accent,
        width_pt=sheet.hair_pt * 3,
    )  # fmt: skip
    sheet.line((end - small, low), (far + small, low), colour=sheet.hairline, dash=small * 0.6)


def _widths(sheet: Sheet, cut: _Cut, shown: GrooveInput) -> None:
    unit = unit_for("length", shown.units, "mm").id
    small = sheet.type_pt
    y = cut.surface + 1.0 * small
    spans = (
        (finite(shown.width_mm), cut.left, cut.right, tr("width")),
        (finite(shown.position_mm), 1.5 * small, cut.left, tr("from the end")),
    )
    for value, start, end, name in spans:
        if value is None:
            continue
        sheet.line((start, y), (end, y), colour=sheet.palette.quiet)
        for x in (start, end):
            sheet.line((x, y - small * 0.35), (x, y + small * 0.35), colour=sheet.palette.quiet)
        text = f"{name} {show('length', value, unit)}"
        sheet.text(((start + end) / 2, y + small * 0.7), text, room_pt=max(end - start, small * 9))


def _root(sheet: Sheet, cut: _Cut, shown: GrooveInput) -> None:
    unit = unit_for("length", shown.units, "mm").id
    small = sheet.type_pt
    radius, diameter = finite(shown.radius_mm), finite(shown.diameter_mm)
    middle = (cut.left + cut.right) / 2
    if radius is not None:
        text = tr("square root") if radius <= 0 else tr("root radius {value}", value=show("length", radius, unit))
        sheet.text((middle, cut.root - 1.5 * small), text, face=MEDIUM)
        if shown.answer is not None:
            put_mark(sheet, (middle, cut.root + small * 1.2), small * 0.45, shown.answer)
    if diameter is not None:
        text = tr("root diameter {value}", value=show("length", diameter, unit))
        sheet.text((middle, small * 1.5), text)
    sheet.text((middle, small * 0.3), tr("depth not to scale"), colour=sheet.palette.quiet, size_pt=small * 0.85)
