"""Where the gears sit and how the flanks are relieved, as far as the prints read so far tell.

Unknown are how far pinion, ring gear and offset are from where the teeth are conjugate, what each flank is relieved by
at its ends, and how thick the compound lies. All prints of the job, with the moves made between them, are read
together: the most likely values (MAP) by damped Gauss-Newton steps, and how well they are known by Laplace's
approximation. Sensitivity goes as one over the crown, so the first real move teaches how much the next one does.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.mechanics.contact import ContactSet, Crown, Flank, Misalignment, Patch
from core.mechanics.contact.patch import FILM_MM
from core.mechanics.outline import Ring

Floats = NDArray[np.float64]

UNKNOWNS = 12
"""Pinion, ring gear, offset [mm]; logarithms: crown of the convex flank along and in depth, of the concave one along
and in depth, film; and how far each flank's crest is off the middle along and in depth [shares of the tooth]."""

CREST = 8
"""The first of the crests."""

READING_SDS = (0.03, 0.05, 0.07, 0.07)
"""How a print is read: centre along and in depth, length and height, as shares of the tooth (common practice)."""

MODEL_SD = 0.015
"""What the model leaves out of all of them, as a share of the tooth (common practice)."""

TAIL = 4.0
"""Degrees of freedom by which a reading far out loses its say (Student's t)."""

STEP = 0.1
"""So far the unknowns are moved to see what hangs on them, in standard deviations of the prior."""

ROUNDS, SETTLED, LONGEST = 10, 0.03, 2.0
"""Most steps; a step below this ends the search; none is longer than this [standard deviations of the prior]."""


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


@dataclass(frozen=True, eq=False)
class ContactBelief:
    """The most likely unknowns and their covariance, both in standard deviations of the prior.

    `cost` is twice the negative logarithm of the posterior: of two readings of the same prints the lower one fits.
    `misfit` is how far the worst reading is from what any setting near by would print, in its standard deviations.
    `backlash_off_mm` is how far the backlash that was read is from what the unknowns alone make of it: the set was made
    for that much more, and a move adds to what was read.
    """

    pair: ContactSet
    prior: ContactPrior
    at: Floats
    covariance: Floats
    cost: float
    misfit: float = 0.0
    backlash_off_mm: float = 0.0

    def print_on(self, flank: Flank, pinion_mm: float = 0.0, gear_mm: float = 0.0, at: Floats | None = None) -> Patch:
        """Return the print expected on a flank after a move [mm], by the most likely unknowns or by others."""
        return _print(self.pair, (self.at if at is None else at) * self.prior.sds, flank, pinion_mm, gear_mm)

    def centres(self, pinion_mm: float, gear_mm: float, at: Floats | None = None) -> Floats:
        """Return the centres after a move [mm]: (drive along, drive depth, coast along, coast depth)."""
        prints = {flank: self.print_on(flank, pinion_mm, gear_mm, at) for flank in Flank}
        return np.array([share for flank, found in prints.items() for share in self.centre_of(flank, found, at)])

    def centre_of(self, flank: Flank, found: Patch, at: Floats | None = None) -> tuple[float, float]:
        """Return where a print's centre lies, along and in depth, with the crest as far off the middle as believed."""
        crest = _crest((self.at if at is None else at) * self.prior.sds, flank)
        along, depth = _centre(found)
        return along + crest[0], depth + crest[1]

    def outline_on(self, flank: Flank, pinion_mm: float, gear_mm: float) -> tuple[Ring, ...]:
        """Return the outline of the print expected on a flank after a move [mm], as shares of the tooth."""
        values = self.at * self.prior.sds
        along, depth = _crest(values, flank)
        return tuple(
            tuple((min(max(a + along, 0.0), 1.0), min(max(d + depth, 0.0), 1.0)) for a, d in loop.tolist())
            for loop in self.pair.outline(flank, *_setting(values, flank, pinion_mm, gear_mm))
        )

    def slopes(self, pinion_mm: float, gear_mm: float) -> Floats:
        """Return how the centres after a move hang on the unknowns, (4, 12)."""
        here = self.centres(pinion_mm, gear_mm)
        units = STEP * np.eye(UNKNOWNS)
        return np.stack([(self.centres(pinion_mm, gear_mm, self.at + unit) - here) / STEP for unit in units], axis=1)

    def backlash_mm(self, pinion_mm: float, gear_mm: float) -> float:
        """Return the backlash expected after a move [mm]."""
        pinion, gear = (self.at * self.prior.sds)[:2]
        return self.backlash_off_mm + _backlash_mm(self.prior, float(pinion) + pinion_mm, float(gear) + gear_mm)


ODD_SHARE = 0.05
"""How many of the sets that do not print well are no good as they are: wrong pair, bent carrier, offset off (common
practice)."""


def odd_prior(prior: ContactPrior) -> ContactPrior:
    """Return what is believed of a set that is no good as it is: its offset and its crests may be far off."""
    return replace(prior, offset_sd_mm=0.25, crest_sd=0.10)


def oddness(usual: ContactBelief, odd: ContactBelief) -> float:
    """Return how likely a set is no good as it is, by what its prints say under both beliefs.

    Parameters
    ----------
    usual, odd : ContactBelief
        The same prints read with the prior and with `odd_prior` of it.

    Source
    ------
    Ratio of the evidence of both, by Laplace's approximation (textbook, from memory).
    """

    def log_evidence(belief: ContactBelief) -> float:
        return -0.5 * belief.cost + 0.5 * float(np.linalg.slogdet(belief.covariance)[1])

    log_odds = log_evidence(odd) - log_evidence(usual) + math.log(ODD_SHARE / (1.0 - ODD_SHARE))
    return 1.0 / (1.0 + math.exp(-min(max(log_odds, -50.0), 50.0)))


def believe_contact(pair: ContactSet, prior: ContactPrior, readings: Sequence[Looked]) -> ContactBelief:
    """Return what all readings of a job say together.

    Parameters
    ----------
    pair : ContactSet
        The set as the card gives it.
    prior : ContactPrior
        What was believed before.
    readings : sequence of Looked
        Prints with the moves between them.

    Source
    ------
    Maximum a posteriori by damped Gauss-Newton steps with Student's t for readings far out; covariance by Laplace's
    approximation (textbook methods, from memory).
    """
    at = np.zeros(UNKNOWNS)
    identity = np.eye(UNKNOWNS)
    rest = _rest(pair, prior, readings, at)
    curve = identity
    damping = 0.01
    for _ in range(ROUNDS):
        slope = np.stack([(_rest(pair, prior, readings, at + STEP * unit) - rest) / STEP for unit in identity], axis=1)
        weighted = slope * ((TAIL + 1.0) / (TAIL + rest * rest))[:, None]
        curve = weighted.T @ slope + identity
        step = -np.linalg.solve(curve + damping * identity, weighted.T @ rest + at)
        step *= min(1.0, LONGEST / max(float(np.abs(step).max()), 1e-9))
        after = _rest(pair, prior, readings, at + step)
        if _cost(after, at + step) < _cost(rest, at):
            at, rest, damping = at + step, after, 0.3 * damping
            if float(np.abs(step).max()) < SETTLED:
                break
        else:
            damping = 10.0 * damping + 0.1
    covariance = np.asarray(np.linalg.inv(curve), dtype=np.float64)
    off_mm = _backlash_off_mm(prior, readings, at * prior.sds)
    return ContactBelief(pair, prior, at, covariance, _cost(rest, at), _worst(rest), off_mm)


def _backlash_off_mm(prior: ContactPrior, readings: Sequence[Looked], values: Floats) -> float:
    for reading in reversed(readings):
        if reading.backlash_mm is not None:
            pinion_mm, gear_mm = float(values[0]) + reading.pinion_mm, float(values[1]) + reading.gear_mm
            return reading.backlash_mm - _backlash_mm(prior, pinion_mm, gear_mm)
    return 0.0


def _worst(rest: Floats) -> float:
    return float(np.abs(rest).max()) if len(rest) else 0.0


def _cost(rest: Floats, at: Floats) -> float:
    return float((TAIL + 1.0) * np.log1p(rest * rest / TAIL).sum() + at @ at)


def _print(pair: ContactSet, values: Floats, flank: Flank, pinion_mm: float, gear_mm: float) -> Patch:
    return pair.patch(flank, *_setting(values, flank, pinion_mm, gear_mm))


def _setting(values: Floats, flank: Flank, pinion_mm: float, gear_mm: float) -> tuple[Misalignment, Crown, float]:
    """Return where the gears sit after a move, how the flank is relieved, and the film [mm]."""
    first = 3 if flank is Flank.DRIVE else 5
    usual = Crown()
    crown = Crown(usual.length_mm * math.exp(values[first]), usual.profile_mm * math.exp(values[first + 1]))
    shift = Misalignment(float(values[0]) + pinion_mm, float(values[1]) + gear_mm, float(values[2]))
    return shift, crown, FILM_MM * math.exp(values[7])


def _backlash_mm(prior: ContactPrior, pinion_mm: float, gear_mm: float) -> float:
    return prior.backlash_mm + prior.pinion_rate * pinion_mm + prior.gear_rate * gear_mm


def _rest(pair: ContactSet, prior: ContactPrior, readings: Sequence[Looked], at: Floats) -> Floats:
    """Return what is left of the readings, in their standard deviations."""
    values = at * prior.sds
    rest = []
    for reading in readings:
        for flank, seen in reading.prints.items():
            found = _print(pair, values, flank, reading.pinion_mm, reading.gear_mm)
            along, depth = _centre(found)
            crest = _crest(values, flank)
            said = (along + crest[0], depth + crest[1], found.along_extent_ratio, found.depth_extent_ratio)
            told = (seen.along, seen.depth, seen.length, seen.height)
            for predicted, read, sd in zip(said, told, READING_SDS, strict=True):
                if read is not None:
                    rest.append((predicted - read) / math.hypot(sd, MODEL_SD))
        if reading.backlash_mm is not None:
            expected_mm = _backlash_mm(prior, values[0] + reading.pinion_mm, values[1] + reading.gear_mm)
            rest.append((expected_mm - reading.backlash_mm) / prior.backlash_sd_mm)
    return np.array(rest)


def _crest(values: Floats, flank: Flank) -> tuple[float, float]:
    """Return how far the crest of a flank is off the middle, along and in depth."""
    first = CREST + 2 * list(Flank).index(flank)
    return float(values[first]), float(values[first + 1])


def _centre(found: Patch) -> tuple[float, float]:
    return found.centre.along_ratio, found.centre.depth_ratio
