"""A photo of a painted tooth, read: where on the flank the print lies, and how far that can be trusted.

One file a step: `corners` what a person clicks, `flank_view` the flank seen from straight above, `parting` compound
told from metal, `prints` the print picked, `outline` its edge, `confidence` how good it is, `reader` all of it for one
photo, `averaging` for several teeth. The imaging library is loaded when the first photo is read, not before.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from core.mechanics.checks import within
from core.mechanics.outline import USUAL_PROPORTION, Point, Ring
from core.tooth_photo.corners import arc, in_picture, to_picture
from core.tooth_photo.facts import MeanReading, PrintKind, Scatter, ToothReading

__all__ = ["MeanReading", "PrintKind", "Scatter", "ToothReading", "averaged", "read_tooth", "rings_in_photo"]


def read_tooth(
    image: bytes,
    corners: Sequence[Point],
    *,
    toe_to_heel_depth_ratio: float = 1.0,
    length_to_depth_ratio: float = USUAL_PROPORTION,
) -> ToothReading:
    """Read the print on one flank from a photo.

    Parameters
    ----------
    image : bytes
        The photo as the logbook keeps it.
    corners : sequence of (float, float)
        Corners of the flank's working area as a person clicked them: toe at the root, heel at the root, heel at the
        tip, toe at the tip; x to the right and y down [px].
    toe_to_heel_depth_ratio : float
        Working depth at the toe over that at the heel [-], 0.3 to 1.5. Four corners alone cannot tell a tooth that is
        lower at the toe from one seen at a slant: on a tooth of 0.7 read as one of 1 a print is placed up to 0.09
        wrong along.
    length_to_depth_ratio : float
        Length of the flank over its depth [-], 1 to 15; only the tilt depends on it.

    Returns
    -------
    ToothReading
        Outline, measures, kind of print and confidence.

    Raises
    ------
    InputError
        The photo cannot be opened, is too dark, bright or blurred, the corners are not those of a flank, or no print
        can be told from the rest.
    RangeError
        A ratio is out of range.

    Notes
    -----
    Perspective is taken out by the homography of the four corners; a flank bowed along its length is followed where
    its edges are to be seen. Method and thresholds are our own, tried on rendered photos only.
    """
    within("toe_to_heel_depth_ratio", toe_to_heel_depth_ratio, 0.3, 1.5)
    within("length_to_depth_ratio", length_to_depth_ratio, 1.0, 15.0)
    # Loaded late: the window must not wait for what most days nobody asks for.
    from core.tooth_photo.reader import read

    return read(image, corners, toe_to_heel_depth_ratio, length_to_depth_ratio)


def rings_in_photo(
    reading: ToothReading, corners: Sequence[Point], *, toe_to_heel_depth_ratio: float = 1.0
) -> tuple[Ring, ...]:
    """Return where in the photo the outline of a reading lies, to be laid over it.

    Parameters
    ----------
    reading : ToothReading
        What `read_tooth` returned.
    corners : sequence of (float, float)
        The corners it was read with [px].
    toe_to_heel_depth_ratio : float
        The taper it was read with [-].

    Returns
    -------
    tuple of Ring
        The same rings, x to the right and y down [px].
    """
    way = to_picture(np.asarray(corners, dtype=float), toe_to_heel_depth_ratio)
    laid = []
    for ring in reading.outline:
        along, depth = np.array(ring).T
        x, y = in_picture(along, depth + arc(reading.bow, along), way, toe_to_heel_depth_ratio)
        laid.append(tuple(zip(x.tolist(), y.tolist(), strict=True)))
    return tuple(laid)


def averaged(readings: Sequence[ToothReading]) -> MeanReading:
    """Return the mean print of several teeth and how far they scatter.

    Parameters
    ----------
    readings : sequence of ToothReading
        One reading a tooth, all of the same flank (drive or coast).

    Returns
    -------
    MeanReading
        The outline whose edge lies in the mean of the edges, the mean of each measure, and their standard deviations
        (divisor n − 1).

    Raises
    ------
    InputError
        There is no reading, kinds of print are mixed, or the prints lie too far apart to have a mean.
    """
    from core.tooth_photo.averaging import mean_of

    return mean_of(readings)
