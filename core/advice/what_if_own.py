"""What of its prints is a set's own: how far they lie from where the belief puts them, now and after a move.

No set is quite what its card gives. What a belief leaves of the prints that were read is partly how they were read,
partly the set itself, and the set stays when its gears are moved. So the print that is drawn as the gears stand lies
near the one that was read even where the geometry on the card cannot explain it, and a move is drawn from there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.advice.contact_belief import ContactBelief
from core.advice.contact_fit import READING_SDS
from core.advice.contact_model import Floats, Looked
from core.mechanics.contact import Flank

OWN_SD = 0.03
"""How far a centre lies from where a set of just this geometry would have it [share of the tooth] (sets differ from
their drawings; tried on the virtual sets)."""

FADES_MM = 0.3
"""How far a gear is moved until what is a set's own is another thing there (tried on the virtual sets)."""

GAIN_SD = 0.15
"""How far a centre comes to lie from where it is expected, for each millimetre a gear is moved [shares of the tooth per
mm]: a set moves more or less than its drawing does (tried on the virtual sets)."""


ODD_SDS = 2.0
"""So many standard deviations of a reading from where the belief puts it, a print is said to be odd."""


@dataclass(frozen=True, eq=False)
class Own:
    """What the prints read so far say of that; made by `own_of`.

    Attributes
    ----------
    settings_mm : array, shape (n, 2)
        Where pinion and ring gear stood at each print, against where they stand now.
    rests : array, shape (n, 4)
        How far each centre was read from where the belief puts it; not a number where the flank was not read.
    slopes : array, shape (n, 4, m)
        How the centres hang on the unknowns there.
    covariance : array, shape (m, m)
        How well the unknowns are known.
    reading_sds : array, shape (4,)
        How roughly a centre is read.
    sd : float
        How far a centre lies from where a set of just this geometry would have it.
    """

    settings_mm: Floats
    rests: Floats
    slopes: Floats
    covariance: Floats
    reading_sds: Floats
    sd: float

    @property
    def is_odd(self) -> bool:
        """Whether a centre of the last print lies so far off that it was hardly just misread."""
        return bool(len(self.rests) and (np.abs(self.rests[-1]) > ODD_SDS * self.reading_sds).any())

    def after(self, pinion_mm: float, gear_mm: float, slopes: Floats) -> tuple[Floats, Floats]:
        """Return how far centres will lie from where the belief puts them after a move, and how well they are known.

        Parameters
        ----------
        pinion_mm, gear_mm : float
            The move from where the gears stand now [mm].
        slopes : array, shape (4, m)
            How the centres hang on the unknowns after it.

        Returns
        -------
        tuple of array, shape (4,)
            What is to be added to the centres, and their standard deviations.
        """
        there = np.array([[pinion_mm, gear_mm]])
        before, alike = self._alike(self.settings_mm, self.settings_mm), self._alike(self.settings_mm, there)[:, 0]
        at_all = float(self._alike(there, there)[0, 0])
        offs, variances = np.zeros(4), np.zeros(4)
        for centre, noise in enumerate(self.reading_sds**2):
            read = np.flatnonzero(~np.isnan(self.rests[:, centre]))
            spread = before[np.ix_(read, read)] + noise * np.eye(len(read))
            shares = np.linalg.solve(spread, alike[read])
            # What is the set's own is taken from the rests, and with it goes some of what the unknowns leave open.
            hangs = slopes[centre] - shares @ self.slopes[read, centre]
            offs[centre] = shares @ self.rests[read, centre]
            variances[centre] = hangs @ self.covariance @ hangs + at_all - shares @ alike[read]
        return offs, np.sqrt(variances)

    def _alike(self, one: Floats, other: Floats) -> Floats:
        """Return how what is the set's own at some settings goes with that at others."""
        off_mm = np.linalg.norm(one[:, None] - other[None], axis=-1)
        return np.asarray(self.sd**2 * np.exp(-0.5 * (off_mm / FADES_MM) ** 2) + GAIN_SD**2 * one @ other.T)


def own_of(belief: ContactBelief, readings: Sequence[Looked], now_mm: tuple[float, float]) -> Own:
    """Return what of its prints is a set's own.

    Parameters
    ----------
    belief : ContactBelief
        What the same prints say of the set.
    readings : sequence of Looked
        The prints.
    now_mm : tuple of float
        Where pinion and ring gear stand now, against the first print [mm].

    Notes
    -----
    Simple kriging of the rests: a centre lies off by a part that a set of just this geometry would not have
    (`OWN_SD`; more where the prints of this job lie off by more than they can be misread), the same at neighbouring
    settings and another `FADES_MM` further on, and by one that grows with the move (`GAIN_SD`). Of a single rest the
    share of variances is the set's own, the remainder a misreading. The unknowns were sought with the rests in view, so
    of what they leave open that share is taken too: as the gears stand, nothing is less well known than it was read.

    On the virtual sets (`tests/benchmarks/what_if_doubt.py`) two standard deviations hold 92 to 97 of a hundred centres
    from no move to 0.5 mm. The centres themselves are foretold about as near as by the belief alone, up to a tenth
    nearer as the gears stand; where a print lies off by more than 2.3 standard deviations, the error there is halved.

    Source
    ------
    Best linear unbiased prediction with a random shift (textbook, from memory).
    """
    settings = [(reading.pinion_mm - now_mm[0], reading.gear_mm - now_mm[1]) for reading in readings]
    rests = [_rest(belief, reading) for reading in readings]
    slopes = [belief.slopes(reading.pinion_mm, reading.gear_mm) for reading in readings]
    reading_sds = belief.scatter.mean * np.array([*READING_SDS[:2], *READING_SDS[:2]])
    return Own(
        np.array(settings).reshape(-1, 2),
        np.array(rests).reshape(-1, 4),
        np.array(slopes).reshape(-1, 4, len(belief.at)),
        belief.covariance,
        reading_sds,
        _sd(np.array(rests).reshape(-1, 4), reading_sds),
    )


def _rest(belief: ContactBelief, reading: Looked) -> Floats:
    """Return how far the centres were read from where the belief puts them, (4,)."""
    prints = [reading.prints.get(flank) for flank in Flank]
    read = [(np.nan, np.nan) if seen is None else (seen.along, seen.depth) for seen in prints]
    return np.asarray(np.array(read).ravel() - belief.centres(reading.pinion_mm, reading.gear_mm), dtype=np.float64)


def _sd(rests: Floats, reading_sds: Floats) -> float:
    """Return how far centres of this set lie off: what the rests have more than misreading gives them, and no less."""
    more = (rests**2 - reading_sds**2)[~np.isnan(rests)]
    return float(np.sqrt(max(OWN_SD**2, more.mean() if len(more) else 0.0)))
