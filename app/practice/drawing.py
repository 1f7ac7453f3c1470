"""The prints of a question as the window draws them: both flanks at the true shape of the set's own tooth."""

from __future__ import annotations

from app import theme
from core.mechanics.pattern import ALONG_BAND, DEPTH_BAND
from core.practice import LEAVE, Question, Setting, flecks, rough_rings
from core.stages.tooth import Tooth

SIZE = (620.0, 170.0)
"""Width and height of the drawing [pt]."""


def tooth_of(question: Question) -> Tooth:
    """Return the tooth of an invented set; its convex flank drives, as usual."""
    cones = question.pair.cones
    drawn = cones.gear_set
    return Tooth(
        proportion=drawn.face_width_mm / cones.working_depth_mm,
        toe_share=1.0 - 0.5 * drawn.face_width_mm / cones.mean_cone_distance_mm,
        hand=drawn.hand.value,
        assumed=(),
    )


def prints_svg(question: Question, setting: Setting = LEAVE, *, tells: bool) -> bytes:
    """Return the prints after a move, in the colours in force.

    Parameters
    ----------
    question : Question
        The question.
    setting : Setting
        How far the gears have been moved [mm].
    tells : bool
        True: with their centres and the band these belong in. False: the prints alone, to be read.
    """
    # The figures bring reportlab with them; a window should show before that is loaded.
    from core.sheet.figures import as_svg
    from core.sheet.figures.prints_seen import Seen, prints_seen

    look = question.now if setting == LEAVE else question.looks[setting]
    sides = {}
    for flank, found in look.prints.items():
        rings = rough_rings(question, flank, setting)
        centre = found.centre.along_ratio, found.centre.depth_ratio
        sides[flank.value] = Seen(rings, centre, flecks(question, flank, rings))
    bands = (ALONG_BAND, DEPTH_BAND) if tells else None
    return as_svg(prints_seen(sides, tooth_of(question), theme.current().figure_palette(), SIZE, bands))
