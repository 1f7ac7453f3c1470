"""Both flanks of a tooth side by side at their true shape, toe to the inside, as every figure of prints has them."""

from __future__ import annotations

from core.language import tr
from core.mechanics.outline import Ring
from core.mechanics.tooth_view import ToothView
from core.sheet.figures.draw import Point, Sheet
from core.sheet.figures.palette import mix
from core.sheet.fonts import MEDIUM
from core.stages.tooth import Tooth

Band = tuple[float, float]
WHOLE: Band = (0.0, 1.0)


def both_views(sheet: Sheet, tooth: Tooth, below_ems: float) -> tuple[ToothView, ToothView]:
    """Return where both flanks lie, as large as the sheet lets them be above so many lines of words."""
    top, bottom, gap = 2.0 * sheet.type_pt, below_ems * sheet.type_pt, 1.9 * sheet.type_pt
    room = sheet.height - top - bottom
    length = max(min(sheet.width / 2 - gap - sheet.type_pt, room * tooth.proportion / (2 - tooth.toe_share)), 10.0)
    centre, middle, rise = sheet.width / 2, bottom + room / 2, length / tooth.proportion
    return (
        ToothView(centre - gap, centre - gap - length, middle, rise, tooth.toe_share),
        ToothView(centre + gap, centre + gap + length, middle, rise, tooth.toe_share),
    )


def box(view: ToothView, along: Band = WHOLE, depth: Band = WHOLE) -> list[Point]:
    """Return the corners of what lies within these shares along the tooth and in its depth."""
    return [
        view.at(a, d)
        for a, d in ((along[0], depth[0]), (along[1], depth[0]), (along[1], depth[1]), (along[0], depth[1]))
    ]


def bare_flank(sheet: Sheet, view: ToothView) -> None:
    """Draw a flank without any print, its middle marked both ways."""
    sheet.shape(box(view), fill=sheet.palette.sunk, colour=sheet.palette.quiet, width_pt=sheet.hair_pt * 1.4)
    sheet.line(view.at(0, 0.5), view.at(1, 0.5), colour=sheet.hairline)
    sheet.line(view.at(0.5, 0), view.at(0.5, 1), colour=sheet.hairline)


def drawn(view: ToothView, ring: Ring) -> list[Point]:
    """Return an outline as it lies on the sheet."""
    return [view.at(along, depth) for along, depth in ring]


def painted(sheet: Sheet, view: ToothView, rings: tuple[Ring, ...]) -> None:
    """Draw a print in the colour of the marking compound."""
    compound = sheet.palette.compound or sheet.palette.accent
    for ring in rings:
        sheet.shape(drawn(view, ring), fill=mix(compound, sheet.palette.sunk, 0.75), colour=compound)


def centre_mark(sheet: Sheet, at: Point) -> None:
    """Mark the centre of a print: ink on the ground's colour, to be seen on the compound and between two patches."""
    (x, y), reach = at, sheet.type_pt * 0.4
    for colour, width, longer in ((sheet.palette.ground, 4.0, 1.15), (sheet.palette.ink, 1.4, 1.0)):
        for dx, dy in ((reach * longer, 0.0), (0.0, reach * longer)):
            sheet.line((x - dx, y - dy), (x + dx, y + dy), colour=colour, width_pt=sheet.hair_pt * width)


def words_room(sheet: Sheet, view: ToothView) -> float:
    """Return how wide words under or over a flank may be [pt]."""
    return abs(view.heel - view.toe) + sheet.type_pt


def words_line(sheet: Sheet, view: ToothView, line: float = 0.0) -> Point:
    """Return where the middle of so many lines [pt] below the names of toe and heel is."""
    return (view.toe + view.heel) / 2, view.middle - view.depth_at(1.0) / 2 - sheet.type_pt * 1.2 - line


def flank_names(sheet: Sheet, view: ToothView, name: str) -> None:
    """Name a flank above it, its toe and its heel below."""
    small, quiet = sheet.type_pt, sheet.palette.quiet
    middle, below = words_line(sheet, view)
    above = view.middle + view.depth_at(1.0) / 2 + small * 0.6
    sheet.text((middle, above), name, face=MEDIUM, room_pt=words_room(sheet, view))
    is_right = view.heel > view.toe
    sheet.text((view.toe, below), tr("toe"), colour=quiet, anchor="start" if is_right else "end")
    sheet.text((view.heel, below), tr("heel"), colour=quiet, anchor="end" if is_right else "start")


def depth_names(sheet: Sheet, view: ToothView) -> None:
    """Name face and flank once, between the two teeth."""
    for depth, name in ((0.86, tr("face")), (0.14, tr("flank"))):
        at = sheet.width / 2, view.at(0.0, depth)[1] - sheet.type_pt * 0.35
        sheet.text(at, name, colour=sheet.palette.quiet)
