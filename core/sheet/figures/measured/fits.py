"""What is measured where on fits: hole and shaft, shrinking on, pressing in, and the groove of the output flange."""

from __future__ import annotations

from math import cos, pi, sin

from reportlab.graphics.shapes import Drawing

from core.language import tr
from core.sheet.figures.draw import Point
from core.sheet.figures.measured.strokes import Schematic, named
from core.sheet.figures.palette import Palette


def fit(palette: Palette) -> Drawing:
    """Draw hole and shaft in section, and their classes as bands above and below the nominal diameter."""
    s = Schematic(palette)
    low, high = 76.0, 168.0
    for edge, far in ((low, 40), (high, 204)):
        s.block(70, min(edge, far), 128, max(edge, far))
    s.block(40, low + 2, 190, high - 2, s.other_metal)
    s.axis((24, 122), (204, 122))
    s.upright(low, high, 24, 70)
    s.note((98, 228), named("measured-fit", "bore"), 130)
    s.leader((98, 210), (98, high))
    s.leader((164, 40), (164, low + 2))
    s.note((164, 24), named("measured-fit", "seat"), 130)
    s.line((222, 122), (408, 122), colour=palette.ink, width_pt=1.2)
    s.note((315, 214), tr("Deviations, enlarged"), 180)
    s.box((244, 122), 46, 40, fill=s.metal, colour=palette.accent)
    s.box((340, 132), 46, 26, fill=s.other_metal, colour=palette.accent)
    s.note((267, 180), named("fit", "hole"), 88, most=2)
    s.note((363, 180), named("fit", "shaft"), 88, most=2)
    s.leader((315, 92), (315, 122))
    s.note((315, 76), named("fit", "diameter"), 180)
    return s.drawing


def heat_to_fit(palette: Palette) -> Drawing:
    """Draw a bearing's ring beside its seat: bore, interference, and the clearance while it goes on."""
    s = Schematic(palette)
    low, high = 84.0, 172.0
    s.block(214, low - 6, 396, high + 6, s.other_metal)
    s.block(70, high, 128, high + 40)
    s.block(70, low - 40, 128, low)
    s.axis((40, 128), (408, 128))
    s.upright(low, high, 40, 70)
    s.note((78, 152), named("heat-to-fit", "bore"), 104, "start")
    s.arrow((140, high + 20), (196, high + 20), width_pt=1.6)
    for y in (low, high):
        s.path(((128, y), (208, y)), colour=palette.quiet, dash=4)
    s.extension((214, high + 6), (180, high + 6))
    s.dimension((190, high), (190, high + 6))
    s.note((76, 236), tr("Warm it, then slide it on"), 140)
    s.leader((256, 218), (194, high + 3))
    s.note((260, 222), named("heat-to-fit", "interference"), 150, "start")
    s.note((240, 44), named("heat-to-fit", "clearance"), 150, "start")
    s.note((210, 14), tr("Both on the diameter: half of it shows on each side"), 380, most=1)
    s.leader((236, 46), (206, low - 9))
    for y in (low - 12, high + 12):
        s.path(((128, y), (208, y)), colour=palette.accent, dash=4)
    return s.drawing


def press_fit(palette: Palette) -> Drawing:
    """Draw a hub on a hollow shaft: the three diameters and the length of the joint."""
    s = Schematic(palette)
    middle = 140.0
    for up in (1, -1):
        s.block(150, min(middle + up * 50, middle + up * 84), 262, max(middle + up * 50, middle + up * 84))
        near, far = sorted((middle + up * 18, middle + up * 50))
        s.block(112, near, 300, far, s.other_metal)
        s.line((150, middle + up * 50), (262, middle + up * 50), colour=palette.accent, width_pt=2.4)
    s.axis((96, middle), (316, middle))
    s.upright(middle - 84, middle + 84, 84, 150)
    s.note((78, middle), named("press-fit", "hub_diameter"), 72, "end", 3)
    s.upright(middle - 50, middle + 50, 320, 300)
    s.note((328, 176), named("press-fit", "diameter"), 88, "start")
    s.upright(middle - 18, middle + 18, 206, 206)
    s.leader((324, 100), (210, middle - 8))
    s.note((328, 96), named("press-fit", "bore_diameter"), 88, "start", 3)
    s.across(150, 262, 38, middle - 84)
    s.note((206, 22), named("fit-slip", "length"), 200)
    s.leader((296, 232), (240, middle + 50))
    s.note((300, 238), named("press-fit", "interference"), 116, "start")
    return s.drawing


def groove(palette: Palette) -> Drawing:
    """Draw the groove of an output flange: both diameters and the radius in its root."""
    s = Schematic(palette)
    middle, outer, root, corner = 128.0, 76.0, 46.0, 9.0
    left, right = 184.0, 230.0
    halves = [_half(middle, up, (left, right), (outer, root), corner) for up in (1, -1)]
    s.part([*halves[0], *reversed(halves[1])])
    s.axis((84, middle), (336, middle))
    s.upright(middle - outer, middle + outer, 70, 100)
    s.note((64, middle), named("groove-torsion", "outer_diameter"), 58, "end", 3)
    s.dimension((207, middle - root), (207, middle + root))
    s.leader((336, 96), (207, 112))
    s.note((340, 92), named("groove-torsion", "groove_diameter"), 76, "start", 4)
    s.leader((280, 226), (right - 2.6, middle + root + 2.6))
    s.note((284, 232), named("groove-torsion", "root_radius"), 130, "start")
    s.note((207, 24), tr("Depth and radius drawn large"), 250)
    return s.drawing


def _half(middle: float, up: int, walls: tuple[float, float], radii: tuple[float, float], corner: float) -> list[Point]:
    """Return a grooved half's outline from its left end to its right."""
    (left, right), (outer, root) = walls, radii
    points: list[Point] = [(100, middle + up * outer), (left, middle + up * outer)]
    for centre, start in ((left + corner, pi), (right - corner, 1.5 * pi)):
        for step in range(7):
            turn = start + pi / 2 * step / 6
            points.append((centre + corner * cos(turn), middle + up * (root + corner + corner * sin(turn))))
    return [*points, (right, middle + up * outer), (320, middle + up * outer)]
