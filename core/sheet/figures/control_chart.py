"""A quantity of one casing family, job by job, with what is usual and what is allowed; below it, the steps between.

Limits of the card are a band with dashed edges, control limits are solid lines, each with its name beside it. Who read
a point, or the gauge, is told by the shape of its mark and the letter in it; a ring goes around what is not usual.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from math import cos, pi, sin

from reportlab.graphics.shapes import Drawing

from core.charts import FamilyChart, Group, grouped
from core.gauges import day_of
from core.language import tr
from core.quantities import Unit, unit_for
from core.sheet.figures.axes import Axis, scale_up
from core.sheet.figures.draw import Point, Sheet, all_finite, nothing_yet, text_width
from core.sheet.figures.palette import Palette, mix
from core.sheet.fonts import BOLD

CHART_SIZE = (620.0, 450.0)
"""Width and height [pt] at which the chart is easy to read on a screen."""
MOST_POINTS = 60
"""So many of the last jobs are drawn at most; the limits come from all of them."""
_EMS = 46.0
_LOWER_SHARE = 0.24
_NOTHING = 1e-9
"""Values that differ by no more than this share are the same: an axis of so little would have no marks to write."""
_SIDES = (0, 4, 3, -4, -3, 6)
"""Corners of the marks in the order of the letters: disc, square, triangle, diamond, triangle upside down, hexagon."""


@dataclass(frozen=True)
class _Plot:
    """The paper, its axes, and the part of the chart that is drawn on it."""

    sheet: Sheet
    shown: FamilyChart
    groups: Sequence[Group]
    first: int
    across: Axis
    up: Axis
    low: Axis
    unit: Unit

    def drawn(self) -> Iterator[tuple[int, float]]:
        """Yield the points that are drawn, with their values."""
        for at, point in enumerate(self.shown.points):
            if at >= self.first and point.value is not None:
                yield at, point.value

    def allowed(self, at: int) -> tuple[float | None, float | None]:
        """Return the limits of the card of one job."""
        point = self.shown.points[at]
        return point.low, point.high

    @property
    def step_pt(self) -> float:
        """How far two jobs are apart."""
        return self.across.at(1.0) - self.across.at(0.0)


def family_chart_figure(
    shown: FamilyChart, by: str, palette: Palette, size: tuple[float, float] = CHART_SIZE, units: str = "metric"
) -> Drawing:
    """Draw the control chart of one quantity of a casing family.

    Parameters
    ----------
    shown : FamilyChart
        What to draw; of more than `MOST_POINTS` jobs the last.
    by : str
        By what the marks are told apart: ``person`` or ``gauge``.
    palette : Palette
        Colours.
    size : tuple of float
        Width and height [pt].
    units : str
        ``metric`` or ``inch``.

    Returns
    -------
    Drawing
        Where no signed job has the value it says so in one line.
    """
    if not shown.chart.count:
        return nothing_yet(size, palette, tr("No signed job of this family has this value yet"))
    plot = _plot(shown, by, Sheet(size, palette, _EMS), units)
    _allowed(plot)
    _usual(plot)
    scale_up(plot.sheet, plot.up, plot.across.start_pt, shown.quantity.derived.kind, plot.unit)
    _foot(plot)
    _values(plot)
    _steps(plot)
    _key(plot)
    return plot.sheet.drawing


def _plot(shown: FamilyChart, by: str, sheet: Sheet, units: str) -> _Plot:
    em = sheet.type_pt
    derived = shown.quantity.derived
    first = max(len(shown.points) - MOST_POINTS, 0)
    left, right = 4.2 * em, sheet.width - 9.8 * em
    foot, top = 3.4 * em, sheet.height - 2.2 * em
    lower_top = foot + (top - foot) * _LOWER_SHARE
    across = Axis(first - 0.7, max(len(shown.points) - 0.3, first + 3.0), left, right)
    low, high = _span(shown, first)
    highest_step = max(all_finite([*shown.chart.moving_ranges[first:], shown.chart.range_high]), default=0.0)
    up = Axis(low, high, lower_top + 4.0 * em, top)
    steps = Axis(0.0, highest_step * 1.15 if highest_step > _NOTHING * (high - low) else high - low, foot, lower_top)
    unit = unit_for(derived.kind, units, derived.unit)
    return _Plot(sheet, shown, grouped(shown.points, by), first, across, up, steps, unit)


def _span(shown: FamilyChart, first: int) -> tuple[float, float]:
    """Return the lowest and highest value of the axis: all that is drawn, with some room."""
    values = all_finite(v for p in shown.points[first:] for v in (p.value, p.low, p.high)) or [0.0]
    if shown.chart.limits is not None:
        values += [shown.chart.limits.high, max(shown.chart.limits.low, min(0.0, min(values)))]
    room = (max(values) - min(values)) * 0.08
    if room <= _NOTHING * max(map(abs, values)):
        room = abs(max(values)) * 0.01 or 0.01
    return min(values) - room, max(values) + room


# -- limits ------------------------------------------------------------------------------------------------------------


def _allowed(plot: _Plot) -> None:
    """Draw what each job's card allowed as a band; where one side is open it goes on to the edge."""
    sheet, up = plot.sheet, plot.up
    fill, edge = mix(sheet.palette.conforms, sheet.palette.ground, 0.16), sheet.palette.conforms
    for (low, high), jobs in groupby(range(plot.first, len(plot.shown.points)), key=plot.allowed):
        if low is None and high is None:
            continue
        at = list(jobs)
        start, end = plot.across.at(at[0] - 0.5), plot.across.at(at[-1] + 0.5)
        bottom = up.start_pt if low is None else up.at(low)
        top = up.end_pt if high is None else up.at(high)
        sheet.box((start, bottom), end - start, top - bottom, fill=fill)
        for y in ([] if low is None else [bottom]) + ([] if high is None else [top]):
            sheet.line((start, y), (end, y), colour=edge, dash=sheet.type_pt * 0.3)


def _usual(plot: _Plot) -> None:
    """Draw centre and control limits, and write the names of all limits beside them."""
    sheet, limits = plot.sheet, plot.shown.chart.limits
    names = [(plot.up.at(value), text, sheet.palette.conforms) for value, text in _card_names(plot)]
    if limits is not None:
        lines = [(limits.high, tr("control limit, upper")), (limits.centre, tr("centre"))]
        if limits.low >= plot.up.low:
            lines.append((limits.low, tr("control limit, lower")))
        for value, text in lines:
            width = sheet.hair_pt * (1.0 if value == limits.centre else 2.0)
            y = plot.up.at(value)
            sheet.line((plot.across.start_pt, y), (plot.across.end_pt, y), colour=sheet.palette.accent, width_pt=width)
            names.append((y, text, sheet.palette.accent))
    _beside(plot, names)


def _card_names(plot: _Plot) -> list[tuple[float, str]]:
    last = plot.shown.points[-1]
    named = ((last.low, tr("card, at least")), (last.high, tr("card, at most")))
    return [(value, text) for value, text in named if value is not None]


def _beside(plot: _Plot, names: Iterable[tuple[float, str, str]]) -> None:
    """Write names at the right of their lines, pushed up from each other where lines lie close."""
    sheet = plot.sheet
    room = sheet.width - plot.across.end_pt - 0.8 * sheet.type_pt
    lowest = -1e9
    for y, text, colour in sorted(names):
        lowest = max(y - 0.35 * sheet.type_pt, lowest + 1.25 * sheet.type_pt)
        at = plot.across.end_pt + 0.6 * sheet.type_pt, lowest
        sheet.text(at, text, colour=colour, anchor="start", room_pt=room)


# -- points ------------------------------------------------------------------------------------------------------------


def _values(plot: _Plot) -> None:
    """Draw the values, joined in time order; a gap is left open."""
    sheet, chart = plot.sheet, plot.shown.chart
    drawn = dict(plot.drawn())
    for at, value in drawn.items():
        if at + 1 in drawn:
            ends = [(plot.across.at(x), plot.up.at(y)) for x, y in ((at, value), (at + 1, drawn[at + 1]))]
            sheet.line(ends[0], ends[1], colour=sheet.hairline)
    group_of = {at: which for which, group in enumerate(plot.groups) for at in group.points}
    radius = min(0.62 * sheet.type_pt, max(0.48 * plot.step_pt, 0.28 * sheet.type_pt))
    for at, value in drawn.items():
        centre = plot.across.at(at), plot.up.at(value)
        _mark(sheet, centre, radius, group_of[at], plot.groups[group_of[at]].letter)
        if at in chart.signalled:
            ring = sheet.palette.does_not_conform
            sheet.circle(centre, radius * 1.65, colour=ring, width_pt=sheet.hair_pt * 2.2)


def _mark(sheet: Sheet, centre: Point, radius: float, which: int, letter: str) -> None:
    """Draw the mark of a group: its shape, and its letter where there is room for one."""
    corners = _SIDES[which % len(_SIDES)]
    if corners:
        sheet.shape(_corners(centre, radius, corners), fill=sheet.palette.ink)
    else:
        sheet.circle(centre, radius, fill=sheet.palette.ink)
    size = radius * 1.25 / len(letter)
    if radius >= 0.5 * sheet.type_pt:
        drop = {3: -0.16, -3: 0.2}.get(corners, 0.0) * radius
        at = centre[0], centre[1] - size * 0.36 + drop
        sheet.text(at, letter, colour=sheet.palette.ground, size_pt=size, face=BOLD)


def _corners(centre: Point, radius: float, corners: int) -> list[Point]:
    """Return the corners of a mark as large to the eye as a disc; a negative number stands on its head or edge."""
    count = abs(corners)
    reach = radius * {3: 1.45, 4: 1.28, 6: 1.12}[count]
    turn = {3: pi / 2, -3: -pi / 2, 4: pi / 4, -4: 0.0, 6: 0.0}[corners]
    turns = [turn + 2 * pi * corner / count for corner in range(count)]
    return [(centre[0] + reach * cos(angle), centre[1] + reach * sin(angle)) for angle in turns]


def _steps(plot: _Plot) -> None:
    """Draw how far each job lies from the one before, with what is usual."""
    sheet, chart, axis = plot.sheet, plot.shown.chart, plot.low
    line = (plot.across.start_pt, axis.start_pt), (plot.across.end_pt, axis.start_pt)
    sheet.line(*line, colour=sheet.palette.quiet)
    names = []
    if chart.range_high is not None:
        y = axis.at(chart.range_high)
        sheet.line(
            (plot.across.start_pt, y),
            (plot.across.end_pt, y),
            colour=sheet.palette.accent,
            width_pt=sheet.hair_pt * 2.0,
        )
        names.append((y, tr("control limit, upper"), sheet.palette.accent))
    ranges = {at: r for at, r in enumerate(chart.moving_ranges) if r is not None and at > plot.first}
    for one, other in pairwise(ranges):
        if other == one + 1:
            ends = [(plot.across.at(at), axis.at(ranges[at])) for at in (one, other)]
            sheet.line(ends[0], ends[1], colour=sheet.hairline)
    for at, moving in ranges.items():
        sheet.circle((plot.across.at(at), axis.at(moving)), 0.22 * sheet.type_pt, fill=sheet.palette.ink)
    scale_up(sheet, axis, plot.across.start_pt, plot.shown.quantity.derived.kind, plot.unit, least=2)
    _beside(plot, names)
    above = 0.4 * sheet.type_pt, axis.end_pt + 0.6 * sheet.type_pt
    text = tr("change from job to job, {unit}", unit=plot.unit.label)
    sheet.text(above, text, anchor="start", colour=sheet.palette.quiet)


# -- words -------------------------------------------------------------------------------------------------------------


def _foot(plot: _Plot) -> None:
    """Name the quantity above its axis and write job numbers below it, as many as fit side by side."""
    sheet, points = plot.sheet, plot.shown.points[plot.first :]
    em, y = sheet.type_pt, plot.up.start_pt
    name = tr("{what}, {unit}", what=tr(plot.shown.quantity.label), unit=plot.unit.label)
    sheet.text((0.4 * em, sheet.height - 1.2 * em), name, anchor="start", colour=sheet.palette.quiet)
    sheet.line((plot.across.start_pt, y), (plot.across.end_pt, y), colour=sheet.palette.quiet)
    free = -1e9
    for at, point in enumerate(points, start=plot.first):
        x, width = plot.across.at(at), text_width(point.number, em)
        sheet.line((x, y), (x, y - 0.3 * em), colour=sheet.palette.quiet)
        if x - width / 2 >= free:
            sheet.text((x, y - 1.4 * em), point.number, colour=sheet.palette.quiet)
            free = x + width / 2 + 0.8 * em
    days = tr("{first} to {last}", first=day_of(points[0].at), last=day_of(points[-1].at))
    sheet.text((plot.across.end_pt, sheet.height - 1.2 * em), days, anchor="end", colour=sheet.palette.quiet)
    sheet.text((plot.across.end_pt + 0.6 * em, y - 1.4 * em), tr("job"), anchor="start", colour=sheet.palette.quiet)


def _key(plot: _Plot) -> None:
    """Write whose mark is whose at the foot, as far as the line goes."""
    sheet, em = plot.sheet, plot.sheet.type_pt
    x, y = plot.across.start_pt, 0.9 * em
    for which, group in enumerate(plot.groups):
        if x + 2 * em + text_width(group.name, em) > sheet.width and which:
            sheet.text((x, y), "…", anchor="start", colour=sheet.palette.quiet)
            return
        _mark(sheet, (x, y + 0.35 * em), 0.62 * em, which, group.letter)
        sheet.text((x + 1.2 * em, y), group.name, anchor="start", room_pt=sheet.width - x - 2 * em)
        x += 3 * em + text_width(group.name, em)
