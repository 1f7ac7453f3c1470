"""The contact pattern: drive and coast tooth side by side, with the print of the marking compound on each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from reportlab.graphics.shapes import Drawing

from core.language import mark, tr
from core.sheet.figures.draw import Point, Sheet, finite, nothing_yet, text_width
from core.sheet.figures.palette import Palette, mix
from core.sheet.fonts import MEDIUM

USUAL_PROPORTION = 3.3
"""Face width over working depth, where the card does not say (common practice for final drives)."""
TOE_SHARE = 0.82
"""How deep the tooth is at the toe against its middle; at the heel it is as much deeper."""
SQUARENESS = 2.6
"""A print is rounder than a box and fuller than an ellipse."""


@dataclass(frozen=True)
class Patch:
    """A print on one flank, as shares: along 0 toe … 1 heel, depth 0 flank … 1 face, and how far it reaches."""

    along: float | None
    depth: float | None
    length: float | None = None
    height: float | None = None

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
    """Drive and coast flank, and the true proportions of the tooth [mm]."""

    drive: ToothInput
    coast: ToothInput
    face_width_mm: float | None = None
    working_depth_mm: float | None = None


@dataclass(frozen=True)
class _Tooth:
    """One flank on the paper: `inner` is the toe's x, `outer` the heel's."""

    inner: float
    outer: float
    middle_y: float
    depth_pt: float

    def at(self, along: float, depth: float) -> Point:
        """Return where a share along and in depth lies; the tooth grows deeper toward the heel."""
        along, depth = min(max(along, 0.0), 1.0), min(max(depth, 0.0), 1.0)
        here = self.depth_pt * (TOE_SHARE + 2 * (1 - TOE_SHARE) * along)
        return self.inner + (self.outer - self.inner) * along, self.middle_y + here * (depth - 0.5)


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
    teeth = (shown.drive, shown.coast)
    if not any(p is not None and p.is_known for t in teeth for p in (t.now, t.found)):
        return nothing_yet(size, palette, tr("No contact pattern read yet"))
    sheet = Sheet(size, palette, ems=40.0)
    places = _places(sheet, shown)
    for place, tooth, name in zip(places, teeth, (tr("drive side"), tr("coast side")), strict=True):
        _flank(sheet, place, tooth)
        _words(sheet, place, tooth, name)
    _depth_names(sheet, places[0])
    _key(sheet, shown)
    return sheet.drawing


def _places(sheet: Sheet, shown: ContactInput) -> tuple[_Tooth, _Tooth]:
    width, depth = finite(shown.face_width_mm), finite(shown.working_depth_mm)
    proportion = width / depth if width and depth and width > 0 and depth > 0 else USUAL_PROPORTION
    proportion = min(max(proportion, 1.2), 8.0)
    top, bottom = 2.0 * sheet.type_pt, 6.4 * sheet.type_pt
    gap = 1.9 * sheet.type_pt
    room = sheet.width / 2 - gap - sheet.type_pt
    length = max(min(room, (sheet.height - top - bottom) * proportion / (2 - TOE_SHARE)), 10.0)
    middle = bottom + (sheet.height - top - bottom) / 2
    centre = sheet.width / 2
    return (
        _Tooth(centre - gap, centre - gap - length, middle, length / proportion),
        _Tooth(centre + gap, centre + gap + length, middle, length / proportion),
    )


def _flank(sheet: Sheet, place: _Tooth, tooth: ToothInput) -> None:
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
        sheet.shape(_print(place, tooth.now), fill=fill, colour=compound)
        _cross(sheet, place.at(tooth.now.along or 0.0, tooth.now.depth or 0.0))
    if target:
        sheet.shape(target, colour=sheet.palette.conforms, dash=sheet.type_pt * 0.3)
    if tooth.found is not None and tooth.found.is_known:
        sheet.shape(
            _print(place, tooth.found), colour=sheet.palette.ink, width_pt=sheet.hair_pt * 1.4,
            dash=sheet.type_pt * 0.25,
        )  # fmt: skip


def _target(place: _Tooth, tooth: ToothInput) -> list[Point]:
    """Return the outline within which the card wants the centre; empty where it gives no limits."""
    limits = (*tooth.along_limits, *tooth.depth_limits)
    if all(finite(v) is None for v in limits):
        return []
    left, right, low, high = (
        default if finite(value) is None else float(value or 0.0)
        for value, default in zip(limits, (0.0, 1.0, 0.0, 1.0), strict=True)
    )
    return [place.at(a, d) for a, d in ((left, low), (right, low), (right, high), (left, high))]


def _print(place: _Tooth, patch: Patch) -> list[Point]:
    """Return the outline of a print; without its reach it is drawn as a small one."""
    length = finite(patch.length)
    height = finite(patch.height)
    half_along = (0.1 if length is None else max(length, 0.02)) / 2
    half_depth = (0.2 if height is None else max(height, 0.02)) / 2
    points = []
    for step in range(72):
        turn = 2 * pi * step / 72
        across, up = cos(turn), sin(turn)
        round_off = 2 / SQUARENESS
        points.append(
            place.at(
                (patch.along or 0.0) + half_along * _signed_power(across, round_off),
                (patch.depth or 0.0) + half_depth * _signed_power(up, round_off),
            )
        )
    return points


def _signed_power(value: float, power: float) -> float:
    return float(abs(value) ** power) * (1 if value >= 0 else -1)


def _cross(sheet: Sheet, at: Point) -> None:
    reach = sheet.type_pt * 0.4
    for dx, dy in ((reach, 0.0), (0.0, reach)):
        sheet.line(
            (at[0] - dx, at[1] - dy), (at[0] + dx, at[1] + dy), colour=sheet.palette.ground,
            width_pt=sheet.hair_pt * 2,
        )  # fmt: skip


def _words(sheet: Sheet, place: _Tooth, tooth: ToothInput, name: str) -> None:
    """Name the flank, its toe and heel, and say where the prints lie."""
    small, quiet = sheet.type_pt, sheet.palette.quiet
    middle = (place.inner + place.outer) / 2
    deepest = place.depth_pt * (2 - TOE_SHARE) / 2
    sheet.text((middle, place.middle_y + deepest + small * 0.6), name, face=MEDIUM)
    below = place.middle_y - deepest - small * 1.2
    outward = 1 if place.outer > place.inner else -1
    sheet.text((place.inner, below), tr("toe"), colour=quiet, anchor="start" if outward > 0 else "end")
    sheet.text((place.outer, below), tr("heel"), colour=quiet, anchor="end" if outward > 0 else "start")
    line = small * 1.35
    room = abs(place.outer - place.inner) + small
    told = [
        (patch, words, colour)
        for patch, words, colour in (
            (tooth.now, "{where}", sheet.palette.ink),
            (tooth.found, mark("found {where}"), quiet),
        )
        if patch is not None and patch.is_known
    ]
    for row, (patch, words, colour) in enumerate(told, start=1):
        text = tr(words, where=_where(patch))
        if text_width(text, small) > room:
            text = tr(words, where=_centre(patch))
        sheet.text((middle, below - line * row), text, colour=colour, room_pt=room)


def _depth_names(sheet: Sheet, place: _Tooth) -> None:
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


def _where(patch: Patch) -> str:
    """Return centre and reach of a print in words."""
    length, height = finite(patch.length), finite(patch.height)
    if length is None or height is None:
        return _centre(patch)
    return _centre(patch) + f", {100 * length:.0f} × {100 * height:.0f} %"


def _key(sheet: Sheet, shown: ContactInput) -> None:
    """Say what outline and solid mean, when both are drawn."""
    has_found = _any_known((shown.drive.found, shown.coast.found))
    has_now = _any_known((shown.drive.now, shown.coast.now))
    if has_found and has_now:
        words = tr("solid: as it is now · outlined: as found")
    elif has_found:
        words = tr("outlined: as found")
    else:
        return
    sheet.text((sheet.width / 2, sheet.type_pt * 0.5), words, colour=sheet.palette.quiet)


def _any_known(patches: Sequence[Patch | None]) -> bool:
    return any(p is not None and p.is_known for p in patches)
