"""Where the gears sit and how the flanks are relieved, as far as the prints read so far tell, and what that predicts.

Unknown are how far pinion, ring gear and offset are from where the teeth are conjugate, what each flank is relieved by
at its ends, where its crest lies, and how thick the compound lies. `core.advice.contact_fit` reads the prints.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.advice.contact_scatter import Scatter
from core.mechanics.contact import ContactSet, Crown, Flank, Misalignment, Patch
from core.mechanics.contact.patch import FILM_MM
from core.mechanics.outline import Ring

Floats = NDArray[np.float64]

UNKNOWNS = 12
"""Pinion, ring gear, offset [mm]; logarithms: crown of the convex flank along and in depth, of the concave one along
and in depth, film; and how far each flank's crest is off the middle along and in depth [shares of the tooth]."""

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
class ContactBelief:
    """The most likely unknowns and what else they may be, in standard deviations of the prior.

    `scatter` is what is believed of how roughly prints are read. Under each of its scales the unknowns lie around
    `means` (k, 12) with `covariances` (k, 12, 12); `at` (12,) is the most likely place under the scale that stands for
    all. `log_likelihoods` (k,) says how likely the prints came out under each scale, and `log_evidence` under all: of
    two readings of the same prints the higher one fits. `misfit` is how far the worst reading is from what any setting
    near by would print, in its standard deviations. `backlash_off_mm` is how far the backlash that was read is from
    what the unknowns alone make of it: the set was made for that much more, and a move adds to what was read.
    """

    pair: ContactSet
    prior: ContactPrior
    scatter: Scatter
    at: Floats
    means: Floats
    covariances: Floats
    log_likelihoods: Floats
    log_evidence: float = 0.0
    misfit: float = 0.0
    backlash_off_mm: float = 0.0

    @property
    def covariance(self) -> Floats:
        """Covariance of the unknowns under all scales, (12, 12)."""
        weights = self.scatter.weights
        off = self.means - weights @ self.means
        within = np.einsum("k,kij->ij", weights, self.covariances)
        return np.asarray(within + np.einsum("k,ki,kj->ij", weights, off, off), dtype=np.float64)

    def draws(self, rng: np.random.Generator, count: int) -> Floats:
        """Return draws of the unknowns against the most likely ones, (count, 12)."""
        scales = rng.choice(len(self.means), count, p=self.scatter.weights)
        roots = np.linalg.cholesky(self.covariances)
        spread = np.einsum("nij,nj->ni", roots[scales], rng.normal(size=(count, UNKNOWNS)))
        return np.asarray(self.means[scales] - self.at + spread, dtype=np.float64)

    def print_on(self, flank: Flank, pinion_mm: float = 0.0, gear_mm: float = 0.0, at: Floats | None = None) -> Patch:
        """Return the print expected on a flank after a move [mm], by the most likely unknowns or by others."""
        return print_of(self.pair, self._values(at), flank, pinion_mm, gear_mm)

    def centres(self, pinion_mm: float, gear_mm: float, at: Floats | None = None) -> Floats:
        """Return the centres after a move [mm]: (drive along, drive depth, coast along, coast depth)."""
        prints = {flank: self.print_on(flank, pinion_mm, gear_mm, at) for flank in Flank}
        return np.array([share for flank, found in prints.items() for share in self.centre_of(flank, found, at)])

    def centre_of(self, flank: Flank, found: Patch, at: Floats | None = None) -> tuple[float, float]:
        """Return where a print's centre lies, along and in depth, with the crest as far off the middle as believed."""
        along, depth = crest_of(self._values(at), flank)
        return found.centre.along_ratio + along, found.centre.depth_ratio + depth

    def outline_on(self, flank: Flank, pinion_mm: float, gear_mm: float) -> tuple[Ring, ...]:
        """Return the outline of the print expected on a flank after a move [mm], as shares of the tooth."""
        values = self.at * self.prior.sds
        along, depth = crest_of(values, flank)
        return tuple(
            tuple((min(max(a + along, 0.0), 1.0), min(max(d + depth, 0.0), 1.0)) for a, d in loop.tolist())
            for loop in self.pair.outline(flank, *setting_of(values, flank, pinion_mm, gear_mm))
        )

    def slopes(self, pinion_mm: float, gear_mm: float) -> Floats:
        """Return how the centres after a move hang on the unknowns, (4, 12)."""
        return slopes_of(self.pair, self.prior.sds, self.at, pinion_mm, gear_mm)[:, :2].reshape(4, UNKNOWNS)

    def backlash_mm(self, pinion_mm: float, gear_mm: float) -> float:
        """Return the backlash expected after a move [mm]."""
        pinion, gear = (self.at * self.prior.sds)[:2]
        return self.backlash_off_mm + self.prior.backlash_at(float(pinion) + pinion_mm, float(gear) + gear_mm)

    def _values(self, at: Floats | None) -> Floats:
        return (self.at if at is None else at) * self.prior.sds


def print_of(pair: ContactSet, values: Floats, flank: Flank, pinion_mm: float, gear_mm: float) -> Patch:
    """Return the print on a flank of a set with these unknowns after a move [mm], its crest in the middle."""
    return pair.patch(flank, *setting_of(values, flank, pinion_mm, gear_mm))


def setting_of(values: Floats, flank: Flank, pinion_mm: float, gear_mm: float) -> tuple[Misalignment, Crown, float]:
    """Return where the gears sit after a move, how the flank is relieved, and the film [mm]."""
    first = 3 if flank is Flank.DRIVE else 5
    usual = Crown()
    crown = Crown(usual.length_mm * math.exp(values[first]), usual.profile_mm * math.exp(values[first + 1]))
    shift = Misalignment(float(values[0]) + pinion_mm, float(values[1]) + gear_mm, float(values[2]))
    return shift, crown, FILM_MM * math.exp(values[7])


def crest_of(values: Floats, flank: Flank) -> tuple[float, float]:
    """Return how far the crest of a flank is off the middle, along and in depth."""
    first = _crest_at(flank)
    return float(values[first]), float(values[first + 1])


def told_by(pair: ContactSet, values: Floats, flank: Flank, pinion_mm: float, gear_mm: float) -> Floats:
    """Return centre along and in depth, length and height of the print on a flank, as shares of the tooth, (4,)."""
    found, (along, depth) = print_of(pair, values, flank, pinion_mm, gear_mm), crest_of(values, flank)
    centre = found.centre
    return np.array(
        [centre.along_ratio + along, centre.depth_ratio + depth, found.along_extent_ratio, found.depth_extent_ratio]
    )


def slopes_of(pair: ContactSet, sds: Floats, at: Floats, pinion_mm: float, gear_mm: float) -> Floats:
    """Return how what `told_by` says of either flank after a move hangs on the unknowns, (2, 4, 12).

    Parameters
    ----------
    pair : ContactSet
        The set as the card gives it.
    sds, at : array, shape (12,)
        Standard deviations of the prior, and the unknowns in these.
    pinion_mm, gear_mm : float
        The move [mm].
    """
    slopes = np.zeros((len(Flank), 4, UNKNOWNS))
    for slope, flank in zip(slopes, Flank, strict=True):
        here = told_by(pair, at * sds, flank, pinion_mm, gear_mm)
        for number in CURVED[flank]:
            moved = at.copy()
            moved[number] += STEP
            slope[:, number] = (told_by(pair, moved * sds, flank, pinion_mm, gear_mm) - here) / STEP
        first = _crest_at(flank)
        slope[:2, first : first + 2] = np.diag(sds[first : first + 2])
    return slopes


def _crest_at(flank: Flank) -> int:
    return CREST + 2 * list(Flank).index(flank)
