"""From a photo and four corners to the print: the steps in their order, and when a photo is refused."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from core import photos
from core.errors import InputError
from core.language import tr
from core.mechanics.outline import Point
from core.tooth_photo.confidence import LEAST, confidence
from core.tooth_photo.corners import checked_corners
from core.tooth_photo.facts import PrintKind, ToothReading
from core.tooth_photo.flank_view import FlankView, view
from core.tooth_photo.outline import measured, rings, softened
from core.tooth_photo.parting import partings
from core.tooth_photo.prints import Found, best

DARKEST = 0.006
"""Light of the flank below which noise is as strong as what is to be seen, of the sensor's full light."""
MOST_GLARE = 0.5
SOFTEST = 0.25
"""Width of the sharpest step across a flank, as a share of its depth, above which the photo is blurred."""
_COLOURED = 0.25


def read(image: bytes, corners: Sequence[Point], toe_to_heel_depth: float, length_to_depth: float) -> ToothReading:
    """Return the print on the flank; see `core.tooth_photo.read_tooth`."""
    picture = photos.opened(image)
    places = checked_corners(corners, picture.size)
    flank = view(picture, places, toe_to_heel_depth)
    _need_light(flank)
    found = found_on(flank)
    chance = confidence(found, flank, places) if found else 0.0
    if chance < LEAST:
        raise InputError(
            tr("No print can be told from the rest of this flank."),
            tr("Check the corners; or wipe, paint and print again, and take the photo without glare or shadow on it."),
        )
    share = softened(found[0].mask)
    return ToothReading(rings(share), measured(share, length_to_depth), kind_of(found[0]), chance, flank.bow)


def found_on(flank: FlankView) -> list[Found]:
    """Return the prints that may be on a flank, the likeliest first; none where none could be one."""
    return [each for each in best(partings(flank)) if each.is_possible]


def kind_of(found: Found) -> PrintKind:
    """Return what a print is made of: the more coloured surface is compound, of two grey ones the brighter."""
    (inside, bright_inside), (outside, bright_outside) = found.colour_inside, found.colour_outside
    is_compound = inside > outside if abs(inside - outside) > _COLOURED else bright_inside > bright_outside
    return PrintKind.TRANSFERRED if is_compound else PrintKind.DISPLACED


def _need_light(flank: FlankView) -> None:
    """Refuse a flank that is too dark, too bright or too blurred to be read."""
    if float(np.median(flank.light.max(axis=-1))) < DARKEST:
        raise InputError(tr("The flank is too dark in this picture."), tr("Take it again with more light."))
    if (~flank.seen).mean() > MOST_GLARE:
        raise InputError(
            tr("The flank is nothing but glare in this picture."),
            tr("Take it again with less light, or from the side."),
        )
    if flank.softness > SOFTEST:
        raise InputError(
            tr("The picture is blurred."),
            tr("Rest the camera on something, let it focus on the tooth, and take it again."),
        )
