"""What is measured where on ring gear and pinion."""

from __future__ import annotations

from reportlab.graphics.shapes import Drawing

from core.language import tr
from core.sheet.figures.draw import Point
from core.sheet.figures.measured.strokes import Schematic, named, polar
from core.sheet.figures.palette import Palette

APEX: Point = (180.0, 160.0)
HEEL: Point = (290.0, 108.7)
TOE: Point = (252.0, 126.4)


def _pair(s: Schematic) -> None:
    """Draw ring gear and pinion in section: the ring gear's axis upright, the pinion's level, both through the apex."""
    ax, ay = APEX
    for side in (-1, 1):
        s.part([(ax + side * (x - ax), y) for x, y in (HEEL, TOE, (TOE[0], 84), (HEEL[0], 84))])
    up = [(x, 2 * ay - y) for x, y in (TOE, HEEL)]
    s.part([TOE, HEEL, up[1], up[0]], s.other_metal)
    s.block(HEEL[0], ay - 16, 350, ay + 16, s.other_metal)
    for end in (HEEL, (2 * ax - HEEL[0], HEEL[1]), up[1]):
        s.line(APEX, end, colour=s.palette.quiet)
    s.axis((ax, 66), (ax, 246))
    s.axis((ax - 20, ay), (372, ay))


def bevel(palette: Palette) -> Drawing:
    """Draw a bevel pair's pitch cones with outer diameter, face width, angles and cone distance."""
    s = Schematic(palette)
    _pair(s)
    ax, ay = APEX
    s.across(2 * ax - HEEL[0], HEEL[0], 48, 84)
    s.note((ax, 32), named("bevel-geometry", "gear_outer_diameter"), 300)
    up = (-0.423, 0.906)
    toe, heel = (TOE[0], 2 * ay - TOE[1]), (HEEL[0], 2 * ay - HEEL[1])
    ends = [(x + 15 * up[0], y + 15 * up[1]) for x, y in (toe, heel)]
    for start, end in zip((toe, heel), ends, strict=True):
        s.extension(start, (end[0] + 3 * up[0], end[1] + 3 * up[1]))
    s.dimension(*ends)
    s.note((ends[0][0] + 8, ends[1][1] + 2), named("bevel-geometry", "face_width"), 68, "end")
    left = (2 * ax - HEEL[0], HEEL[1])
    ends = [(x + 20 * up[0], y + 20 * up[1]) for x, y in (APEX, left)]
    for start, end in zip((APEX, left), ends, strict=True):
        s.extension(start, (end[0] + 3 * up[0], end[1] + 3 * up[1]))
    s.dimension(*ends)
    s.note((62, 178), named("bevel-geometry", "outer_cone_distance"), 84)
    s.angle(APEX, 36, 270, 335)
    s.note((ax + 5, 98), named("bevel-geometry", "gear_pitch_angle"), 60, "start")
    s.angle(APEX, 58, 335, 360)
    s.leader((322, 66), polar(APEX, 58, 346))
    s.note((326, 60), named("bevel-geometry", "pinion_pitch_angle"), 90, "start")
    s.angle(APEX, 20, 270, 360)
    s.leader((158, 94), polar(APEX, 20, 276))
    s.note((174, 82), named("bevel-geometry", "shaft_angle"), 60, "end")
    return s.drawing


def backlash_move(palette: Palette) -> Drawing:
    """Draw which way a gear moves along its own axis, and the pitch angle that belongs to it."""
    s = Schematic(palette)
    _pair(s)
    ax, ay = APEX
    s.angle(APEX, 40, 270, 335)
    s.note((ax + 5, 98), named("bevel-geometry", "gear_pitch_angle"), 60, "start")
    s.angle(APEX, 58, 335, 360)
    s.leader((148, 206), polar(APEX, 58, 350))
    s.note((144, 208), named("bevel-geometry", "pinion_pitch_angle"), 130, "end")
    s.arrow((90, 66), (90, 34), width_pt=1.6)
    s.arrow((270, 66), (270, 34), width_pt=1.6)
    s.note((ax, 48), named("backlash-move", "move"), 160)
    s.note((ax, 20), tr("Ring gear away from the pinion: positive"), 300, most=1)
    s.arrow((356, ay + 26), (400, ay + 26), width_pt=1.6)
    s.note((360, ay + 56), tr("Pinion away from the ring gear: positive"), 106, most=3)
    s.leader((322, 92), (271, 117))
    s.note((326, 86), tr("The backlash is here, between the flanks"), 90, "start", 3)
    return s.drawing


def gauge_correction(palette: Palette) -> Drawing:
    """Draw a dial on a ring gear: the radius its stem touches at and the angle off the tangent."""
    s = Schematic(palette)
    centre: Point = (128, 128)
    s.circle(centre, 112, fill=s.metal, colour=palette.quiet)
    s.circle(centre, 56, fill=palette.ground, colour=palette.quiet)
    for tooth in range(24):
        s.line(polar(centre, 62, tooth * 15 + 3), polar(centre, 110, tooth * 15), colour=s.hairline)
    s.circle(centre, 104, colour=palette.quiet, dash=4)
    touch = polar(centre, 84, 0)
    s.axis(touch, (touch[0], 236))
    tip = polar(touch, 78, 62)
    s.line(touch, tip, colour=palette.ink, width_pt=3)
    dial = polar(touch, 98, 62)
    s.circle(dial, 22, fill=palette.raised, colour=palette.ink, width_pt=1.4)
    s.line(dial, polar(dial, 16, 110), colour=palette.ink, width_pt=1.2)
    s.angle(touch, 64, 62, 90)
    s.dimension(centre, touch)
    s.dimension(centre, polar(centre, 104, 232))
    s.leader((200, 246), polar(touch, 64, 80))
    s.note((196, 250), named("gauge-correction", "stem_angle"), 190, "end", 1)
    s.note((288, dial[1]), named("gauge-correction", "reading"), 120, "start")
    s.leader((278, 108), (150, 128))
    s.note((282, 104), named("gauge-correction", "gauge_radius"), 130, "start")
    s.leader((278, 44), polar(centre, 30, 232))
    s.note((282, 40), named("gauge-correction", "reference_radius"), 130, "start")
    return s.drawing


def wheel(palette: Palette) -> Drawing:
    """Draw eight even places around a ring gear, counted from the mark."""
    s = Schematic(palette)
    centre: Point = (130, 130)
    s.circle(centre, 100, fill=s.metal, colour=palette.quiet)
    s.circle(centre, 52, fill=palette.ground, colour=palette.quiet)
    for place in range(8):
        turn = 90 - place * 45
        s.line(polar(centre, 56, turn + 4), polar(centre, 98, turn), colour=palette.accent, width_pt=1.6)
        s.note(polar(centre, 114, turn), str(place + 1), 20)
    s.circle(polar(centre, 88, 97), 3, fill=palette.ink)
    s.leader((276, 232), polar(centre, 88, 97))
    s.note((280, 232), tr("Mark on the ring gear"), 130, "start")
    s.angle(centre, 44, 45, 90)
    s.leader((276, 176), polar(centre, 44, 62))
    s.note((280, 172), tr("The same angle from place to place"), 130, "start")
    s.leader((276, 96), polar(centre, 80, 1))
    s.note((280, 92), named("backlash-wheel", "readings"), 130, "start")
    return s.drawing
