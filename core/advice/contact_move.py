"""The move that brings both prints to where they should be: by pinion shim and by ring gear, backlash kept."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import minimize

from core.advice.contact_belief import ContactBelief, Floats, oddness
from core.advice.next_pair import Window

FARTHEST_MM = 0.5
"""No move is longer than this [mm]."""

DRAWS = 400
"""How many draws of the belief a chance is counted over."""

MODEL_SD = 0.03
"""How far a centre comes to lie from where a set of just this geometry would have it, after a move [share of the tooth]
(sets differ from their drawings; tried on the virtual sets)."""

EDGE_MM = 0.005
"""Backlash outside its limits weighs as much as a print one tolerance off for each of these [mm]."""

LITTLE = 0.002
"""What a move of 0.1 mm costs by itself, so that of two alike the shorter one is made."""


@dataclass(frozen=True)
class Aim:
    """Where the centres are to lie, (drive along, drive depth, coast along, coast depth), each within a tolerance."""

    centres: tuple[float, float, float, float]
    tolerances: tuple[float, float, float, float]

    def is_met(self, centres: Floats) -> bool:
        """Tell whether all four centres lie within their tolerance."""
        return bool((np.abs(centres - np.array(self.centres)) <= np.array(self.tolerances)).all())


@dataclass(frozen=True, eq=False)
class Move:
    """Where pinion and ring gear should stand against the first reading [mm], and what is expected there.

    Attributes
    ----------
    pinion_mm, gear_mm : float
        Against the first reading; positive away from the other gear.
    centres : array, shape (4,)
        Expected centres.
    sds : array, shape (4,)
        How well they are known (standard deviations).
    backlash_mm : float
        Expected backlash.
    chance : float
        How likely all four centres lie within their tolerance.
    hopeless : float
        How likely no setting brings all four there.
    """

    pinion_mm: float
    gear_mm: float
    centres: Floats
    sds: Floats
    backlash_mm: float
    chance: float
    hopeless: float


def safest_move(
    usual: ContactBelief,
    odd: ContactBelief,
    aim: Aim,
    backlash: Window,
    now: tuple[float, float] = (0.0, 0.0),
    steps_mm: tuple[float, float] = (0.02, 0.02),
) -> Move:
    """Return the setting for prints that may be those of a set that is no good as it is.

    The move is the one of the likelier belief; its chance, and how hopeless it is, weigh both.

    Parameters
    ----------
    usual, odd : ContactBelief
        The same prints read as those of a sound set, and of one that is no good (`odd_prior`).
    aim, backlash, now, steps_mm
        As for `best_move`.
    """
    share = oddness(usual, odd)
    first, second = (odd, usual) if share > 0.5 else (usual, odd)
    move = best_move(first, aim, backlash, now, steps_mm)
    other = _told(second, aim, move.pinion_mm, move.gear_mm)
    weight = max(share, 1.0 - share)
    return replace(
        move,
        chance=weight * move.chance + (1.0 - weight) * other.chance,
        hopeless=weight * move.hopeless + (1.0 - weight) * other.hopeless,
    )


def best_move(
    belief: ContactBelief,
    aim: Aim,
    backlash: Window,
    now: tuple[float, float] = (0.0, 0.0),
    steps_mm: tuple[float, float] = (0.02, 0.02),
) -> Move:
    """Return the setting that most likely brings all centres within their tolerance.

    Parameters
    ----------
    belief : ContactBelief
        What the prints say.
    aim : Aim
        Where the centres are to lie.
    backlash : Window
        Limits of the backlash [mm].
    now : tuple of float
        Where pinion and ring gear stand now, against the first reading [mm].
    steps_mm : tuple of float
        In what steps pinion and ring gear can be moved [mm].
    """
    target, tolerance = np.array(aim.centres), np.array(aim.tolerances)

    def miss(move: Floats) -> float:
        off = (belief.centres(float(move[0]), float(move[1])) - target) / tolerance
        lash_mm = belief.backlash_mm(float(move[0]), float(move[1]))
        outside = max(backlash.low - lash_mm, lash_mm - backlash.high, 0.0) / EDGE_MM
        # The largest miss decides whether it lands; the sum of powers follows it and is smooth.
        return float((off**4).sum() ** 0.5 + outside**2 + LITTLE * float(move @ move) / 0.01)

    start = np.array(now, dtype=float)
    corners = start + np.array([(0.0, 0.0), (0.08, 0.0), (0.0, 0.06)])
    options = {"initial_simplex": corners, "maxfev": 60, "xatol": 0.004, "fatol": 0.02}
    best = np.clip(minimize(miss, start, method="Nelder-Mead", options=options).x, -FARTHEST_MM, FARTHEST_MM)
    grid = np.array(steps_mm)
    nearest = start + np.round((best - start) / grid) * grid
    around = [nearest + grid * side for side in ((0, 0), (1, 0), (-1, 0), (0, 1), (0, -1))]
    move = min(around, key=miss)
    return _told(belief, aim, float(move[0]), float(move[1]))


def _told(belief: ContactBelief, aim: Aim, pinion_mm: float, gear_mm: float) -> Move:
    centres, slopes = belief.centres(pinion_mm, gear_mm), belief.slopes(pinion_mm, gear_mm)
    rng = np.random.default_rng(2407)
    draws = rng.multivariate_normal(np.zeros(len(belief.at)), belief.covariance, DRAWS)
    off = centres - np.array(aim.centres) + draws @ slopes.T + MODEL_SD * rng.normal(size=(DRAWS, len(centres)))
    tolerance = np.array(aim.tolerances)
    chance = float((np.abs(off) <= tolerance).all(axis=1).mean())
    # What is left when pinion and ring gear are moved as is best for each draw: no setting takes that away.
    step = 0.02
    turn = np.stack(
        [
            (belief.centres(pinion_mm + step, gear_mm) - centres) / step,
            (belief.centres(pinion_mm, gear_mm + step) - centres) / step,
        ],
        axis=1,
    )
    left = off - off @ np.linalg.pinv(turn).T @ turn.T
    hopeless = float((np.abs(left) > tolerance).any(axis=1).mean())
    sds = np.sqrt(np.einsum("ij,jk,ik->i", slopes, belief.covariance, slopes) + MODEL_SD**2)
    return Move(pinion_mm, gear_mm, centres, sds, belief.backlash_mm(pinion_mm, gear_mm), chance, hopeless)
