"""What prints a set would give: by its card, and by what of it is not known.

Unknown are how far pinion, ring gear and offset are from where the teeth are conjugate, what each flank is relieved by
at its ends, where its crest lies, how thick the compound lies, and each size that the card gives as a band or not at
all. All are counted in standard deviations of what is believed before the first print.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from core.mechanics.contact import ContactSet, Crown, Flank, Misalignment, Patch
from core.mechanics.contact.patch import FILM_MM

Floats = NDArray[np.float64]

OWN = 12
"""Unknowns of every set: pinion, ring gear, offset [mm]; logarithms: crown of the convex flank along and in depth, of
the concave one along and in depth, film; and how far each flank's crest is off the middle along and in depth [shares of
the tooth]. After them come the sizes known only as a band."""

CREST = 8
"""The first of the crests."""

CURVED = {Flank.DRIVE: (0, 1, 2, 3, 4, 7), Flank.COAST: (0, 1, 2, 5, 6, 7)}
"""The unknowns a flank's print hangs on by way of the mesh; its crest moves it just as far as it lies off itself."""

STEP = 0.1
"""So far the unknowns are moved to see what hangs on them, in standard deviations of the prior."""


@dataclass(frozen=True)
class Print:
    """A print on one flank as shares of the tooth: centre from the toe and from the root side, length and height."""

    along: float
    depth: float
    length: float | None = None
    height: float | None = None


@dataclass(frozen=True)
class Looked:
    """A reading of the pattern: how far pinion and ring gear were moved since the first one [mm], and the prints.

    `pinion_mm` > 0 is away from the ring gear's axis, `gear_mm` > 0 away from the pinion. `backlash_mm` is the mean
    backlash square to the tooth at the heel in that setting, None where it tells nothing new.
    """

    pinion_mm: float
    gear_mm: float
    prints: Mapping[Flank, Print]
    backlash_mm: float | None = None


@dataclass(frozen=True)
class ContactPrior:
    """What is believed before the first print: standard deviations [mm, or of a logarithm].

    `backlash_mm` is what the set is made for, with its standard deviation; the rates say what a millimetre of ring gear
    and of pinion is worth in backlash [mm per mm].
    """

    backlash_mm: float
    backlash_sd_mm: float
    gear_rate: float
    pinion_rate: float
    pinion_sd_mm: float = 0.12
    gear_sd_mm: float = 0.12
    offset_sd_mm: float = 0.03
    crown_log_sd: float = 0.30
    film_log_sd: float = 0.20
    crest_sd: float = 0.03

    @property
    def sds(self) -> Floats:
        """Standard deviations of the unknowns, in their order."""
        crowns = [self.crown_log_sd] * 4
        crests = [self.crest_sd] * 4
        return np.array([self.pinion_sd_mm, self.gear_sd_mm, self.offset_sd_mm, *crowns, self.film_log_sd, *crests])

    def backlash_at(self, pinion_mm: float, gear_mm: float) -> float:
        """Return the backlash [mm] of a set whose gears sit so far from where its teeth are conjugate [mm]."""
        return self.backlash_mm + self.pinion_rate * pinion_mm + self.gear_rate * gear_mm


@dataclass(frozen=True, eq=False)
class Variant:
    """The set as it is made where one of its sizes is a standard deviation off.

    `share` is by what of the way between both the prints scatter: 1 for a size, less for what is either so or so.
    """

    pair: ContactSet
    share: float = 1.0


@dataclass(frozen=True, eq=False)
class ContactModel:
    """A set as its card gives it, what is believed of it, and how it were with each of its banded sizes off."""

    pair: ContactSet
    prior: ContactPrior
    variants: tuple[Variant, ...] = ()

    @property
    def unknowns(self) -> int:
        """How many unknowns there are."""
        return OWN + len(self.variants)

    @cached_property
    def sds(self) -> Floats:
        """Standard deviations of the unknowns, in their order; a size known as a band counts in its own."""
        return np.concatenate([self.prior.sds, np.ones(len(self.variants))])

    def print_on(self, at: Floats, flank: Flank, pinion_mm: float, gear_mm: float) -> Patch:
        """Return the print on a flank after a move [mm], its crest in the middle and its sizes as on the card."""
        return self.pair.patch(flank, *self.setting(at, flank, pinion_mm, gear_mm))

    def setting(self, at: Floats, flank: Flank, pinion_mm: float, gear_mm: float) -> tuple[Misalignment, Crown, float]:
        """Return where the gears sit after a move, how the flank is relieved, and the film [mm]."""
        values, usual = at * self.sds, Crown()
        first = 3 if flank is Flank.DRIVE else 5
        crown = Crown(usual.length_mm * math.exp(values[first]), usual.profile_mm * math.exp(values[first + 1]))
        shift = Misalignment(float(values[0]) + pinion_mm, float(values[1]) + gear_mm, float(values[2]))
        return shift, crown, FILM_MM * math.exp(values[7])

    def off(self, at: Floats, flank: Flank, pinion_mm: float, gear_mm: float) -> Floats:
        """Return how far a print after a move is from that of `print_on`: centre along and in depth, length, height."""
        first = _crest_at(flank)
        off = np.concatenate([(at * self.sds)[first : first + 2], (0.0, 0.0)])
        sizes = at[OWN:]
        return off + self._by_size(at, flank, pinion_mm, gear_mm) @ sizes if sizes.any() else off

    def told(self, at: Floats, flank: Flank, pinion_mm: float, gear_mm: float) -> Floats:
        """Return centre along and in depth, length and height of a print after a move, as shares of the tooth, (4,)."""
        return _told(self.print_on(at, flank, pinion_mm, gear_mm)) + self.off(at, flank, pinion_mm, gear_mm)

    def slopes(self, at: Floats, pinion_mm: float, gear_mm: float) -> Floats:
        """Return how what is told of either flank after a move hangs on the unknowns, (2, 4, n)."""
        slopes = np.zeros((len(Flank), 4, self.unknowns))
        for slope, flank in zip(slopes, Flank, strict=True):
            here = _told(self.print_on(at, flank, pinion_mm, gear_mm))
            for number in CURVED[flank]:
                moved = at.copy()
                moved[number] += STEP
                slope[:, number] = (_told(self.print_on(moved, flank, pinion_mm, gear_mm)) - here) / STEP
            first = _crest_at(flank)
            slope[:2, first : first + 2] = np.diag(self.sds[first : first + 2])
            slope[:, OWN:] = self._by_size(at, flank, pinion_mm, gear_mm)
        return slopes

    def backlash_mm(self, at: Floats, pinion_mm: float, gear_mm: float) -> float:
        """Return the backlash after a move [mm]."""
        pinion, gear = (at * self.sds)[:2]
        return self.prior.backlash_at(float(pinion) + pinion_mm, float(gear) + gear_mm)

    def _by_size(self, at: Floats, flank: Flank, pinion_mm: float, gear_mm: float) -> Floats:
        """Return how a print hangs on the sizes known only as a band, (4, m)."""
        if not self.variants:
            return np.zeros((4, 0))
        setting = self.setting(at, flank, pinion_mm, gear_mm)
        here = _told(self.pair.patch(flank, *setting))
        return np.stack([v.share * (_told(v.pair.patch(flank, *setting)) - here) for v in self.variants], axis=1)


def _told(found: Patch) -> Floats:
    centre = found.centre
    return np.array([centre.along_ratio, centre.depth_ratio, found.along_extent_ratio, found.depth_extent_ratio])


def _crest_at(flank: Flank) -> int:
    return CREST + 2 * list(Flank).index(flank)
