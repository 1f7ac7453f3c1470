"""The ring stack: the casing cut through the carrier's axis, with what sets the side bearings on each side."""

from __future__ import annotations

from dataclasses import dataclass

from reportlab.graphics.shapes import Drawing

from core.facts import LEFT
from core.language import tr
from core.quantities import number, show, unit_for
from core.sheet.figures.draw import Point, Sheet, all_finite, finite, nothing_yet
from core.sheet.figures.palette import Palette, mix
from core.sheet.fonts import MEDIUM
from core.stages.card import ADJUSTER_NUTS, OUTBOARD_RINGS, SHIMS_UNDER_CONE

EXAGGERATION = 6.0
"""Rings differ by hundredths: drawn true, the one that was changed would look like the one that was not."""


@dataclass(frozen=True)
class StackInput:
    """Thickness on both sides [mm], and on which side of the casing the ring gear sits, seen from the pinion."""

    ring_gear_side_mm: float | None
    opposite_side_mm: float | None
    ring_gear_on: str = LEFT
    setting: str = OUTBOARD_RINGS
    title: str = ""
    units: str = "metric"


@dataclass(frozen=True)
class _Plan:
    """The measures of the drawing [pt]: `step` is the unit all parts are drawn in."""

    middle: Point
    step: float

    def x(self, steps: float, way: int) -> float:
        """Return a distance from the middle on one side; `way` is -1 to the left and 1 to the right."""
        return self.middle[0] + way * steps * self.step

    def y(self, steps: float) -> float:
        return self.middle[1] + steps * self.step


def ring_stack(shown: StackInput, palette: Palette, size: tuple[float, float]) -> Drawing:
    """Draw casing, side bearings, ring gear, pinion and the ring or nut on each side; the rings are not to scale.

    Parameters
    ----------
    shown : StackInput
        Thicknesses [mm]; a side without one is drawn empty.
    palette : Palette
        Colours.
    size : tuple of float
        Width and height [pt].
    """
    known = all_finite((shown.ring_gear_side_mm, shown.opposite_side_mm))
    if not known:
        return nothing_yet(size, palette, tr("No rings measured yet"))
    sheet = Sheet(size, palette)
    head, foot = 1.6 * sheet.type_pt, 4.4 * sheet.type_pt
    step = min(sheet.width / 26.5, max(sheet.height - head - foot, 20.0) / 15.0)
    plan = _Plan((sheet.width / 2, foot + (sheet.height - head - foot) / 2 + step * 0.6), step)
    gear_way = -1 if shown.ring_gear_on == LEFT else 1
    _carrier(sheet, plan, gear_way)
    mean = sum(known) / len(known)
    for way, value in ((gear_way, shown.ring_gear_side_mm), (-gear_way, shown.opposite_side_mm)):
        thick = _drawn_steps(finite(value), mean)
        _casing(sheet, plan, way, thick)
        _bearing(sheet, plan, way, thick if shown.setting == SHIMS_UNDER_CONE else 0.0)
        _piece(sheet, plan, way, thick, shown.setting, is_known=finite(value) is not None)
    _names(sheet, plan, gear_way, shown)
    _sum(sheet, plan, shown)
    return sheet.drawing


def _drawn_steps(value_mm: float | None, mean_mm: float) -> float:
    """Return how thick a ring is drawn, its difference from the mean shown larger than it is."""
    if value_mm is None or mean_mm <= 0:
        return 1.4
    return min(max(1.4 * (1 + EXAGGERATION * (value_mm - mean_mm) / mean_mm), 0.7), 2.3)


def _carrier(sheet: Sheet, plan: _Plan, gear_way: int) -> None:
    steel = mix(sheet.palette.quiet, sheet.palette.ground, 0.28)
    edge = sheet.palette.quiet

    def block(from_steps: float, to_steps: float, half_height: float, fill: str) -> None:
        corners = [plan.x(s, gear_way) for s in (from_steps, to_steps)]
        sheet.box(
            (min(corners), plan.y(-half_height)), abs(corners[1] - corners[0]), 2 * half_height * plan.step,
            fill=fill, colour=edge,
        )  # fmt: skip

    block(-7.4, 7.4, 1.5, sheet.palette.sunk)
    block(-4.4, 4.4, 3.4, sheet.palette.sunk)
    block(2.9, 4.4, 4.4, sheet.palette.sunk)
    # Edge on, the gear's teeth look at the pinion: cut at top and bottom, back face against the carrier's flange.
    for half in (1, -1):
        teeth = [(2.9, 6.6), (2.9, 3.4), (1.6, 3.6), (0.9, 5.6), (2.0, 6.6)]
        sheet.shape([(plan.x(a, gear_way), plan.y(half * b)) for a, b in teeth], fill=steel, colour=edge)
    _pinion(sheet, plan, gear_way, steel)
    sheet.line((plan.x(12.2, -1), plan.y(0)), (plan.x(12.2, 1), plan.y(0)), colour=sheet.hairline, dash=plan.step * 0.5)


def _pinion(sheet: Sheet, plan: _Plan, gear_way: int, steel: str) -> None:
    head = [(1.45, -3.75), (0.75, -5.75), (0.55, -7.6), (-1.6, -7.6), (-1.2, -5.0), (-0.9, -3.75)]
    sheet.shape([(plan.x(a, gear_way), plan.y(b)) for a, b in head], fill=steel, colour=sheet.palette.quiet)


def _casing(sheet: Sheet, plan: _Plan, way: int, thick: float) -> None:
    """Draw the bore: its wall above and below the bearing, and the shoulder outside the ring."""
    fill = mix(sheet.palette.quiet, sheet.palette.ground, 0.14)
    for half in (1, -1):
        wall = [
            (4.9, 4.0), (7.4 + thick + 0.1, 4.0), (7.4 + thick + 0.1, 2.4),
            (9.0 + thick, 2.4), (9.0 + thick, 5.6), (4.9, 5.6),
        ]  # fmt: skip
        points = [(plan.x(a, way), plan.y(half * b)) for a, b in wall]
        sheet.shape(points, fill=fill, colour=sheet.hairline)


def _bearing(sheet: Sheet, plan: _Plan, way: int, shift: float) -> None:
    """Draw cup, roller and cone; the rollers taper outward, so that the ring presses the cup onto them."""
    for half in (1, -1):
        parts = (
            ([(5.0, 4.0), (7.4, 4.0), (7.4, 3.2), (5.0, 3.75)], sheet.palette.sunk),
            ([(5.1, 3.6), (7.1, 3.15), (6.8, 2.15), (4.9, 2.6)], sheet.palette.ground),
            ([(4.4, 1.5), (7.0, 1.5), (7.0, 2.0), (4.7, 2.5), (4.4, 2.5)], sheet.palette.sunk),
        )
        for outline, fill in parts:
            points = [(plan.x(a + shift, way), plan.y(half * b)) for a, b in outline]
            sheet.shape(points, fill=fill, colour=sheet.palette.quiet)


def _piece(sheet: Sheet, plan: _Plan, way: int, thick: float, setting: str, *, is_known: bool) -> None:
    """Draw the ring, shim or nut where it sits; one that is not known yet only in outline."""
    is_under_cone = setting == SHIMS_UNDER_CONE
    start, low, high = (4.4, 1.5, 2.5) if is_under_cone else (7.4, 2.0, 4.0)
    near, far = plan.x(start, way), plan.x(start + thick, way)
    fill = sheet.palette.accent if is_known else sheet.palette.ground
    for bottom in (plan.y(low), plan.y(-high)):
        corner = min(near, far), bottom
        sheet.box(corner, abs(far - near), (high - low) * plan.step, fill=fill, colour=sheet.palette.accent)
        if setting == ADJUSTER_NUTS:
            for notch in (0.6, 1.2):
                y = bottom + notch * plan.step
                sheet.line((near, y), (far, y), colour=sheet.palette.ground)


def _names(sheet: Sheet, plan: _Plan, gear_way: int, shown: StackInput) -> None:
    """Name side and thickness above each end, and the ring gear and pinion where they are."""
    unit = unit_for("length", shown.units, "mm").id
    large = sheet.type_pt * 1.35
    for way, value, name in (
        (gear_way, finite(shown.ring_gear_side_mm), tr("ring-gear side")),
        (-gear_way, finite(shown.opposite_side_mm), tr("opposite side")),
    ):
        edge = sheet.type_pt * 0.4 if way < 0 else sheet.width - sheet.type_pt * 0.4
        anchor = "start" if way < 0 else "end"
        text = "–" if value is None else show("length", value, unit)
        top = plan.y(5.6) + sheet.type_pt * 0.5
        sheet.text((edge, top + sheet.type_pt * 1.2), text, size_pt=large, face=MEDIUM, anchor=anchor)
        side = tr("left, {side}", side=name) if way < 0 else tr("right, {side}", side=name)
        sheet.text((edge, top), side, colour=sheet.palette.quiet, anchor=anchor)
    if shown.title:
        sheet.text((sheet.width / 2, plan.y(6.6) + sheet.type_pt * 0.5), shown.title, colour=sheet.palette.quiet)
    sheet.text((plan.x(-2.2, gear_way), plan.y(-7.4)), tr("pinion"), colour=sheet.palette.quiet,
               anchor="start" if gear_way < 0 else "end")  # fmt: skip


def _sum(sheet: Sheet, plan: _Plan, shown: StackInput) -> None:
    one, other = finite(shown.ring_gear_side_mm), finite(shown.opposite_side_mm)
    unit = unit_for("length", shown.units, "mm").id
    middle = sheet.width / 2
    if one is None or other is None:
        sheet.text((middle, sheet.type_pt * 1.2), tr("one side not measured yet"), colour=sheet.palette.quiet)
        return
    sheet.text(
        (middle, sheet.type_pt * 1.9), tr("ring sum {sum}", sum=show("length", one + other, unit)),
        size_pt=sheet.type_pt * 1.2, face=MEDIUM,
    )  # fmt: skip
    split = number("length", one - other, unit).replace("-", "\N{MINUS SIGN}")
    note = tr("split {split} · differences drawn larger", split=split)
    sheet.text((middle, sheet.type_pt * 0.5), note, colour=sheet.palette.quiet, room_pt=sheet.width - sheet.type_pt)
