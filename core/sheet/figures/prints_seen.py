"""Painted prints as they are looked at: both flanks with nothing but the compound, or with where the centres belong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from reportlab.graphics.shapes import Drawing

from core.mechanics.outline import Point, Ring
from core.sheet.figures.draw import Sheet
from core.sheet.figures.flanks import (
    Band,
    bare_flank,
    both_views,
    box,
    centre_mark,
    depth_names,
    drawn,
    flank_names,
    painted,
)
from core.sheet.figures.palette import Palette, mix
from core.stages.tooth import Tooth

THIN = 0.55
"""How much of the compound's colour is left where it is thin."""


@dataclass(frozen=True)
class Seen:
    """A print on one flank: its outlines and its centre, as shares along from the toe and in depth from the root.

    `flecks` are the places within it where the compound is thin.
    """

    rings: tuple[Ring, ...]
    centre: Point
    flecks: tuple[Ring, ...] = ()


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
    views = both_views(sheet, tooth, below_ems=2.0)
    for view, side in zip(views, tooth.sides, strict=True):
        bare_flank(sheet, view)
        painted(sheet, view, sides[side].rings)
        for fleck in sides[side].flecks:
            sheet.shape(drawn(view, fleck), fill=mix(palette.compound or palette.accent, palette.sunk, THIN))
        if bands is not None:
            # Ink between two lines of the ground: it must be seen on the compound and beside it, in any colours.
            for colour, width in ((sheet.palette.ground, 4.0), (sheet.palette.ink, 1.4)):
                sheet.shape(box(view, *bands), colour=colour, width_pt=sheet.hair_pt * width)
            centre_mark(sheet, view.at(*sides[side].centre))
        flank_names(sheet, view, tooth.words(side))
    depth_names(sheet, views[0])
    return sheet.drawing
