"""What is believed before the next trial: readings, the band of belief, the limits, and what each pair promises."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil, floor, log10

from reportlab.graphics.shapes import Drawing

from core.advice.answer import Picture, percent
from core.language import mark, tr
from core.quantities import KINDS, number, to_unit
from core.sheet.figures.axes import Axis
from core.sheet.figures.draw import Point, Sheet, all_finite, nothing_yet, text_width
from core.sheet.figures.palette import Palette, mix
from core.sheet.fonts import BOLD, REGULAR
from core.sheet.text import fitted

ADVICE_SIZE = (420.0, 260.0)
"""Width and height [pt] at which the plot is easy to read on a screen."""

MOST_SHOWN = 2.5
"""Up to so many times the upper limit is drawn: a very wide band would press what matters flat."""

UPWARD = {"preload": mark("turning torque, {unit}"), "backlash": mark("backlash, {unit}")}
ALONG = {"preload": mark("ring sum, {unit}"), "backlash": mark("ring gear from the pinion, {unit}")}

_Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class _Scale:
    """One axis with an even number of round marks."""

    axis: Axis
    marks: tuple[float, ...]
    decimals: int


@dataclass
class _Plot:
    """The paper, its axes in the units of the job, and the room that is taken by words already."""

    sheet: Sheet
    across: _Scale
    up: _Scale
    readings: Sequence[tuple[int, float, float]]
    band: Sequence[tuple[float, float, float, float]]
    limit: tuple[float, float]
    offers: Sequence[tuple[float, float]]
    taken: list[_Box] = field(default_factory=list)

    @property
    def em(self) -> float:
        """Size of the plain type [pt]."""
        return self.sheet.type_pt

    def at(self, along: float, upward: float) -> Point:
        """Return where a value stands, at the edge where it lies beyond."""
        low, high = self.up.axis.low, self.up.axis.high
        return self.across.axis.at(along), self.up.axis.at(min(max(upward, low), high))


def advice_plot(picture: Picture, palette: Palette, size: tuple[float, float] = ADVICE_SIZE) -> Drawing:
    """Draw what is believed of the next trial.

    Parameters
    ----------
    picture : Picture
        Readings, belief, limits and pairs [mm, canonical unit]; written in the units the job is read in.
    palette : Palette
        Colours.
    size : tuple of float
        Width and height [pt].

    Returns
    -------
    Drawing
        Readings beyond the upper edge stand on it as a triangle with their value. Where nothing was read and nothing
        is believed it says so in one line.
    """
    plot = _plot(picture, Sheet(size, palette))
    if plot is None:
        return nothing_yet(size, palette, tr("Nothing measured yet"))
    _bands(plot)
    _axes(plot, picture)
    _offers(plot)
    _readings(plot, picture)
    return plot.sheet.drawing


def _plot(picture: Picture, sheet: Sheet) -> _Plot | None:
    def along(place_mm: float) -> float:
        return to_unit("length", place_mm, picture.size_unit)

    def upward(value: float) -> float:
        return to_unit(picture.kind, value, picture.unit)

    readings = [(trial, along(x), upward(y)) for trial, x, y in picture.readings if len(all_finite((x, y))) == 2]
    band = [
        (along(p.x_mm), upward(p.low), upward(p.middle), upward(p.high))
        for p in picture.band
        if len(all_finite((p.x_mm, p.low, p.middle, p.high))) == 4
    ]
    offers = [(along(x), chance) for x, chance in picture.offers if len(all_finite((x, chance))) == 2]
    places = [x for _, x, _ in readings] + [x for x, *_ in band] + [x for x, _ in offers]
    if not places:
        return None
    low, high = (upward(value) for value in picture.limit)
    most = MOST_SHOWN * high
    top = min(max([1.3 * high, *(1.08 * y for *_, y in readings), *(b[3] for b in band)]), most)
    em = sheet.type_pt
    foot, head = 3.2 * em, sheet.height - (1.9 + 1.3 * len(offers)) * em
    across = _across(min(places), max(places), 4.0 * em, sheet.width - 1.6 * em)
    up = _ending_in_marks(min([0.0, *(y for *_, y in readings)]), top, foot, max(head, foot + em))
    return _Plot(sheet, across, up, readings, band, (low, high), offers)


def _across(low: float, high: float, start_pt: float, end_pt: float) -> _Scale:
    """Return an axis over just a range, with four, six or eight marks; a wider one where no step gives so many."""
    span = (high - low) or max(abs(high) * 0.02, 0.02)
    low, high = (low, high) if high > low else (low - span / 2, high + span / 2)
    found: dict[int, _Scale] = {}
    for step in _steps(span):
        marks = tuple(step * at for at in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1))
        found.setdefault(len(marks), _Scale(Axis(low, high, start_pt, end_pt), marks, _decimals(step)))
    for count in (4, 6, 8):
        if count in found:
            return found[count]
    return _ending_in_marks(low, high, start_pt, end_pt)


def _ending_in_marks(low: float, high: float, start_pt: float, end_pt: float) -> _Scale:
    """Return the shortest axis over a range that has four or six marks, the outer ones at its ends."""
    span = (high - low) or max(abs(high) * 0.02, 0.02)
    found = [(low, span / 3, 4)]
    for step in _steps(span):
        begin = floor(low / step + 1e-9) * step
        found += [(begin, step, count) for count in (4, 6) if begin + (count - 1) * step >= high - 1e-9 * step]
    # The first of them is no round one, for numbers that floats hardly tell apart.
    begin, step, count = min(found[1:] or found, key=lambda axis: axis[1] * (axis[2] - 1))
    marks = tuple(begin + step * at for at in range(count))
    return _Scale(Axis(marks[0], marks[-1], start_pt, end_pt), marks, _decimals(step))


def _steps(span: float) -> tuple[float, ...]:
    """Return the round steps that come into question for a range, coarsest first."""
    power = floor(log10(span))
    return tuple(factor * 10.0**p for p in (power, power - 1) for factor in (5.0, 2.5, 2.0, 1.0))


def _decimals(step: float) -> int:
    # A quarter of a power of ten takes one place more.
    power = floor(log10(step) + 1e-9)
    is_quarter = abs(step / 10.0**power - 2.5) < 1e-6
    return max(0, is_quarter - power)


# -- what lies below ----------------------------------------------------------------------------------------------


def _bands(plot: _Plot) -> None:
    """Draw the limits, the belief, and where both agree in a colour of its own: nothing shines through in an SVG."""
    palette = plot.sheet.palette
    ends = plot.across.axis.low, plot.across.axis.high
    allowed = mix(palette.conforms, palette.ground, 0.16)
    low, high = plot.limit
    plot.sheet.shape([plot.at(ends[0], low), plot.at(ends[1], low), plot.at(ends[1], high), plot.at(ends[0], high)],
                     fill=allowed)  # fmt: skip
    if len(plot.band) > 1:
        plot.sheet.shape(_outline(plot, plot.up.axis.low, plot.up.axis.high), fill=_believed(palette))
        plot.sheet.shape(_outline(plot, low, high), fill=mix(palette.accent, allowed, 0.30))
    for limit in plot.limit:
        dash = plot.em * 0.3
        plot.sheet.line(plot.at(ends[0], limit), plot.at(ends[1], limit), colour=palette.conforms, dash=dash)
    for run in _runs([(x, middle) for x, _, middle, _ in plot.band], plot.up.axis.low, plot.up.axis.high):
        plot.sheet.path([plot.at(*point) for point in run], colour=palette.accent, width_pt=plot.sheet.hair_pt * 1.6)


def _believed(palette: Palette) -> str:
    return mix(palette.accent, palette.ground, 0.22)


def _outline(plot: _Plot, low: float, high: float) -> list[Point]:
    """Return the band of belief as far as it lies between two values."""

    def edge(which: int) -> list[Point]:
        return [plot.at(x, min(max(y, low), high)) for x, y in _with_crossings(plot.band, which, (low, high))]

    return [*edge(1), *reversed(edge(3))]


def _with_crossings(
    band: Sequence[tuple[float, float, float, float]], which: int, at: tuple[float, float]
) -> Iterator[Point]:
    """Yield one edge of the band, with a point wherever it crosses a value, so that it can be cut there."""
    points = [(b[0], b[which]) for b in band]
    for one, other in pairwise(points):
        yield one
        crossings = [(value - one[1]) / (other[1] - one[1]) for value in at if other[1] != one[1]]
        for share in sorted(share for share in crossings if 0.0 < share < 1.0):
            yield one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])
    yield points[-1]


def _runs(points: Sequence[Point], low: float, high: float) -> Iterator[list[Point]]:
    """Yield the parts of a line that lie between two values, each cut where it goes beyond."""
    band = [(x, y, y, y) for x, y in points]
    run: list[Point] = []
    for x, y in _with_crossings(band, 1, (low, high)) if band else ():
        # A crossing is worked out, and may miss the value by the last bit.
        if low - 1e-9 * (high - low) <= y <= high + 1e-9 * (high - low):
            run.append((x, y))
        else:
            if len(run) > 1:
                yield run
            run = []
    if len(run) > 1:
        yield run


# -- axes ---------------------------------------------------------------------------------------------------------


def _axes(plot: _Plot, picture: Picture) -> None:
    sheet, em, quiet = plot.sheet, plot.em, plot.sheet.palette.quiet
    unit, size_unit = KINDS[picture.kind].unit(picture.unit).label, KINDS["length"].unit(picture.size_unit).label
    above = fitted(tr(UPWARD[picture.stage], unit=unit), REGULAR, em, sheet.width - em * 0.8)
    _write(plot, (em * 0.4, sheet.height - em * 1.2), above, anchor="start")
    end = plot.across.axis.end_pt
    below = fitted(tr(ALONG[picture.stage], unit=size_unit), REGULAR, em, end - em * 0.4)
    _write(plot, (end, em * 0.5), below, anchor="end")
    _key(plot, end - text_width(below, em) - em)
    x, y = plot.across.axis.start_pt, plot.up.axis.start_pt
    sheet.line((x, y), (x, plot.up.axis.end_pt), colour=quiet)
    sheet.line((x, y), (plot.across.axis.end_pt, y), colour=quiet)
    for value in plot.up.marks:
        at = plot.up.axis.at(value)
        sheet.line((x - em * 0.3, at), (x, at), colour=quiet)
        _write(plot, (x - em * 0.6, at - em * 0.35), f"{value:z.{plot.up.decimals}f}", anchor="end")
    for value in plot.across.marks:
        at = plot.across.axis.at(value)
        sheet.line((at, y), (at, y - em * 0.3), colour=quiet)
        _write(plot, (at, y - em * 1.3), f"{value:z.{plot.across.decimals}f}")


def _key(plot: _Plot, end_pt: float) -> None:
    """Say at the foot what the two bands are, where there is room beside the name of the axis."""
    palette, em = plot.sheet.palette, plot.em
    shown = [(tr("limits"), mix(palette.conforms, palette.ground, 0.16), palette.conforms)]
    if len(plot.band) > 1:
        shown.insert(0, (tr("expected, 9 of 10"), _believed(palette), palette.accent))
    x = em * 0.4
    if x + sum(text_width(said, em) + 2.4 * em for said, *_ in shown) > end_pt:
        return
    for said, fill, edge in shown:
        plot.sheet.box((x, em * 0.4), em, em * 0.8, fill=fill, colour=edge)
        plot.sheet.text((x + em * 1.4, em * 0.5), said, anchor="start", colour=palette.quiet)
        x += text_width(said, em) + 2.4 * em


def _write(plot: _Plot, at: Point, text: str, *, anchor: str = "middle", colour: str = "", face: str = REGULAR) -> bool:
    """Write a line where nothing is written yet and the drawing does not end; return whether it was."""
    width, em = text_width(text, plot.em, face), plot.em
    left = at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * width
    box = left, at[1] - 0.25 * em, left + width, at[1] + 0.8 * em
    is_inside = box[0] >= 0.0 and box[1] >= 0.0 and box[2] <= plot.sheet.width and box[3] <= plot.sheet.height
    if not is_inside or any(_meet(box, other) for other in plot.taken):
        return False
    plot.taken.append(box)
    plot.sheet.text(at, text, anchor=anchor, colour=colour or plot.sheet.palette.quiet, face=face)
    return True


def _meet(one: _Box, other: _Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


# -- what was read, and what is offered ------------------------------------------------------------------------------


def _offers(plot: _Plot) -> None:
    """Draw a line up to the chance of each pair, the best one's highest; a pair is a ring on what is expected of it."""
    palette, em = plot.sheet.palette, plot.em
    best = plot.across.axis.at(plot.offers[0][0]) if plot.offers else 0.0
    for row, (place, chance) in reversed(list(enumerate(plot.offers))):
        x, said = plot.across.axis.at(place), percent(chance)
        top = plot.up.axis.end_pt + (0.3 + 1.3 * (len(plot.offers) - 1 - row)) * em
        colour, face = (palette.accent, BOLD) if row == 0 else (palette.quiet, REGULAR)
        width = text_width(said, em, face)
        # The best one's line goes past the words of the other, so those stand on the far side of their own.
        left = x - width / 2 if row == 0 else x - width - 0.2 * em if x < best else x + 0.2 * em
        plot.sheet.line((x, plot.up.axis.start_pt), (x, top), colour=colour, dash=em * 0.2)
        left = min(max(left, 0.0), plot.sheet.width - width)
        _write(plot, (left, top + 0.3 * em), said, anchor="start", colour=colour, face=face)
        expected = _middle_at(plot, place)
        if expected is not None and expected <= plot.up.axis.high:
            centre = plot.at(place, expected)
            plot.sheet.circle(centre, em * 0.45, fill=palette.ground, colour=colour, width_pt=plot.sheet.hair_pt * 2)
            plot.taken.append(_around(centre, em * 0.45))


def _middle_at(plot: _Plot, place: float) -> float | None:
    for (x, _, middle, _), (following, _, then, _) in pairwise(plot.band):
        if x <= place <= following:
            return middle + (then - middle) * ((place - x) / (following - x) if following > x else 0.0)
    return None


def _around(centre: Point, reach: float) -> _Box:
    return centre[0] - reach, centre[1] - reach, centre[0] + reach, centre[1] + reach


def _readings(plot: _Plot, picture: Picture) -> None:
    """Draw a disc for each trial, then its number beside it; trials on one spot share their words."""
    values = {trial: value for trial, _, value in picture.readings}
    spots: list[tuple[Point, list[str]]] = []
    for trial, place, value in plot.readings:
        at, is_beyond = plot.at(place, value), value > plot.up.axis.high
        _disc(plot, at, is_beyond=is_beyond)
        words = str(trial)
        if is_beyond:
            words = tr("{trial}: {value}", trial=trial, value=number(picture.kind, values[trial], picture.unit))
        near = next((names for spot, names in spots if _meet(_around(spot, plot.em * 0.4), _around(at, 0.0))), None)
        if near is None:
            spots.append((at, [words]))
        else:
            near.append(words)
    plot.taken += [_around(spot, plot.em * 0.35) for spot, _ in spots]
    for (x, y), names in spots:
        away, words = plot.em * 0.6, ", ".join(names)
        # What is believed rises to the right: the corners above it and below it come first.
        corners = (("end", x - away, y + away * 0.5), ("start", x + away, y - away * 1.6),
                   ("start", x + away, y + away * 0.5), ("end", x - away, y - away * 1.6),
                   ("middle", x, y + away * 1.5), ("middle", x, y - away * 2.4))  # fmt: skip
        for anchor, left, base in corners:
            if _write(plot, (left, base), words, anchor=anchor, colour=plot.sheet.palette.ink):
                break


def _disc(plot: _Plot, at: Point, *, is_beyond: bool) -> None:
    reach, ink = plot.em * 0.36, plot.sheet.palette.ink
    if is_beyond:
        x, y = at[0], plot.up.axis.end_pt
        plot.sheet.shape([(x - reach, y - 2 * reach), (x + reach, y - 2 * reach), (x, y)], fill=ink)
    else:
        plot.sheet.circle(at, reach, fill=ink)
