"""What is measured where on bolts, and on the wrench that tightens them."""

from __future__ import annotations

from reportlab.graphics.shapes import Drawing

from core.language import tr
from core.mechanics.torque import crosswise_order
from core.sheet.figures.draw import Point
from core.sheet.figures.measured.strokes import Schematic, named, polar
from core.sheet.figures.palette import Palette


def adapter(palette: Palette) -> Drawing:
    """Draw a wrench with an adapter: both lengths and the angle between them."""
    s = Schematic(palette)
    hand: Point = (50, 120)
    drive: Point = (262, 120)
    bolt = polar(drive, 92, 40)
    s.line(drive, bolt, colour=s.other_metal, width_pt=14)
    s.line((30, 120), drive, colour=s.metal, width_pt=12)
    s.line((30, 120), (72, 120), colour=s.other_metal, width_pt=14)
    s.box((drive[0] - 9, 111), 18, 18, fill=palette.raised, colour=palette.quiet)
    s.shape([polar(bolt, 16, 60 * n) for n in range(6)], fill=palette.raised, colour=palette.quiet)
    s.axis(drive, (392, 120))
    s.angle(drive, 74, 0, 40)
    s.note((346, 146), named("adapter-torque", "adapter_angle"), 70, "start", 3)
    s.arrow((50, 176), (50, 130), width_pt=1.6)
    s.note((50, 192), tr("Hand"), 80)
    s.across(hand[0], drive[0], 78, 112)
    s.note((156, 60), named("adapter-torque", "wrench_length"), 200)
    ends = [polar(end, 32, 130) for end in (drive, bolt)]
    for start, end in zip((drive, bolt), ends, strict=True):
        s.extension(start, polar(end, 3, 130))
    s.dimension(*ends)
    s.note((262, 206), named("adapter-torque", "adapter_length"), 130, "end")
    s.note((bolt[0] + 24, bolt[1] + 26), tr("Bolt"), 60, "start")
    return s.drawing


def _bolt(s: Schematic, x: float, head: float, end: float, half: float = 13) -> None:
    """Draw an upright bolt with its thread in the lower part."""
    s.block(x - half, end, x + half, head, s.palette.raised)
    s.block(x - half * 1.8, head, x + half * 1.8, head + 22, s.palette.raised)
    for side in (-1, 1):
        for y in range(int(end) + 4, int(end) + 76, 6):
            s.line((x + side * half, y), (x + side * (half - 4), y + 3), colour=s.palette.quiet)


def bolt(palette: Palette) -> Drawing:
    """Draw a bolt that clamps two parts: thread, class on its head, and where friction acts."""
    s = Schematic(palette)
    x, head, middle = 150.0, 196.0, 122.0
    for left, right in ((60, x - 13), (x + 13, 240)):
        s.block(left, middle, right, head)
        s.block(left, 40, right, middle, s.other_metal)
    _bolt(s, x, head, 46)
    s.leader((268, 232), (x + 8, head + 14))
    s.note((272, 232), named("bolt", "property_class"), 140, "start")
    s.leader((268, 180), (x + 20, head))
    s.leader((268, 174), (x + 13, 100))
    s.note((272, 178), named("bolt", "friction"), 140, "start")
    s.leader((268, 70), (x + 10, 70))
    s.note((272, 68), named("bolt", "thread"), 140, "start", 3)
    s.upright(middle, head, 44, 60)
    s.note((6, 216), tr("Clamped length"), 108, "start")
    s.arrow((x, 150), (x, 186), width_pt=1.6)
    s.arrow((x, 150), (x, 114), width_pt=1.6)
    s.leader((268, 126), (x, 142))
    s.note((272, 122), named("bolt", "preload"), 140, "start")
    return s.drawing


def bolt_length(palette: Palette) -> Drawing:
    """Draw a new bolt and a used one side by side, and the length under stress."""
    s = Schematic(palette)
    for x, end, key in ((130.0, 66.0, "new_length"), (264.0, 58.0, "length_now")):
        _bolt(s, x, 206, end)
        s.upright(end, 206, x - 40, (x - 13, x - 23))
        s.note((x - 8, 30), named("bolt-reuse", key), 124)
    s.extension((96, 66), (240, 66))
    s.upright(134, 206, 308, (277, 287))
    s.note((316, 170), named("bolt-reuse", "stressed_length"), 98, "start", 3)
    s.note((316, 106), tr("First engaged thread"), 98, "start")
    s.leader((314, 112), (279, 131))
    s.note((196, 246), tr("Both unloaded, measured in the same way"), 380, most=1)
    return s.drawing


def engagement(palette: Palette) -> Drawing:
    """Draw a bolt in a tapped hole and the length of thread that engages."""
    s = Schematic(palette)
    x, seam = 150.0, 150.0
    for left, right in ((60, x - 13), (x + 13, 240)):
        s.block(left, seam, right, 204)
        s.block(left, 34, right, seam, s.other_metal)
    s.block(x - 13, 34, x + 13, 60, palette.ground)
    _bolt(s, x, 204, 72)
    s.upright(72, seam, 262, 163)
    s.note((270, 111), named("thread-engagement", "engagement"), 140, "start")
    s.leader((268, 56), (210, 70))
    s.note((272, 54), named("thread-engagement", "shear_strength"), 140, "start", 3)
    s.leader((268, 226), (x + 8, 216))
    s.note((272, 228), named("thread-engagement", "property_class"), 140, "start")
    s.leader((268, 176), (x + 11, 128))
    s.note((272, 182), named("thread-engagement", "thread"), 140, "start", 3)
    return s.drawing


def bolt_circle(palette: Palette) -> Drawing:
    """Draw a circle of ten bolts with its diameter; the figures are the order of tightening."""
    s = Schematic(palette)
    centre: Point = (132, 130)
    s.circle(centre, 118, fill=s.metal, colour=palette.quiet)
    s.circle(centre, 46, fill=palette.ground, colour=palette.quiet)
    s.circle(centre, 90, colour=palette.quiet, dash=4)
    s.dimension(polar(centre, 90, 198), polar(centre, 90, 18))
    for turn, place in enumerate(crosswise_order(10)):
        at = polar(centre, 90, 90 - (place - 1) * 36)
        s.circle(at, 12, fill=palette.raised, colour=palette.quiet)
        s.note(at, str(turn + 1), 22)
    s.leader((278, 196), polar(centre, 102, 54))
    s.note((282, 196), named("tightening-rounds", "bolts"), 130, "start")
    s.leader((278, 120), polar(centre, 30, 18))
    s.note((282, 116), named("bolt-group", "bolt_circle"), 130, "start")
    s.note((282, 50), tr("The figures are the order of tightening, crosswise"), 130, "start", 3)
    return s.drawing
