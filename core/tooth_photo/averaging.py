"""The mean print of several teeth, and how far they scatter."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean, stdev

import numpy as np
from scipy.ndimage import distance_transform_edt
from skimage.draw import polygon2mask

from core.errors import InputError
from core.language import tr
from core.mechanics.contact.patch import Patch
from core.mechanics.outline import Ring, measure
from core.mechanics.pattern import Centre
from core.tooth_photo.corners import Floats
from core.tooth_photo.facts import MeanReading, Scatter, ToothReading
from core.tooth_photo.flank_view import ALONG, DEEP
from core.tooth_photo.outline import rings


def mean_of(readings: Sequence[ToothReading]) -> MeanReading:
    """Return the mean print; see `core.tooth_photo.averaged`."""
    if not readings:
        raise InputError(tr("No tooth was read."), tr("Read at least one photo first."))
    if len({reading.kind for reading in readings}) > 1:
        raise InputError(
            tr("On some teeth compound was displaced, on others transferred."),
            tr("Take the mean of one kind of print at a time."),
        )
    inside = np.mean([_inside(reading) for reading in readings], axis=0)
    share = np.clip(0.5 + 0.5 * inside, 0.0, 1.0)
    if share.max() <= 0.5:
        raise InputError(
            tr("The prints of these teeth lie in different places."),
            tr("Look at each photo: were the corners clicked in turn, and on the same flank?"),
        )
    numbers = [_numbers(reading.patch) for reading in readings]
    columns = list(zip(*numbers, strict=True))
    mean = [fmean(column) for column in columns]
    return MeanReading(
        len(readings),
        _centred(rings(share), mean[0], mean[1]),
        _patch(mean),
        readings[0].kind,
        _scatter([stdev(column) for column in columns]) if len(readings) > 1 else None,
    )


def _inside(reading: ToothReading) -> Floats:
    """Return how far inside a tooth's print each place lies, negative outside it, (DEEP, ALONG) [places].

    The mean of two prints is then the one half way between them; a count of teeth would have none there.
    """
    last = np.array([DEEP - 1.0, ALONG - 1.0])
    masks = [polygon2mask((DEEP, ALONG), np.array(loop)[:, ::-1] * last) for loop in reading.outline]
    mask = np.any(masks, axis=0)
    return np.asarray(distance_transform_edt(mask) - distance_transform_edt(~mask))


def _centred(outline: tuple[Ring, ...], along: float, depth: float) -> tuple[Ring, ...]:
    """Return an outline moved by what its centre lies beside the mean of the centres, no farther than the flank."""
    centre = measure(outline)
    by = np.array([along - centre.along, depth - centre.depth])
    moved = [np.clip(np.array(ring) + by, 0.0, 1.0) for ring in outline]
    return tuple(tuple((float(x), float(y)) for x, y in ring) for ring in moved)


def _numbers(patch: Patch) -> tuple[float, ...]:
    centre = patch.centre
    return (
        centre.along_ratio,
        centre.depth_ratio,
        *patch.along_ends,
        *patch.depth_ends,
        patch.area_ratio,
        patch.tilt_deg,
    )


def _patch(x: Sequence[float]) -> Patch:
    return Patch(Centre(x[0], x[1]), (x[2], x[3]), (x[4], x[5]), x[6], x[7])


def _scatter(x: Sequence[float]) -> Scatter:
    return Scatter(x[0], x[1], (x[2], x[3]), (x[4], x[5]), x[6], x[7])
