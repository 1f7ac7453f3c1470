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
from core.sheet.figures.flanks import (
    bare_flank,
    both_views,
    box,
    centre_mark,
    depth_names,
    drawn,
    flank_names,
    painted,
    words_line,
    words_room,
)
from core.sheet.figures.palette import Palette, mix
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
    views = both_views(sheet, shown.tooth, below_ems=7.0)
    for view, tooth, side in zip(views, teeth, sides, strict=True):
        _flank(sheet, view, tooth)
        flank_names(sheet, view, shown.tooth.words(side))
        _words(sheet, view, tooth, shown.tooth.proportion)
    depth_names(sheet, views[0])
    _key(sheet, shown, views[0])
    return sheet.drawing


def _flank(sheet: Sheet, view: ToothView, tooth: ToothInput) -> None:
    bare_flank(sheet, view)
    target = _target(view, tooth)
    if target:
        sheet.shape(target, fill=mix(sheet.palette.conforms, sheet.palette.sunk, 0.16))
    if tooth.now is not None and tooth.now.is_known:
        painted(sheet, view, _rings(tooth.now))
        centre_mark(sheet, view.at(tooth.now.along or 0.0, tooth.now.depth or 0.0))
    if target:
        sheet.shape(target, colour=sheet.palette.conforms, dash=sheet.type_pt * 0.3)
    if tooth.found is not None and tooth.found.is_known:
        for ring in _rings(tooth.found):
            sheet.shape(
                drawn(view, ring), colour=sheet.palette.ink, width_pt=sheet.hair_pt * 1.4, dash=sheet.type_pt * 0.25
            )


def _target(view: ToothView, tooth: ToothInput) -> list[Point]:
    """Return the outline within which the card wants the centre; empty where it gives no limits."""
    limits = (*tooth.along_limits, *tooth.depth_limits)
    if all(finite(v) is None for v in limits):
        return []
    left, right, low, high = (
        default if finite(value) is None else float(value or 0.0)
        for value, default in zip(limits, (0.0, 1.0, 0.0, 1.0), strict=True)
    )
    return box(view, (left, right), (low, high))


def _rings(patch: Patch) -> tuple[Ring, ...]:
    """Return the outlines of a print; one that was not drawn is round, and small where its reach is not known."""
    if patch.rings:
        return patch.rings
    length, height = finite(patch.length), finite(patch.height)
    reach = (0.1 if length is None else max(length, 0.02)), (0.2 if height is None else max(height, 0.02))
    return (rounded(patch.along or 0.0, patch.depth or 0.0, *reach, FINE),)


def _words(sheet: Sheet, view: ToothView, tooth: ToothInput, proportion: float) -> None:
    """Say where the prints lie."""
    line, room, quiet = sheet.type_pt * LINE, words_room(sheet, view), sheet.palette.quiet
    told = [
        (patch, words, colour)
        for patch, words, colour in (
            (tooth.now, "{where}", sheet.palette.ink),
            (tooth.found, mark("found {where}"), quiet),
        )
        if patch is not None and patch.is_known
    ]
    for row, (patch, words, colour) in enumerate(told, start=1):
        _where_line(sheet, words_line(sheet, view, line * row), patch, proportion, words, colour, room)
    if not told:
        sheet.text(words_line(sheet, view, line), tr("no print read"), colour=quiet, room_pt=room)


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


def _centre(patch: Patch) -> str:
    return tr(
        "{along} % along, {depth} % up",
        along=f"{100 * (patch.along or 0.0):.0f}",
        depth=f"{100 * (patch.depth or 0.0):.0f}",
    )


def _where(patch: Patch, proportion: float) -> str:
    """Return centre and reach of a print in words; where it was drawn, its tilt, or of how many patches it is."""
    length, height = finite(patch.length), finite(patch.height)
    if length is None or height is None:
        return _centre(patch)
    words = _centre(patch) + f", {100 * length:.0f} × {100 * height:.0f} %"
    if len(patch.rings) > 1:
        return tr("{words}, {count} patches", words=words, count=len(patch.rings))
    tilt = round(measure(patch.rings, proportion).tilt_deg) if patch.rings else 0
    return tr("{words}, tilted {tilt}°", words=words, tilt=f"{tilt}".replace("-", "−")) if tilt else words


def _key(sheet: Sheet, shown: ContactInput, view: ToothView) -> None:
    """Say what outline, solid and box mean, as far as they are drawn, and what of the tooth is only as usual."""
    teeth = (shown.drive, shown.coast)
    said = []
    if _any_known([tooth.found for tooth in teeth]):
        said = [tr("solid: as it is now")] if _any_known([tooth.now for tooth in teeth]) else []
        said.append(tr("outlined: as found"))
    if any(_target(view, tooth) for tooth in teeth):
        said.append(tr("box: where the centre belongs"))
    quiet, room, small = sheet.palette.quiet, sheet.width - sheet.type_pt, sheet.type_pt
    line = small * LINE
    at = words_line(sheet, view, 2 * line)[1]
    if said:
        at -= line
        words = " · ".join(said)
        size = small * min(1.0, 0.99 * room / text_width(words, small))
        sheet.text((sheet.width / 2, at), words, colour=quiet, size_pt=size, room_pt=room)
    if shown.tooth.assumed_words:
        words = shown.tooth.assumed_words
        sheet.text((sheet.width / 2, at - line), words, colour=quiet, size_pt=small * 0.85, room_pt=room)


def _any_known(patches: Sequence[Patch | None]) -> bool:
    return any(p is not None and p.is_known for p in patches)
