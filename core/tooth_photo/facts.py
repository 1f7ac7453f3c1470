"""What a photo of a painted tooth says, as plain frozen records."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.mechanics.contact.patch import Patch
from core.mechanics.outline import Ring

MOST_POINTS = 60
"""An outline has at most so many points, all its loops together."""


class PrintKind(StrEnum):
    """What the print is made of."""

    DISPLACED = "displaced"
    TRANSFERRED = "transferred"


@dataclass(frozen=True)
class ToothReading:
    """The print on one flank as read from a photo.

    `outline` holds one or two rings as `core.mechanics.outline` has them; `patch` what is measured of them; `kind`
    whether compound was displaced from a covered flank or transferred to a bare one. `confidence` is the chance, from 0
    to 1, that the centre is within 0.03 along and 0.04 in depth. `bow` is how far the middle of the flank's edges is
    seen toward the tip from the straight line between its corners, as a share of the depth.
    """

    outline: tuple[Ring, ...]
    patch: Patch
    kind: PrintKind
    confidence: float
    bow: float


@dataclass(frozen=True)
class Scatter:
    """Standard deviation from tooth to tooth: of the centre, both ends, area (ratios) and tilt [°]."""

    along_ratio: float
    depth_ratio: float
    along_ends: tuple[float, float]
    depth_ends: tuple[float, float]
    area_ratio: float
    tilt_deg: float


@dataclass(frozen=True)
class MeanReading:
    """The mean print of several teeth: an edge in the mean of their edges, and the mean of what each measures.

    `scatter` is None for a single tooth.
    """

    teeth: int
    outline: tuple[Ring, ...]
    patch: Patch
    kind: PrintKind
    scatter: Scatter | None
