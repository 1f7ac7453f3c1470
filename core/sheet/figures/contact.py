"""The contact pattern: drive and coast tooth side by side, with the print of the marking compound on each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from reportlab.graphics.shapes import Drawing

from core.language import mark, tr
from core.mechanics.outline import Ring, measure
from core.mechanics.print_shapes import rounded
from core.mechanics.tooth_view import ToothView
from core.sheet.figures.draw import Point, Sheet, finite, nothing_yet, text_width
from core.sheet.figures.palette import Palette, mix
from core.sheet.fonts import MEDIUM
from core.stages.tooth import DRIVE, Tooth

LEAST_TYPE = 0.78
"""How small a line may become, of the figure's plain type, before something is left out of it."""
LINE = 1.35
"""From one line of words to the next, of the size of the type."""
FINE = 72
"""Points of a print drawn from its numbers alone."""


@dataclass(frozen=True)
class Patch:
    """A print on one flank, as shares: along 0 toe … 1 heel, depth 0 flank … 1 face, and how far it reaches.

    `rings` is its outline, where it was drawn; without it the print is drawn round.
    """

    along: float | None
    depth: float | None
    length: float | None = None
    height: float | None = None
    rings: tuple[Ring, ...] = ()

    @property
    def is_known(self) -> bool:
        """Whether there is a centre to draw."""
        return finite(self.along) is not None and finite(self.depth) is not None


@dataclass(frozen=True)
class ToothInput:
    """Both prints of one flank: as found and as it is now, and the limits of its centre where the card gives them."""

    now: Patch | None = None
    found: Patch | None = None
    along_limits: tuple[float | None, float | None] = (None, None)
    depth_limits: tuple[float | None, float | None] = (None, None)


@dataclass(frozen=True)
class ContactInput:
    """Drive and coast flank, and the tooth they are on."""

    drive: ToothInput
    coast: ToothInput
    tooth: Tooth = field(default_factory=Tooth)


def contact(shown: ContactInput, palette: Palette, size: tuple[float, float]) -> Drawing:
    """Draw both flanks in their true proportions, toe to the inside; as found in outline, as it is now solid.

    Parameters
    ----------
    shown : ContactInput
        Prints as shares of the tooth; what is not a number is left out.
    palette : Palette
        Colours; `compound` is the colour of the print.
    size : tuple of float
        Width and height [pt].
    """
    sides = shown.tooth.sides
    teeth = tuple(shown.drive if side == DRIVE else shown.coast for side in sides)
    if not any(p is not None and p.is_known for t in teeth for p in (t.now, t.found)):
        return nothing_yet(size, palette, tr("No contact pattern read yet"))
    sheet = Sheet(size, palette, ems=40.0)
    places = _places(sheet, shown)
    for place, tooth, side in zip(places, teeth, sides, strict=True):
        _flank(sheet, place, tooth)
        _words(sheet, place, tooth, shown.tooth.words(side), shown.tooth.proportion)
    _depth_names(sheet, places[0])
    _key(sheet, shown, places[0])
    return sheet.drawing


def _places(sheet: Sheet, shown: ContactInput) -> tuple[ToothView, ToothView]:
    proportion, toe_share = shown.tooth.proportion, shown.tooth.toe_share
    top, bottom = 2.0 * sheet.type_pt, 7.0 * sheet.type_pt
    gap = 1.9 * sheet.type_pt
    room = sheet.width / 2 - gap - sheet.type_pt
    length = max(min(room, (sheet.height - top - bottom) * proportion / (2 - toe_share)), 10.0)
    middle = bottom + (sheet.height - top - bottom) / 2
    centre, rise = sheet.width / 2, length / proportion
    return (
        ToothView(centre - gap, centre - gap - length, middle, rise, toe_share),
        ToothView(centre + gap, centre + gap + length, middle, rise, toe_share),
    )


def _flank(sheet: Sheet, place: ToothView, tooth: ToothInput) -> None:
    outline = [place.at(a, d) for a, d in ((0, 0), (1, 0), (1, 1), (0, 1))]
    sheet.shape(outline, fill=sheet.palette.sunk, colour=sheet.palette.quiet, width_pt=sheet.hair_pt * 1.4)
    sheet.line(place.at(0, 0.5), place.at(1, 0.5), colour=sheet.hairline)
    sheet.line(place.at(0.5, 0), place.at(0.5, 1), colour=sheet.hairline)
    target = _target(place, tooth)
    if target:
        sheet.shape(target, fill=mix(sheet.palette.conforms, sheet.palette.sunk, 0.16))
    if tooth.now is not None and tooth.now.is_known:
        compound = sheet.palette.compound or sheet.palette.accent
        fill = mix(compound, sheet.palette.sunk, 0.75)
        for ring in _rings(tooth.now):
            sheet.shape(_drawn(place, ring), fill=fill, colour=compound)
        _cross(sheet, place.at(tooth.now.along or 0.0, tooth.now.depth or 0.0))
    if target:
        sheet.shape(target, colour=sheet.palette.conforms, dash=sheet.type_pt * 0.3)
    if tooth.found is not None and tooth.found.is_known:
        for ring in _rings(tooth.found):
            sheet.shape(
                _drawn(place, ring), colour=sheet.palette.ink, width_pt=sheet.hair_pt * 1.4, dash=sheet.type_pt * 0.25
            )


def _target(place: ToothView, tooth: ToothInput) -> list[Point]:
    """Return the outline within which the card wants the centre; empty where it gives no limits."""
    limits = (*tooth.along_limits, *tooth.depth_limits)
    if all(finite(v) is None for v in limits):
        return []
    left, right, low, high = (
        default if finite(value) is None else float(value or 0.0)
        for value, default in zip(limits, (0.0, 1.0, 0.0, 1.0), strict=True)
    )
    return [place.at(a, d) for a, d in ((left, low), (right, low), (right, high), (left, high))]


def _rings(patch: Patch) -> tuple[Ring, ...]:
    """Return the outlines of a print; one that was not drawn is round, and small where its reach is not known."""
    if patch.rings:
        return patch.rings
    length, height = finite(patch.length), finite(patch.height)
    reach = (0.1 if length is None else max(length, 0.02)), (0.2 if height is None else max(height, 0.02))
    return (rounded(patch.along or 0.0, patch.depth or 0.0, *reach, FINE),)


def _drawn(place: ToothView, ring: Ring) -> list[Point]:
    return [place.at(along, depth) for along, depth in ring]


def _cross(sheet: Sheet, at: Point) -> None:
    reach = sheet.type_pt * 0.4
    for dx, dy in ((reach, 0.0), (0.0, reach)):
        sheet.line(
            (at[0] - dx, at[1] - dy), (at[0] + dx, at[1] + dy), colour=sheet.palette.ground,
            width_pt=sheet.hair_pt * 2,
        )  # fmt: skip


def _words(sheet: Sheet, place: ToothView, tooth: ToothInput, name: str, proportion: float) -> None:
    """Name the flank, its toe and heel, and say where the prints lie."""
    small, quiet = sheet.type_pt, sheet.palette.quiet
    middle = (place.toe + place.heel) / 2
    deepest = place.depth_at(1.0) / 2
    line = small * LINE
    room = abs(place.heel - place.toe) + small
    sheet.text((middle, place.middle + deepest + small * 0.6), name, face=MEDIUM, room_pt=room)
    below = place.middle - deepest - small * 1.2
    outward = 1 if place.heel > place.toe else -1
    sheet.text((place.toe, below), tr("toe"), colour=quiet, anchor="start" if outward > 0 else "end")
    sheet.text((place.heel, below), tr("heel"), colour=quiet, anchor="end" if outward > 0 else "start")
    told = [
        (patch, words, colour)
        for patch, words, colour in (
            (tooth.now, "{where}", sheet.palette.ink),
            (tooth.found, mark("found {where}"), quiet),
        )
        if patch is not None and patch.is_known
    ]
    for row, (patch, words, colour) in enumerate(told, start=1):
        _where_line(sheet, (middle, below - line * row), patch, proportion, words, colour, room)
    if not told:
        sheet.text((middle, below - line), tr("no print read"), colour=quiet, room_pt=room)


def _where_line(sheet: Sheet, at: Point, patch: Patch, proportion: float, words: str, colour: str, room: float) -> None:
    """Say where a print lies: in somewhat smaller type, or its centre alone, where there is no room for all."""
    text, size = tr(words, where=_where(patch, proportion)), sheet.type_pt
    wide = text_width(text, size)
    if wide * LEAST_TYPE > room:
        text = tr(words, where=_centre(patch))
    elif wide > room:
        # A hair less than there is room for, or rounding would cost the last letter.
        size *= 0.99 * room / wide
    sheet.text(at, text, colour=colour, size_pt=size, room_pt=room)


def _depth_names(sheet: Sheet, place: ToothView) -> None:
    """Name face and flank once, between the two teeth."""
    for depth, name in ((0.86, tr("face")), (0.14, tr("flank"))):
        at = sheet.width / 2, place.at(0.0, depth)[1] - sheet.type_pt * 0.35
        sheet.text(at, name, colour=sheet.palette.quiet)


def _centre(patch: Patch) -> str:
    return tr(
        "{along} % along, {depth} % deep",
        along=f"{100 * (patch.along or 0.0):.0f}",
        depth=f"{100 * (patch.depth or 0.0):.0f}",
    )


def _where(patch: Patch, proportion: float) -> str:
    """Return centre and reach of a print in words, and its tilt where it was drawn."""
    length, height = finite(patch.length), finite(patch.height)
    if length is None or height is None:
        return _centre(patch)
    words = _centre(patch) + f", {100 * length:.0f} × {100 * height:.0f} %"
    tilt = round(measure(patch.rings, proportion).tilt_deg) if patch.rings else 0
    return tr("{words}, tilted {tilt}°", words=words, tilt=f"{tilt}".replace("-", "−")) if tilt else words


def _key(sheet: Sheet, shown: ContactInput, place: ToothView) -> None:
    """Say what outline and solid mean, when both are drawn, and what of the tooth is only as usual."""
    has_found = _any_known((shown.drive.found, shown.coast.found))
    has_now = _any_known((shown.drive.now, shown.coast.now))
    quiet, room, small = sheet.palette.quiet, sheet.width - sheet.type_pt, sheet.type_pt
    line = small * LINE
    at = place.middle - place.depth_at(1.0) / 2 - small * 1.2 - 2 * line
    if has_found:
        at -= line
        words = tr("solid: as it is now · outlined: as found") if has_now else tr("outlined: as found")
        sheet.text((sheet.width / 2, at), words, colour=quiet, room_pt=room)
    if shown.tooth.assumed_words:
        words = shown.tooth.assumed_words
        sheet.text((sheet.width / 2, at - line), words, colour=quiet, size_pt=small * 0.85, room_pt=room)


def _any_known(patches: Sequence[Patch | None]) -> bool:
    return any(p is not None and p.is_known for p in patches)
