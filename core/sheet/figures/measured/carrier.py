"""What is measured where on the carrier: rings, preload, warmth, spacer, and the pull that turns it."""

from __future__ import annotations

from reportlab.graphics.shapes import Drawing

from core.language import tr
from core.sheet.figures.draw import Point
from core.sheet.figures.measured.strokes import Schematic, named, polar
from core.sheet.figures.palette import Palette

AXIS = 118.0
SHOULDERS = (70.0, 350.0)
RING = 14.0


def _carrier(s: Schematic, rings: str = "") -> None:
    """Draw the carrier between its bearings in the casing, the ring gear on the left, its teeth to the right."""
    left, right = SHOULDERS
    s.part([(40, 62), (left, 62), (left, 174), (40, 174)], s.other_metal)
    s.part([(right, 62), (380, 62), (380, 174), (right, 174)], s.other_metal)
    for start in (left, right - RING):
        for low in (70, 146):
            s.shape(
                [(start, low), (start + RING, low), (start + RING, low + 20), (start, low + 20)],
                fill=rings or s.other_metal, colour=s.palette.quiet,
            )  # fmt: skip
    inner = left + RING, right - RING - 34
    for start, lean in ((inner[0], 1), (inner[1], -1)):
        for up in (1, -1):
            cup = [(start, AXIS + up * 48), (start + 34, AXIS + up * 48)]
            thin, thick = (40, 34) if lean > 0 else (34, 40)
            s.part([*cup, (start + 34, AXIS + up * thin), (start, AXIS + up * thick)], s.palette.raised)
            s.part([(start, AXIS + up * thick), (start + 34, AXIS + up * thin),
                    (start + 34, AXIS + up * 22), (start, AXIS + up * 22)])  # fmt: skip
    s.block(left + RING, AXIS - 22, right - RING, AXIS + 22)
    s.block(left + RING + 34, AXIS - 40, right - RING - 34, AXIS + 40)
    s.block(118, AXIS - 60, 134, AXIS + 60)
    for up in (1, -1):
        gear = [(134, AXIS + up * 44), (158, AXIS + up * 44), (150, AXIS + up * 66), (134, AXIS + up * 66)]
        s.part(gear, s.other_metal)
    s.axis((24, AXIS), (396, AXIS))


def ring_stack(palette: Palette) -> Drawing:
    """Draw the rings on both sides of the carrier and which way the ring gear moves."""
    s = Schematic(palette)
    _carrier(s, palette.accent)
    left, right = SHOULDERS
    s.across(left, left + RING, 190, 166)
    s.across(right - RING, right, 190, 166)
    s.note((76, 216), named("ring-swap", "ring_gear_side"), 128)
    s.note((344, 216), named("ring-swap", "opposite_side"), 128)
    s.arrow((150, 196), (104, 196), width_pt=1.6)
    s.arrow((150, 196), (196, 196), width_pt=0.8)
    s.note((208, 216), named("ring-swap", "move"), 116)
    s.note((208, 244), tr("To the left: away from the pinion, more backlash"), 400, most=1)
    s.note((208, 30), tr("A thinner ring on the ring-gear side and a thicker one opposite move it so"), 390)
    return s.drawing


def preload(palette: Palette) -> Drawing:
    """Draw what squeezes the side bearings: interference, load and the casing that springs."""
    s = Schematic(palette)
    _carrier(s, palette.accent)
    left, right = SHOULDERS
    s.arrow((98, AXIS - 72), (140, AXIS - 72), width_pt=1.6)
    s.arrow((322, AXIS - 72), (280, AXIS - 72), width_pt=1.6)
    s.note((210, AXIS - 72), named("friction-arm", "axial_load"), 130)
    for low in (70, 146):
        s.shape([(left - 5, low), (left, low), (left, low + 20), (left - 5, low + 20)], fill=palette.ink)
    s.across(left - 5, left, 192, (166, 166))
    s.note((80, 218), named("preload-from-interference", "interference"), 150)
    s.note((210, 246), tr("Rings fill more than the space left once the play is gone"), 400, most=1)
    s.arrow((40, 84), (20, 84))
    s.arrow((380, 84), (400, 84))
    s.leader((330, 24), (386, 84))
    s.note((326, 18), named("preload-from-interference", "casing_stiffness"), 312, "end", 2)
    s.leader((290, 200), (right - RING - 16, AXIS + 37))
    s.note((294, 208), named("preload-from-interference", "contact_angle"), 122, "start")
    return s.drawing


def warm_casing(palette: Palette) -> Drawing:
    """Draw the distance between the cup shoulders, which grows with warmth, and the carrier between them."""
    s = Schematic(palette)
    _carrier(s, palette.accent)
    left, right = SHOULDERS
    s.across(left, right, 42, 62)
    s.note((210, 27), named("warm-casing", "span"), 300, most=1)
    for x, key, to in (
        (76, "interference", (left + RING / 2, 160)),
        (210, "carrier_expansion", (230, AXIS + 30)),
        (344, "casing_expansion", (365, 150)),
    ):
        s.note((x, 226), named("warm-casing", key), 122)
        s.leader((x, 208), to)
    return s.drawing


def _flange(s: Schematic, left: float, height: float, spacer: float) -> None:
    """Draw the upper half of a carrier: bearing shoulder left, flange, spacer and ring gear."""
    low = 62.0
    shoulder, face = left + 26, left + 26 + height
    s.block(left, low, shoulder, low + 22)
    s.block(shoulder, low, face + 44, low + 44)
    s.block(face - 14, low, face, low + 110)
    gear = face + spacer
    s.block(face, low + 60, gear, low + 104, s.palette.accent)
    s.part([(gear, low + 52), (gear + 18, low + 52), (gear + 12, low + 112), (gear, low + 112)], s.other_metal)
    s.axis((left - 6, low), (face + 56, low))


def spacer(palette: Palette) -> Drawing:
    """Draw the flange heights of the old and the new carrier, and the spacer behind the ring gear."""
    s = Schematic(palette)
    for left, height, thick, height_key, key in (
        (22.0, 80.0, 8.0, "old_flange_height", "old_spacer"),
        (226.0, 64.0, 24.0, "new_flange_height", "spacer"),
    ):
        _flange(s, left, height, thick)
        s.across(left + 26, left + 26 + height, 34, 62)
        s.note((left + 78, 16), named("spacer", height_key), 186, most=2)
        s.leader((left + 72, 210), (left + 26 + height + thick / 2, 160))
        s.note((left + 72, 226), named("spacer", key), 180)
        s.note((left + 140, 186), tr("Ring gear"), 50)
    return s.drawing


def pull_torque(palette: Palette) -> Drawing:
    """Draw a cord wrapped around the carrier and the pull of the scale, square to the radius."""
    s = Schematic(palette)
    centre: Point = (130, 130)
    s.circle(centre, 84, fill=s.metal, colour=palette.quiet)
    s.circle(centre, 87, colour=palette.accent, width_pt=2)
    s.circle(centre, 26, fill=palette.ground, colour=palette.quiet)
    s.line((130, 217), (268, 217), colour=palette.accent, width_pt=2)
    s.block(268, 207, 330, 227)
    s.arrow((330, 217), (384, 217), width_pt=1.6)
    s.axis((130, 130), (130, 217))
    s.path([(130, 205), (142, 205), (142, 217)], colour=palette.quiet)
    s.note((332, 188), named("pull-torque", "force"), 150)
    s.dimension(polar(centre, 87, 205), polar(centre, 87, 25))
    s.leader((250, 106), polar(centre, 56, 25))
    s.note((254, 100), named("pull-torque", "diameter"), 156, "start")
    s.note((254, 50), tr("Half of it is the lever"), 156, "start")
    return s.drawing
