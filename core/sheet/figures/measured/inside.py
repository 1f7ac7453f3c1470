"""What is measured where inside the casing: pinion depth, oil, clutch packs and ramps."""

from __future__ import annotations

from reportlab.graphics.shapes import Drawing

from core.language import tr
from core.sheet.figures.draw import Point
from core.sheet.figures.measured.strokes import Schematic, named, polar
from core.sheet.figures.palette import Palette


def pinion_depth(palette: Palette) -> Drawing:
    """Draw the pinion's depth from the ring gear's axis, the head bearing, and the shim before its seat."""
    s = Schematic(palette)
    axis, back, bearing, seat, middle = 70.0, 206.0, 262.0, 272.0, 140.0
    s.part([(140, middle - 26), (140, middle + 26), (back, middle + 48), (back, middle - 48)], s.other_metal)
    for up in (1, -1):
        s.block(back, min(middle + up * 20, middle + up * 52), bearing, max(middle + up * 20, middle + up * 52),
                palette.raised)  # fmt: skip
        s.block(bearing, min(middle + up * 24, middle + up * 52), seat, max(middle + up * 24, middle + up * 52),
                palette.accent)  # fmt: skip
        s.part([(seat, middle + up * 24), (seat, middle + up * 52), (back + 10, middle + up * 52),
                (back + 10, middle + up * 70), (340, middle + up * 70), (340, middle + up * 24)])  # fmt: skip
    s.block(back, middle - 20, 380, middle + 20, s.other_metal)
    s.axis((axis, 60), (axis, 226))
    s.axis((56, middle), (402, middle))
    s.across(axis, back, 62, (62, middle - 48))
    s.across(back, bearing, 62, (middle - 48, middle - 52))
    s.across(axis, seat, 30, (60, middle - 52))
    s.note((axis + 66, 47), named("pinion-shim", "nominal_depth"), 180, most=1)
    s.note((340, 30), named("pinion-shim", "casing"), 128)
    s.leader((278, 30), (256, 30))
    s.leader((312, 60), (240, 62))
    s.note((316, 58), named("pinion-shim", "bearing"), 100, "start", 2)
    s.note((axis, 240), tr("Ring-gear axis"), 132, most=1)
    s.leader((290, 228), (267, middle + 46))
    s.note((294, 240), named("pinion-move", "shim"), 122, "start", 1)
    s.arrow((184, 206), (112, 206), width_pt=1.6)
    s.note((148, 219), named("pinion-move", "inward"), 130, most=1)
    s.note((58, 106), named("pinion-shim", "etched"), 54, "end", 5)
    s.leader((60, 112), (158, 128))
    s.note((350, 200), tr("On a cartridge: under its flange, outside"), 66, "start", 5)
    return s.drawing


def oil_level(palette: Palette) -> Drawing:
    """Draw a casing with oil: the height of the level over the bottom, and the points of the calibration."""
    s = Schematic(palette)
    centre: Point = (160, 136)
    shell = [polar(centre, 108, 6 * n) for n in range(60)]
    s.shape(shell, fill=s.metal, colour=palette.quiet)
    s.circle(centre, 98, fill=palette.ground, colour=palette.quiet)
    oil = [polar(centre, 97.5, turn) for turn in range(200, 341, 5)]
    s.shape(oil, fill=s.other_metal)
    level, bottom = oil[0][1], centre[1] - 98
    s.line(oil[0], oil[-1], colour=palette.accent, width_pt=1.6)
    s.circle(centre, 60, colour=palette.quiet, dash=4)
    s.circle(centre, 3, fill=palette.quiet)
    s.upright(bottom, level, 296, (centre[0], oil[-1][0]))
    s.note((304, (bottom + level) / 2), named("oil-fill", "level"), 108, "start")
    for share in (0.3, 0.6):
        y = bottom + (level - bottom) * share
        s.path(((centre[0] - 50, y), (centre[0] + 50, y)), colour=palette.accent, dash=4)
    s.leader((292, 180), (centre[0] + 46, bottom + (level - bottom) * 0.6))
    s.note((296, 186), named("oil-fill", "heights"), 118, "start", 3)
    s.note((296, 238), tr("Casing level, as it sits in the vehicle"), 118, "start", 3)
    return s.drawing


def _plates(s: Schematic, left: float, low: float, high: float, count: int = 7) -> None:
    """Draw a pack in section: friction plates in the accent, steel plates between."""
    for plate in range(count):
        x = left + plate * 14
        if plate % 2:
            s.box((x + 1, low), 12, high - low, fill=s.palette.accent)
        else:
            s.box((x + 1, low - 8), 12, high - low + 16, fill=s.other_metal, colour=s.palette.quiet)


def clutch_pack(palette: Palette) -> Drawing:
    """Draw a pack in section: both radii of the rubbing face, its faces and the force on it."""
    s = Schematic(palette)
    axis, low, high, left = 62.0, 112.0, 194.0, 130.0
    _plates(s, left, low, high)
    s.axis((60, axis), (330, axis))
    s.upright(axis, low, 104, left + 14)
    s.note((98, (axis + low) / 2 + 2), named("clutch-pack", "inner_radius"), 92, "end", 3)
    s.upright(axis, high, 258, (left + 98, left + 84))
    s.note((264, (axis + low) / 2 + 4), named("clutch-pack", "outer_radius"), 130, "start", 3)
    s.arrow((76, 153), (126, 153), width_pt=1.6)
    s.note((70, 153), named("clutch-pack", "axial_force"), 64, "end", 3)
    for face in (1, 2, 3):
        s.leader((200, 222), (left + face * 14, high - 6))
    s.note((200, 236), named("clutch-pack", "faces"), 380, most=1)
    s.note((272, 160), tr("A face is where neighbours turn with different parts"), 136, "start", 3)
    s.note((200, 24), tr("Axis of the carrier"), 250)
    return s.drawing


def plate_pack(palette: Palette) -> Drawing:
    """Draw the pack in its space: every plate's thickness, the space, and the clearance that is left."""
    s = Schematic(palette)
    low, high, left, right = 96.0, 180.0, 130.0, 246.0
    s.block(96, 76, left, 200)
    s.block(right, 76, 280, 200)
    _plates(s, left, low, high)
    s.across(left, right, 54, 76)
    s.note((188, 32), named("plate-pack", "space"), 300)
    s.across(left, left + 98, 216, (188, 188))
    s.note((150, 236), named("plate-pack", "height"), 220, most=1)
    s.leader((300, 216), (237, 150))
    s.note((304, 222), named("plate-pack", "clearance"), 110, "start", 2)
    s.leader((300, 120), (left + 91, 110))
    s.note((304, 116), named("plate-pack", "plates"), 110, "start", 2)
    return s.drawing


def ramp(palette: Palette) -> Drawing:
    """Draw a pressure ring's ramp seen from outside: the angle is counted from the tangential direction."""
    s = Schematic(palette)
    foot: Point = (196.0, 84.0)
    s.part([(40, 40), (352, 40), (352, 168), (280, 168), foot, (112, 168), (40, 168)])
    s.circle((196, 118), 19.5, fill=palette.raised, colour=palette.quiet, width_pt=1.4)
    s.axis(foot, (330, 84))
    s.angle(foot, 64, 0, 45)
    s.leader((356, 150), polar(foot, 64, 18))
    s.note((360, 156), named("ramp-force", "ramp_angle"), 58, "start", 5)
    s.arrow((196, 186), (250, 186), width_pt=1.6)
    s.arrow((196, 186), (142, 186), width_pt=1.6)
    s.note((196, 204), tr("Tangential direction"), 200, most=1)
    s.arrow((76, 40), (76, 12), width_pt=1.6)
    s.note((88, 24), named("ramp-force", "axial_force"), 150, "start", 1)
    s.leader((100, 224), (190, 126))
    s.note((24, 234), named("ramp-force", "ramp_radius"), 300, "start", 2)
    s.note((60, 110), tr("Pressure ring"), 100, "start")
    return s.drawing
