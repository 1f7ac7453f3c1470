"""The backlash wheel: the ring gear seen from its teeth, with what was read at each place around it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

from reportlab.graphics.shapes import Drawing

from core.language import tr
from core.quantities import number, show, unit_for
from core.sheet.figures.draw import Point, Sheet, all_finite, finite, nothing_yet, on_circle
from core.sheet.figures.marks import put_mark
from core.sheet.figures.palette import Palette, mix
from core.sheet.fonts import BOLD, MEDIUM
from core.verdict import Answer

MOST_LABELS = 16
MOST_TEETH = 90


@dataclass(frozen=True)
class Place:
    """One place around the ring gear: where [degrees], how much [mm], and its verdict."""

    angle_deg: float
    label: str
    backlash_mm: float | None
    answer: Answer | None = None


@dataclass(frozen=True)
class WheelInput:
    """What the wheel shows; `found` are the places as they came in, drawn quietly behind."""

    places: Sequence[Place]
    low_mm: float | None = None
    high_mm: float | None = None
    found: Sequence[Place] = ()
    teeth: int = 43
    units: str = "metric"


@dataclass(frozen=True)
class _Dial:
    """Where a reading lands: from the zero circle outward."""

    centre: Point
    zero_pt: float
    full_pt: float
    full_mm: float

    def radius(self, backlash_mm: float) -> float:
        share = min(max(backlash_mm / self.full_mm, 0.0), 1.0)
        return self.zero_pt + (self.full_pt - self.zero_pt) * share


def backlash_wheel(shown: WheelInput, palette: Palette, size: tuple[float, float]) -> Drawing:
    """Draw backlash around the ring gear, with the limits as a band and the mean as a circle.

    Parameters
    ----------
    shown : WheelInput
        Readings [mm] and limits [mm]; what is not a number is left out.
    palette : Palette
        Colours.
    size : tuple of float
        Width and height [pt].
    """
    places = [p for p in shown.places if finite(p.backlash_mm) is not None]
    found = [p for p in shown.found if finite(p.backlash_mm) is not None]
    if not places and not found:
        return nothing_yet(size, palette, tr("No backlash measured yet"))
    sheet = Sheet(size, palette)
    dial = _dial(sheet, shown, [*places, *found])
    _band(sheet, dial, shown)
    _gear(sheet, dial, shown.teeth)
    _readings(sheet, dial, found, is_quiet=bool(places))
    _readings(sheet, dial, places, is_quiet=False)
    _labels(sheet, dial, places or found, shown.units)
    _middle(sheet, dial, places or found, shown.units)
    _caption(sheet, places or found, shown)
    return sheet.drawing


def _mm(place: Place) -> float:
    return place.backlash_mm or 0.0


def _dial(sheet: Sheet, shown: WheelInput, places: Sequence[Place]) -> _Dial:
    caption = 3.4 * sheet.type_pt
    room = min(sheet.width - 7 * sheet.type_pt, sheet.height - caption - 3.4 * sheet.type_pt) / 2
    room = max(room, 12.0)
    centre = sheet.width / 2, caption + (sheet.height - caption) / 2
    highest = max([_mm(p) for p in places] + all_finite((shown.high_mm, shown.low_mm)))
    return _Dial(centre, room * 0.56, room, highest * 1.06 or 1.0)


def _band(sheet: Sheet, dial: _Dial, shown: WheelInput) -> None:
    """Draw the limits as a ring; where one side is open, the ring runs to the edge of the dial."""
    low, high = finite(shown.low_mm), finite(shown.high_mm)
    if low is None and high is None:
        return
    inner = dial.radius(low or 0.0)
    outer = dial.full_pt if high is None else dial.radius(high)
    sheet.circle(dial.centre, outer, fill=mix(sheet.palette.conforms, sheet.palette.ground, 0.16))
    sheet.circle(dial.centre, inner, fill=sheet.palette.ground)
    for limit, radius in ((low, inner), (high, outer)):
        if limit is not None:
            sheet.circle(dial.centre, radius, colour=sheet.palette.conforms, dash=sheet.type_pt * 0.3)


def _gear(sheet: Sheet, dial: _Dial, teeth: int) -> None:
    """Draw the ring gear's face: two circles and one curved line for each tooth."""
    outer, inner = dial.zero_pt, dial.zero_pt * 0.74
    sheet.circle(dial.centre, outer, fill=sheet.palette.sunk, colour=sheet.palette.quiet)
    sheet.circle(dial.centre, inner, fill=sheet.palette.ground, colour=sheet.palette.quiet)
    count = min(max(teeth, 0), MOST_TEETH)
    for tooth in range(count):
        start = 360.0 * tooth / count
        trace = [
            on_circle(dial.centre, inner + (outer - inner) * step / 4, start + 14 * (step / 4) ** 1.4)
            for step in range(5)
        ]
        sheet.path(trace, colour=sheet.hairline)


def _readings(sheet: Sheet, dial: _Dial, places: Sequence[Place], *, is_quiet: bool) -> None:
    if not places:
        return
    colour = mix(sheet.palette.quiet, sheet.palette.ground, 0.5) if is_quiet else sheet.palette.ink
    thin = len(places) > MOST_LABELS
    mark_pt = sheet.type_pt * (0.16 if thin else 0.34)
    for place in places:
        tip = on_circle(dial.centre, dial.radius(_mm(place)), place.angle_deg)
        if is_quiet:
            sheet.circle(tip, mark_pt * 0.8, fill=sheet.palette.ground, colour=colour)
            continue
        if not thin:  # hundreds of bars would run together into a blot
            root = on_circle(dial.centre, dial.zero_pt, place.angle_deg)
            sheet.line(root, tip, colour=colour, width_pt=sheet.hair_pt * 2.2)
        if place.answer is None:
            sheet.circle(tip, mark_pt, fill=colour)
        else:
            put_mark(sheet, tip, mark_pt, place.answer)
    if not is_quiet:
        mean = dial.radius(fmean(_mm(p) for p in places))
        sheet.circle(dial.centre, mean, colour=sheet.palette.accent, width_pt=sheet.hair_pt * 1.4)


def _labels(sheet: Sheet, dial: _Dial, places: Sequence[Place], units: str) -> None:
    """Write each value outside the dial; with many places only the smallest and the largest."""
    smallest, largest = min(places, key=_mm), max(places, key=_mm)
    named = places if len(places) <= MOST_LABELS else [smallest, largest]
    unit = unit_for("length", units, "mm").id
    for place in named:
        x, y = on_circle(dial.centre, dial.full_pt + sheet.type_pt * 0.75, place.angle_deg)
        lean = x - dial.centre[0]
        anchor = "middle" if abs(lean) < dial.full_pt * 0.2 else "start" if lean > 0 else "end"
        below = (dial.centre[1] + dial.full_pt * 0.5 - y) / dial.full_pt * sheet.type_pt * 0.35
        is_extreme = _mm(smallest) != _mm(largest) and _mm(place) in (_mm(smallest), _mm(largest))
        sheet.text(
            (x, y - max(below, 0.0)),
            number("length", _mm(place), unit),
            anchor=anchor,
            face=BOLD if is_extreme else MEDIUM,
            colour=sheet.palette.of(place.answer) if place.answer is Answer.DOES_NOT_CONFORM else sheet.palette.ink,
        )


def _middle(sheet: Sheet, dial: _Dial, places: Sequence[Place], units: str) -> None:
    room = dial.zero_pt * 0.74 * 1.7
    large = min(sheet.type_pt * 2.0, room / 3.2)
    unit = unit_for("length", units, "mm")
    x, y = dial.centre
    mean = number("length", fmean(_mm(p) for p in places), unit.id)
    sheet.text((x, y - large * 0.2), mean, size_pt=large, face=MEDIUM, room_pt=room)
    sheet.text(
        (x, y - large * 0.2 - min(sheet.type_pt, room / 7) * 1.4),
        tr("mean, {unit}", unit=unit.label),
        colour=sheet.palette.quiet,
        size_pt=min(sheet.type_pt, room / 7),
    )


def _caption(sheet: Sheet, places: Sequence[Place], shown: WheelInput) -> None:
    smallest, largest = min(places, key=_mm), max(places, key=_mm)
    unit = unit_for("length", shown.units, "mm").id
    if _mm(smallest) == _mm(largest):
        first = tr("the same all around")
    else:
        first = tr(
            "smallest {small} at {there} · largest {large} at {here}",
            small=number("length", _mm(smallest), unit),
            there=tr(smallest.label),
            large=number("length", _mm(largest), unit),
            here=tr(largest.label),
        )
    second = [tr("variation {value}", value=show("length", _mm(largest) - _mm(smallest), unit))]
    limit = _limit_words(shown, unit)
    if limit:
        second.append(limit)
    room = sheet.width - sheet.type_pt
    for line, text in enumerate((first, " · ".join(second))):
        at = sheet.width / 2, (1.9 - 1.35 * line) * sheet.type_pt
        sheet.text(at, text, colour=sheet.palette.quiet, room_pt=room)


def _limit_words(shown: WheelInput, unit: str) -> str:
    low, high = finite(shown.low_mm), finite(shown.high_mm)
    if low is not None and high is not None:
        return tr("limit {low} – {high}", low=number("length", low, unit), high=show("length", high, unit))
    if high is not None:
        return tr("at most {high}", high=show("length", high, unit))
    return "" if low is None else tr("at least {low}", low=show("length", low, unit))
