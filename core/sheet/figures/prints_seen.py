"""Painted prints as they are looked at: both flanks with nothing but the compound, or with where the centres belong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from reportlab.graphics.shapes import Drawing

from core.language import tr
from core.mechanics.outline import Point, Ring
from core.mechanics.tooth_view import ToothView
from core.sheet.figures.draw import Sheet
from core.sheet.figures.palette import Palette, mix
from core.sheet.fonts import MEDIUM
from core.stages.tooth import Tooth

Band = tuple[float, float]


@dataclass(frozen=True)
class Seen:
    """A print on one flank: its outlines and its centre, as shares along from the toe and in depth from the root."""

    rings: tuple[Ring, ...]
    centre: Point


def prints_seen(
    sides: Mapping[str, Seen],
    tooth: Tooth,
    palette: Palette,
    size: tuple[float, float],
    bands: tuple[Band, Band] | None = None,
) -> Drawing:
    """Draw both flanks at the true shape of their tooth, toe to the inside.

    Parameters
    ----------
    sides : mapping
        The prints by side, "drive" and "coast".
    tooth : Tooth
        The tooth they are on.
    palette : Palette
        Colours; `compound` is the colour of the print.
    size : tuple of float
        Width and height [pt].
    bands : tuple of Band or None
        From where to where a centre counts as central, along and in depth; None leaves centres and bands out, so that
        the print alone is read.
    """
    sheet = Sheet(size, palette, ems=40.0)
    for view, side in zip(_views(sheet, tooth), tooth.sides, strict=True):
        _flank(sheet, view)
        _print(sheet, view, sides[side])
        if bands is not None:
            _aim(sheet, view, sides[side].centre, bands)
        _names(sheet, view, tooth.words(side))
    for depth, name in ((0.86, tr("face")), (0.14, tr("flank"))):
        at = sheet.width / 2, _views(sheet, tooth)[0].at(0.0, depth)[1] - sheet.type_pt * 0.35
        sheet.text(at, name, colour=sheet.palette.quiet)
    return sheet.drawing


def _views(sheet: Sheet, tooth: Tooth) -> tuple[ToothView, ToothView]:
    top, bottom, gap = 2.0 * sheet.type_pt, 2.0 * sheet.type_pt, 1.9 * sheet.type_pt
    room = sheet.height - top - bottom
    length = min(sheet.width / 2 - gap - sheet.type_pt, room * tooth.proportion / (2 - tooth.toe_share))
    centre, middle, rise = sheet.width / 2, bottom + room / 2, length / tooth.proportion
    return (
        ToothView(centre - gap, centre - gap - length, middle, rise, tooth.toe_share),
        ToothView(centre + gap, centre + gap + length, middle, rise, tooth.toe_share),
    )


def _box(view: ToothView, along: Band = (0.0, 1.0), depth: Band = (0.0, 1.0)) -> list[Point]:
    return [
        view.at(a, d)
        for a, d in ((along[0], depth[0]), (along[1], depth[0]), (along[1], depth[1]), (along[0], depth[1]))
    ]


def _flank(sheet: Sheet, view: ToothView) -> None:
    sheet.shape(_box(view), fill=sheet.palette.sunk, colour=sheet.palette.quiet, width_pt=sheet.hair_pt * 1.4)
    sheet.line(view.at(0, 0.5), view.at(1, 0.5), colour=sheet.hairline)
    sheet.line(view.at(0.5, 0), view.at(0.5, 1), colour=sheet.hairline)


def _print(sheet: Sheet, view: ToothView, seen: Seen) -> None:
    compound = sheet.palette.compound or sheet.palette.accent
    for ring in seen.rings:
        points = [view.at(along, depth) for along, depth in ring]
        sheet.shape(points, fill=mix(compound, sheet.palette.sunk, 0.75), colour=compound)


def _aim(sheet: Sheet, view: ToothView, centre: Point, bands: tuple[Band, Band]) -> None:
    """Mark the centre, and the band it belongs in."""
    # Ink between two lines of the ground: it must be seen on the compound and beside it, in any colours.
    for colour, width in ((sheet.palette.ground, 4.0), (sheet.palette.ink, 1.4)):
        sheet.shape(_box(view, *bands), colour=colour, width_pt=sheet.hair_pt * width)
    (x, y), reach = view.at(*centre), sheet.type_pt * 0.4
    for dx, dy in ((reach, 0.0), (0.0, reach)):
        sheet.line((x - dx, y - dy), (x + dx, y + dy), colour=sheet.palette.ground, width_pt=sheet.hair_pt * 2)


def _names(sheet: Sheet, view: ToothView, name: str) -> None:
    small, quiet = sheet.type_pt, sheet.palette.quiet
    deepest = view.depth_at(1.0) / 2
    room = abs(view.heel - view.toe) + small
    at = (view.toe + view.heel) / 2, view.middle + deepest + small * 0.6
    sheet.text(at, name, face=MEDIUM, room_pt=room)
    below, is_right = view.middle - deepest - small * 1.2, view.heel > view.toe
    sheet.text((view.toe, below), tr("toe"), colour=quiet, anchor="start" if is_right else "end")
    sheet.text((view.heel, below), tr("heel"), colour=quiet, anchor="end" if is_right else "start")
