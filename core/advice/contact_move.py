"""The move that brings both prints to where they should be: by pinion shim and by ring gear, backlash kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import minimize

from core.advice.contact_belief import ContactBelief
from core.advice.contact_fit import oddness
from core.advice.contact_hope import hopelessness
from core.advice.contact_model import ContactPrior, Floats
from core.advice.next_pair import Window

FARTHEST_MM = 0.5
"""No move is longer than this [mm]."""

DRAWS = 400
"""How many draws of the belief a chance is counted over."""

MODEL_SDS = (0.01, 0.02, 0.01, 0.02)
"""How far centres come to lie from where a set of just this geometry would have them, after a move, along and in depth
[shares of the tooth] (sets differ from their drawings; tried on the virtual sets)."""

EDGE_MM = 0.005
"""Backlash outside its limits weighs as much as a print one tolerance off for each of these [mm]."""

LITTLE = 0.002
"""What a move of 0.1 mm costs by itself, so that of two alike the shorter one is made."""

OFF_SHARE, LEAST_OFF_MM = 0.5, 0.01
"""Pieces that miss the best move by no more than this share of it, or by so much [mm], are near enough to be fitted."""

NEAREST = 2
"""So many places are tried on either side of the best one."""


@dataclass(frozen=True)
class Aim:
    """Where the centres are to lie, (drive along, drive depth, coast along, coast depth), each within a tolerance."""

    centres: tuple[float, float, float, float]
    tolerances: tuple[float, float, float, float]

    def is_met(self, centres: Floats) -> bool:
        """Tell whether all four centres lie within their tolerance."""
        return bool((np.abs(centres - np.array(self.centres)) <= np.array(self.tolerances)).all())


@dataclass(frozen=True)
class Reachable:
    """Where pinion and ring gear can be put with the pieces there are, against the first reading [mm].

    A gear without any place of its own, or with none near enough, is moved by its step.
    """

    pinion_mm: Sequence[float] = ()
    gear_mm: Sequence[float] = ()


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
    reachable: Reachable | None = None,
) -> Move:
    """Return the setting for prints that may be those of a set that is no good as it is.

    The move is the one of the likelier belief; its chance, and how hopeless it is, weigh both.

    Parameters
    ----------
    usual, odd : ContactBelief
        The same prints read as those of a sound set, and of one that is no good (`odd_prior`).
    aim, backlash, now, steps_mm, reachable
        As for `best_move`.
    """
    share = oddness(usual, odd)
    first, second = (odd, usual) if share > 0.5 else (usual, odd)
    move = best_move(first, aim, backlash, now, steps_mm, reachable)
    other = _told(second, aim, backlash, move.pinion_mm, move.gear_mm)
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
    reachable: Reachable | None = None,
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
    reachable : Reachable, optional
        Where the pieces there are would put them; without, both are moved by their steps.
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
    if reachable is not None:
        around = list(_with_pieces(belief.prior, best, start, steps_mm, reachable))
    move = min(around, key=miss)
    return _told(belief, aim, backlash, float(move[0]), float(move[1]))


def _with_pieces(
    prior: ContactPrior, best: Floats, start: Floats, steps_mm: tuple[float, float], reachable: Reachable
) -> Iterator[Floats]:
    """Yield the settings near the best one that pieces make; backlash the pinion's leave over is the ring gear's."""
    pinions_mm = _near(best[0], start[0], reachable.pinion_mm) or _stepped(best[0], start[0], steps_mm[0])
    wanted_mm = [best[1] - (at - best[0]) * prior.pinion_rate / prior.gear_rate for at in pinions_mm]
    made_mm = [_near(at, start[1], reachable.gear_mm) for at in wanted_mm]
    if not any(made_mm):
        made_mm = [_stepped(at, start[1], steps_mm[1]) for at in wanted_mm]
    for pinion_mm, gears_mm in zip(pinions_mm, made_mm, strict=True):
        for gear_mm in gears_mm:
            yield np.array([pinion_mm, gear_mm])


def _near(best_mm: float, start_mm: float, reachable_mm: Sequence[float]) -> list[float]:
    """Return the places nearest to the best one that pieces make [mm], and where it stands; none if none is near."""
    within_mm = max(OFF_SHARE * abs(best_mm - start_mm), LEAST_OFF_MM)
    there_mm = (start_mm, *reachable_mm) if len(reachable_mm) > 0 else ()
    near = sorted({at for at in there_mm if abs(at - best_mm) <= within_mm})
    below, above = [at for at in near if at <= best_mm], [at for at in near if at > best_mm]
    return below[-NEAREST:] + above[:NEAREST]


def _stepped(best_mm: float, start_mm: float, step_mm: float) -> list[float]:
    """Return the place nearest to the best one by steps from where it stands [mm], and its neighbours."""
    nearest_mm = start_mm + round((best_mm - start_mm) / step_mm) * step_mm
    return [nearest_mm - step_mm, nearest_mm, nearest_mm + step_mm]


def _told(belief: ContactBelief, aim: Aim, backlash: Window, pinion_mm: float, gear_mm: float) -> Move:
    at, target, tolerance = (pinion_mm, gear_mm), np.array(aim.centres), np.array(aim.tolerances)
    centres, slopes = belief.centres(*at), belief.slopes(*at)
    rng = np.random.default_rng(2407)
    off = belief.draws(rng, DRAWS) @ slopes.T + np.array(MODEL_SDS) * rng.normal(size=(DRAWS, len(centres)))
    chance = float((np.abs(centres + off - target) <= tolerance).all(axis=1).mean())
    hopeless = hopelessness(belief, target, tolerance, backlash, at, off)
    sds = np.sqrt(np.einsum("ij,jk,ik->i", slopes, belief.covariance, slopes) + np.array(MODEL_SDS) ** 2)
    return Move(pinion_mm, gear_mm, centres, sds, belief.backlash_mm(*at), chance, hopeless)
