"""Where the gears sit and how the flanks are relieved, as far as the prints read so far tell, and what that predicts.

`core.advice.contact_fit` makes a belief from the prints of a job.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from core.advice.contact_model import ContactModel, ContactPrior, Floats
from core.advice.contact_scatter import Scatter
from core.mechanics.contact import Flank, Patch
from core.mechanics.outline import Ring


@dataclass(frozen=True, eq=False)
class ContactBelief:
    """The most likely unknowns and what else they may be, in standard deviations of the prior.

    `scatter` is what is believed of how roughly prints are read. Under each of its scales the unknowns lie around
    `means` (k, n) with `covariances` (k, n, n); `at` (n,) is the most likely place under the scale that stands for
    all. `log_likelihoods` (k,) says how likely the prints came out under each scale, and `log_evidence` under all: of
    two readings of the same prints the higher one fits. `misfit` is how far the worst reading is from what any setting
    near by would print, in its standard deviations. `backlash_off_mm` is how far the backlash that was read is from
    what the unknowns alone make of it: the set was made for that much more, and a move adds to what was read.
    """

    model: ContactModel
    scatter: Scatter
    at: Floats
    means: Floats
    covariances: Floats
    log_likelihoods: Floats
    log_evidence: float = 0.0
    misfit: float = 0.0
    backlash_off_mm: float = 0.0

    @property
    def prior(self) -> ContactPrior:
        """What was believed before the first print."""
        return self.model.prior

    @property
    def covariance(self) -> Floats:
        """Covariance of the unknowns under all scales, (n, n)."""
        weights = self.scatter.weights
        off = self.means - weights @ self.means
        within = np.einsum("k,kij->ij", weights, self.covariances)
        return np.asarray(within + np.einsum("k,ki,kj->ij", weights, off, off), dtype=np.float64)

    def draws(self, rng: np.random.Generator, count: int) -> Floats:
        """Return draws of the unknowns against the most likely ones, (count, n)."""
        scales = rng.choice(len(self.means), count, p=self.scatter.weights)
        roots = np.linalg.cholesky(self.covariances)
        spread = np.einsum("nij,nj->ni", roots[scales], rng.normal(size=(count, len(self.at))))
        return np.asarray(self.means[scales] - self.at + spread, dtype=np.float64)

    def print_on(self, flank: Flank, pinion_mm: float = 0.0, gear_mm: float = 0.0) -> Patch:
        """Return the print expected on a flank after a move [mm], before its centre is put where it is believed."""
        return self.model.print_on(self.at, flank, pinion_mm, gear_mm)

    def centre(self, flank: Flank, pinion_mm: float, gear_mm: float) -> tuple[float, float]:
        """Return where the centre of a print comes to lie after a move [mm], along and in depth."""
        along, depth = self.model.told(self.at, flank, pinion_mm, gear_mm)[:2].tolist()
        return along, depth

    def centres(self, pinion_mm: float, gear_mm: float) -> Floats:
        """Return the centres after a move [mm]: (drive along, drive depth, coast along, coast depth)."""
        return np.array([self.model.told(self.at, flank, pinion_mm, gear_mm)[:2] for flank in Flank]).ravel()

    def outline_on(self, flank: Flank, pinion_mm: float, gear_mm: float) -> tuple[Ring, ...]:
        """Return the outline of the print expected on a flank after a move [mm], as shares of the tooth."""
        along, depth = self.model.off(self.at, flank, pinion_mm, gear_mm)[:2].tolist()
        return tuple(
            tuple((min(max(a + along, 0.0), 1.0), min(max(d + depth, 0.0), 1.0)) for a, d in loop.tolist())
            for loop in self.model.pair.outline(flank, *self.model.setting(self.at, flank, pinion_mm, gear_mm))
        )

    def slopes(self, pinion_mm: float, gear_mm: float) -> Floats:
        """Return how the centres after a move hang on the unknowns, (4, n)."""
        return self.model.slopes(self.at, pinion_mm, gear_mm)[:, :2].reshape(4, self.model.unknowns)

    def backlash_mm(self, pinion_mm: float, gear_mm: float) -> float:
        """Return the backlash expected after a move [mm]."""
        return self.backlash_off_mm + self.model.backlash_mm(self.at, pinion_mm, gear_mm)
