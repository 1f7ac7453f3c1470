"""The bench ticket: one small page to take along to the drawer and the bench, with room to write by hand."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from reportlab.graphics import renderPDF
from reportlab.lib.utils import simpleSplit
from reportlab.pdfgen.canvas import Canvas

from core.advice.answer import percent
from core.facts import LEFT, RIGHT, Job, Limit
from core.language import mark, tr
from core.mechanics.rings import RingPair
from core.quantities import KINDS, number, show
from core.sheet.figures.draw import Point, Sheet
from core.sheet.figures.palette import Palette
from core.sheet.fonts import BOLD, MEDIUM, REGULAR, install_fonts
from core.sheet.text import one_line
from core.sheet.values import day
from core.stages import stage as stage_of
from core.stages.sides import is_side

A6_LANDSCAPE = (420.0, 298.0)
"""Width and height [pt], in whole points."""

MARGIN, GAP, MOST_LINES = 22.0, 8.0, 4
SMALL, PLAIN, LEAD, TITLE, LOUD = 9.0, 11.0, 14.0, 22.0, 34.0
"""Sizes of type [pt]: the thickness of a ring is read over the bench."""

_BLACK_ON_WHITE = Palette("#FFFFFF", "#FFFFFF", "#FFFFFF", *["#000000"] * 6)


_SHORT = {
    "drive_along": mark("Drive, along"),
    "drive_depth": mark("Drive, depth"),
    "coast_along": mark("Coast, along"),
    "coast_depth": mark("Coast, depth"),
    "backlash_now": mark("Backlash"),
}
"""What is written down of a print, in words that fit over a box."""


@dataclass(frozen=True)
class UnderPinion:
    """What goes under the pinion: thickness of each shim [mm] and where it lies in the drawer; what is in now.

    A place is None for a shim that stays in, "" for one that comes from elsewhere. `also` is what else there is to be
    done, in words.
    """

    shims_mm: tuple[float, ...]
    places: tuple[str | None, ...]
    now_mm: float | None
    also: str = ""


@dataclass(frozen=True)
class Ticket:
    """A pair, or pinion shims, on its way to the bench.

    Attributes
    ----------
    shop : str
        Name of the shop.
    job : Job
        The job it is for.
    stage, trial : str or int
        Key of the stage, and the trial it is for.
    fitted : RingPair or UnderPinion
        Thickness on both sides [mm], not printed where nuts are turned; or what goes under the pinion.
    notches : tuple of int, or None
        Notches of both nuts, ring-gear side first.
    places : tuple of str
        Where the two rings lie in the drawer, ring-gear side first; "" where they come from elsewhere.
    kind, unit, size_unit : str
        Kind of quantity that is read, id of its unit, and id of the unit of thickness.
    limit : Limit or None
        Limits of the card [canonical unit].
    expected : tuple of float, or None
        Median and 90 % interval of the mean reading [canonical unit]; None where nothing was promised.
    chance : float or None
        How likely it is to conform [0 … 1].
    made_at : datetime
        When it is printed.
    """

    shop: str
    job: Job
    stage: str
    trial: int
    fitted: RingPair | UnderPinion
    notches: tuple[int, int] | None
    places: tuple[str, str]
    kind: str
    unit: str
    size_unit: str
    limit: Limit | None
    expected: tuple[float, float, float] | None
    chance: float | None
    made_at: datetime


def ticket_bytes(told: Ticket) -> bytes:
    """Return a bench ticket as the bytes of a PDF of one A6 page; equal input gives equal bytes."""
    install_fonts()
    sheet = Sheet(A6_LANDSCAPE, _BLACK_ON_WHITE)
    _head(sheet, told)
    if isinstance(told.fitted, UnderPinion):
        _under_pinion(sheet, told, told.fitted)
    else:
        _sides(sheet, told, told.fitted)
    _promise(sheet, told)
    _boxes(sheet, told)
    _foot(sheet)
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=A6_LANDSCAPE, invariant=1, pageCompression=1, lang="en", initialFontName=REGULAR)
    title = tr("Bench ticket, job {number}, unit {serial}", number=told.job.number, serial=told.job.serial)
    canvas.setTitle(one_line(title))
    canvas.setAuthor(one_line(told.shop))
    canvas.setCreator("Pinionbook")
    renderPDF.draw(sheet.drawing, canvas, 0, 0)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _head(sheet: Sheet, told: Ticket) -> None:
    """Write whose ticket it is: shop and day small, job and unit large, stage and trial opposite."""
    room = sheet.width - 2 * MARGIN
    top = sheet.height - MARGIN
    printed = tr("Bench ticket, {day}", day=day(told.made_at))
    sheet.text((MARGIN, top - SMALL), told.shop, anchor="start", size_pt=SMALL, room_pt=0.5 * room)
    sheet.text((sheet.width - MARGIN, top - SMALL), printed, anchor="end", size_pt=SMALL, room_pt=0.5 * room)
    base = top - SMALL - GAP - TITLE
    trial = tr("{stage}, trial {trial}", stage=tr(stage_of(told.stage).label), trial=told.trial)
    who = tr("{number} · {serial}", number=told.job.number, serial=told.job.serial)
    sheet.text((MARGIN, base), who, anchor="start", size_pt=TITLE, face=BOLD, room_pt=0.55 * room)
    sheet.text((sheet.width - MARGIN, base), trial, anchor="end", size_pt=LEAD, face=MEDIUM, room_pt=0.42 * room)
    _rule(sheet, base - GAP)


def _rule(sheet: Sheet, y: float) -> None:
    sheet.line((MARGIN, y), (sheet.width - MARGIN, y), width_pt=0.8)


@dataclass(frozen=True)
class _Side:
    where: str
    what: str
    place: str


def _sides(sheet: Sheet, told: Ticket, fitted: RingPair) -> None:
    """Write what goes where: the left side left, as it lies seen from the pinion."""
    gear_on = told.job.card.text("ring_gear_side")
    whats = _whats(told, fitted)
    sides = [
        _Side(name, what, _from(place))
        for name, what, place in zip((tr("ring-gear side"), tr("opposite side")), whats, told.places, strict=True)
    ]
    if gear_on == RIGHT:
        sides.reverse()
    heads = [tr("Left, {side}", side=sides[0].where), tr("Right, {side}", side=sides[1].where)]
    if gear_on not in (LEFT, RIGHT):
        heads = [side.where for side in sides]
    _columns(sheet, heads, sides, tr("left and right as seen from the pinion") if gear_on in (LEFT, RIGHT) else "")


def _under_pinion(sheet: Sheet, told: Ticket, fitted: UnderPinion) -> None:
    """Write which shims go under the pinion, where they lie, and what is there now."""
    shims = [
        _Side("", show("length", size_mm, told.size_unit), _from(place))
        for size_mm, place in zip(fitted.shims_mm, fitted.places, strict=True)
    ]
    note = ""
    if fitted.now_mm is not None:
        note = tr("instead of {now}", now=show("length", fitted.now_mm, told.size_unit))
    _columns(sheet, [tr("Pinion shim"), tr("Second pinion shim")][: len(shims)], shims, note)


def _from(place: str | None) -> str:
    if place is None:
        return tr("stays in")
    return tr("from {place}", place=place) if place else ""


def _columns(sheet: Sheet, heads: Sequence[str], sides: Sequence[_Side], note: str) -> None:
    """Write one piece or two beside each other, and a note below them."""
    half = (sheet.width - 2 * MARGIN) / 2
    for at, (head, side) in enumerate(zip(heads, sides, strict=True)):
        x, y = MARGIN + at * half, 225.0
        sheet.text((x, y - PLAIN), head, anchor="start", size_pt=PLAIN, face=MEDIUM, room_pt=half - GAP)
        sheet.text((x, y - PLAIN - LOUD), side.what, anchor="start", size_pt=LOUD, face=BOLD, room_pt=half - GAP)
        place = (x, y - PLAIN - LOUD - LEAD - 5.0)
        sheet.text(place, side.place, anchor="start", size_pt=LEAD, room_pt=half - GAP)
    if note:
        sheet.text((sheet.width - MARGIN, 144.0), note, anchor="end", size_pt=SMALL, room_pt=2 * half)
    _rule(sheet, 139.0)


def _whats(told: Ticket, fitted: RingPair) -> tuple[str, str]:
    """Return what sits on each side in words, ring-gear side first."""
    if told.notches is not None:
        one, other = (tr("{count} notches", count=notches) for notches in told.notches)
        return one, other
    sizes = fitted.ring_gear_side_mm, fitted.opposite_side_mm
    one, other = (show("length", size, told.size_unit) for size in sizes)
    return one, other


def _promise(sheet: Sheet, told: Ticket) -> None:
    """Write what is expected, between what it has to lie, and what else there is to be done."""
    room = sheet.width - 2 * MARGIN
    lines = []
    if told.expected is not None:
        middle, low, high = told.expected
        lines.append(
            tr(
                "Expected {middle} ({low} – {high})",
                middle=show(told.kind, middle, told.unit),
                low=number(told.kind, low, told.unit),
                high=number(told.kind, high, told.unit),
            )
        )
    if told.limit is not None and told.limit.low is not None and told.limit.high is not None:
        low_words = number(told.kind, told.limit.low, told.unit)
        lines.append(tr("Limits {low} – {high}", low=low_words, high=show(told.kind, told.limit.high, told.unit)))
    for at, line in enumerate(lines):
        sheet.text((MARGIN, 123.0 - at * 15.0), line, anchor="start", size_pt=PLAIN, room_pt=0.68 * room)
    if isinstance(told.fitted, UnderPinion):
        for at, line in enumerate(simpleSplit(one_line(told.fitted.also), REGULAR, SMALL, 0.74 * room)[:MOST_LINES]):
            sheet.text((MARGIN, 129.5 - at * 10.5), line, anchor="start", size_pt=SMALL, room_pt=0.74 * room)
    if told.chance is not None:
        chance = tr("Chance {chance}", chance=percent(told.chance))
        # Beside sentences there is less room than beside numbers.
        size = LEAD if isinstance(told.fitted, UnderPinion) else TITLE
        sheet.text((sheet.width - MARGIN, 114.0), chance, anchor="end", size_pt=size, face=BOLD, room_pt=0.48 * room)


def _boxes(sheet: Sheet, told: Ticket) -> None:
    """Draw a box for each reading that is to be written down by hand, with its name over it and its unit in it."""
    boxes = list(_readings(told))
    room = sheet.width - 2 * MARGIN
    is_narrow = len(boxes) > len(_SHORT)
    gap = 3.0 if is_narrow else GAP
    width = (room - gap * (len(boxes) - 1)) / max(len(boxes), 1)
    for at, (name, unit) in enumerate(boxes):
        corner: Point = (MARGIN + at * (width + gap), 54.0)
        said = tr("{place} in {unit}", place=name, unit=unit) if is_narrow and at == 0 else name
        sheet.text((corner[0], corner[1] + 33.0), said, anchor="start", size_pt=SMALL, room_pt=width)
        sheet.box(corner, width, 29.0, colour="#000000", width_pt=0.8)
        if not is_narrow:
            sheet.text((corner[0] + width - 5.0, corner[1] + 5.0), unit, anchor="end", size_pt=SMALL)


def _readings(told: Ticket) -> Iterator[tuple[str, str]]:
    """Yield the readings of the trial with their unit, in order of work; places around the gear by their place."""
    for entry in stage_of(told.stage).entries:
        if not entry.is_trial or is_side(entry.key) or not KINDS[entry.kind].is_number:
            continue
        unit = told.unit if entry.kind == told.kind else told.size_unit if entry.kind == "length" else entry.unit
        label = KINDS[entry.kind].unit(unit).label
        if isinstance(told.fitted, UnderPinion):
            if entry.key in _SHORT:
                yield tr(_SHORT[entry.key]), label
            continue
        for place in entry.positions:
            yield tr(place.label or entry.label), label


def _foot(sheet: Sheet) -> None:
    """Leave lines for who read it, and when."""
    half = (sheet.width - 2 * MARGIN) / 2
    for at, label in enumerate((tr("Date"), tr("Person"))):
        x = MARGIN + at * (half + GAP / 2)
        sheet.text((x, MARGIN), label, anchor="start", size_pt=SMALL)
        sheet.line((x + 40.0, MARGIN - 2.0), (x + half - GAP / 2, MARGIN - 2.0), width_pt=0.8)
