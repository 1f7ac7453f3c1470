"""What if: where the prints would go if pinion and ring gear were moved, and the backlash, shim and rings for it.

Nothing is decided here and nothing is written: a setting is asked for and answered within some milliseconds, so that
somebody can move the gears on the screen and watch.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from core.advice.contact import LEAST_MM, move_for
from core.advice.contact_belief import Floats
from core.advice.contact_move import MODEL_SD
from core.advice.contact_seen import COAST, DRIVE, ContactSeen, accepted_backlash_mm, look, prints_of, side_of, unseen
from core.advice.same_sum import Nearest, SameSum, pairs_of_same_sum
from core.advice.seen import Known
from core.facts import Limit, Part
from core.mechanics.contact import Flank
from core.mechanics.outline import Ring
from core.stages import backlash
from core.stages.card import is_set_by_nuts
from core.stages.contact_pattern import KEY
from core.stages.context import Context
from core.stages.preload import ACCEPT
from core.verdict import Answer

REACH_MM = 0.5
"""So far either gear is moved from where it stands [mm]."""

KNOTS_MM = (-0.3, 0.0, 0.3)
"""Moves at which it is worked out what the prints hang on; between them it changes so evenly that a parabola does."""

OFF_SHARE = 0.5
"""A pair of the drawer is named where it misses a move by no more than this share of it, or the shortest move."""

LEAST_SAID_MM = 0.0005
"""A shorter move is none that anybody could read."""


@dataclass(frozen=True)
class Expected:
    """The print to be expected on one side's flank, as shares of the tooth.

    `along_doubt` and `depth_doubt` are two standard deviations of the centre; `runs_off` names the edges it runs off.
    """

    side: str
    along: float
    depth: float
    along_doubt: float
    depth_doubt: float
    rings: tuple[Ring, ...]
    runs_off: tuple[str, ...]


@dataclass(frozen=True)
class Fit:
    """Pieces that move the ring gear so far away from the pinion [mm] at the same ring sum, ring-gear side first.

    `parts` are those of the drawer, None where nuts are turned: then `notches` says where they stand.
    """

    thickness_mm: tuple[float, float]
    moves_mm: float
    parts: tuple[Part, Part] | None
    notches: tuple[int, int] | None


@dataclass(frozen=True)
class After:
    """What is to be expected of one setting.

    Attributes
    ----------
    pinion_mm, gear_mm : float
        The setting, against where the gears stand now; positive away from the other gear.
    prints : tuple of Expected
        Drive, then coast.
    backlash_mm : float
        Mean backlash, to the thousandth.
    backlash : Answer
        Whether it lies within the limits; missing where the card gives none.
    shim_change_mm, shim_mm : float or None
        How much thicker the pinion's shim would be, and how thick; None where it is not known which way it works, and
        where the one that is in was never measured. No shim is thinner than nothing: then `shim_mm` is not above 0.
    fit : Fit or None
        What to fit; None where nothing of the drawer comes near, and before a trial of backlash was accepted.
    """

    pinion_mm: float
    gear_mm: float
    prints: tuple[Expected, Expected]
    backlash_mm: float
    backlash: Answer
    shim_change_mm: float | None
    shim_mm: float | None
    fit: Fit | None


@dataclass(frozen=True, eq=False)
class WhatIf:
    """One job's contact, ready to be asked for any setting; made by `what_if`.

    Attributes
    ----------
    seen : ContactSeen
        What the prints say, or without any what the card says of the set.
    sides : mapping
        Which side each flank of the ring gear is in this unit.
    is_backlash_read : bool
        Whether backlash was read where the first prints were taken, or before.
    limit : Limit or None
        What the backlash answers to.
    shim_now_mm : float or None
        The pinion's shim as it was measured last.
    advised : tuple of float or None
        The computed move from where the gears stand [mm]; None before both flanks were read, and once accepted.
    unit : str
        Id of the unit lengths of this job were read in last; "" where none was read.
    """

    seen: ContactSeen
    sides: Mapping[Flank, str]
    is_backlash_read: bool
    limit: Limit | None
    shim_now_mm: float | None
    same_sum: SameSum | None
    parts: Mapping[int, Part]
    is_set_by_nuts: bool
    unit: str
    advised: tuple[float, float] | None
    slopes: Floats

    @property
    def trial(self) -> int:
        """The trial whose prints were read last; 0 where none was read on both flanks."""
        return self.seen.trials[-1] if self.seen.trials else 0

    @property
    def reach_mm(self) -> float:
        """How far either gear may be moved [mm]: so far that the advised move is within it."""
        farthest = max((abs(move) for move in self.advised or ()), default=0.0)
        return max(REACH_MM, math.ceil(10.0 * farthest) / 10.0)

    def after(self, pinion_mm: float, gear_mm: float) -> After:
        """Return what is to be expected of a setting.

        Parameters
        ----------
        pinion_mm, gear_mm : float
            How far pinion and ring gear are moved away from each other from where they stand now [mm].

        Raises
        ------
        RangeError
            For a setting so far off that no print can be computed.
        """
        belief = self.seen.belief
        pinion, gear = self.seen.pinion_now_mm + pinion_mm, self.seen.gear_now_mm + gear_mm
        doubts = 2.0 * self._sds(pinion_mm, gear_mm).reshape(2, 2)
        found = {}
        for flank, doubt in zip(Flank, doubts.tolist(), strict=True):
            patch, side = belief.print_on(flank, pinion, gear), self.sides[flank]
            along, depth = belief.centre_of(flank, patch)
            rings = belief.outline_on(flank, pinion, gear)
            found[side] = Expected(side, along, depth, doubt[0], doubt[1], rings, patch.runs_off)
        # As it is shown, so that no number beside its verdict contradicts it.
        backlash_mm = round(self.backlash_mm(pinion_mm, gear_mm), 3) + 0.0
        change_mm = None if self.seen.shim_sign is None else self.seen.shim_sign * pinion_mm + 0.0
        now_mm = self.shim_now_mm
        return After(
            pinion_mm,
            gear_mm,
            (found[DRIVE], found[COAST]),
            backlash_mm,
            _answer(backlash_mm, self.limit),
            change_mm,
            None if change_mm is None or now_mm is None else now_mm + change_mm,
            self._fit(gear_mm),
        )

    def backlash_mm(self, pinion_mm: float, gear_mm: float) -> float:
        """Return the backlash after a move [mm]."""
        seen = self.seen
        return seen.belief.backlash_mm(seen.pinion_now_mm + pinion_mm, seen.gear_now_mm + gear_mm)

    def gear_for(self, backlash_mm: float, pinion_mm: float) -> float:
        """Return how far the ring gear is to be moved for a backlash, with the pinion moved so far [mm]."""
        return (backlash_mm - self.backlash_mm(pinion_mm, 0.0)) / self.seen.belief.prior.gear_rate

    def _sds(self, pinion_mm: float, gear_mm: float) -> Floats:
        """Return how well the four centres after a move are known."""
        across = np.einsum("i,j,ijkl->kl", _weights(pinion_mm), _weights(gear_mm), self.slopes)
        spread = np.einsum("ij,jk,ik->i", across, self.seen.belief.covariance, across)
        return np.asarray(np.sqrt(spread + MODEL_SD**2))

    def _fit(self, gear_mm: float) -> Fit | None:
        if self.same_sum is None:
            return None
        found = self.same_sum.nearest(gear_mm, max(OFF_SHARE * abs(gear_mm), LEAST_MM))
        # The pair that is in is no answer to a move.
        return None if found is None or abs(found.moves_mm) < LEAST_SAID_MM else self._told(found)

    def _told(self, found: Nearest) -> Fit:
        sizes = (found.pair.ring_gear_side_mm, found.pair.opposite_side_mm)
        if self.is_set_by_nuts:
            return Fit(sizes, found.moves_mm, None, found.pieces)
        one, other = (self.parts[key] for key in found.pieces)
        return Fit(sizes, found.moves_mm, (one, other), None)


def what_if(context: Context, known: Known) -> WhatIf:
    """Return a job's contact, ready to be asked for any setting.

    Parameters
    ----------
    context : Context
        The job.
    known : Known
        The drawer.

    Raises
    ------
    RangeError
        The card gives sizes that no set can have.
    """
    seen = look(context) or unseen(context)
    trials = [trial for trial in context.trials(KEY) if not seen.trials or trial <= seen.trials[-1]]
    shims = [context.value(KEY, "pinion_shim", trial=trial) for trial in trials]
    now = seen.pinion_now_mm, seen.gear_now_mm
    is_accepted = context.accepted_trial(KEY, ACCEPT) is not None
    return WhatIf(
        seen,
        {flank: side_of(context, flank) for flank in Flank},
        _is_backlash_read(context, seen),
        context.card.limits.get("backlash"),
        next((shim for shim in reversed(shims) if shim is not None), None),
        pairs_of_same_sum(context, known),
        {part.id: part for part in known.parts},
        is_set_by_nuts(context.job),
        _unit(context),
        None if is_accepted or not seen.trials else _advised(context, seen),
        np.array([[seen.belief.slopes(now[0] + pinion, now[1] + gear) for gear in KNOTS_MM] for pinion in KNOTS_MM]),
    )


def _advised(context: Context, seen: ContactSeen) -> tuple[float, float]:
    prints = prints_of(context, seen.trials[-1])
    here = np.array([share for flank in Flank for share in (prints[flank].along, prints[flank].depth)])
    if seen.aim.is_met(here):
        return 0.0, 0.0
    move = move_for(context, seen)
    return move.pinion_mm - seen.pinion_now_mm, move.gear_mm - seen.gear_now_mm


def _is_backlash_read(context: Context, seen: ContactSeen) -> bool:
    """Tell whether a backlash is known where the gears stood at first; every later one counts from it."""
    if seen.trials and context.value(KEY, "backlash_now", trial=seen.trials[0]) is not None:
        return True
    return accepted_backlash_mm(context) is not None


def _unit(context: Context) -> str:
    """Return the unit in which backlash or a pinion shim was read last, "" where none was."""
    lengths = ("backlash_now", "pinion_shim", "backlash")
    read = [
        reading
        for (stage, entry, _, _), reading in context.current.items()
        if stage in (KEY, backlash.KEY) and entry in lengths and reading.unit
    ]
    return max(read, key=lambda reading: reading.id).unit if read else ""


def _weights(move_mm: float) -> Floats:
    """Return what each knot counts at a move: the parabola through three (Lagrange); beyond them the nearest holds."""
    low, middle, high = KNOTS_MM
    at = min(max(move_mm, low), high)
    return np.array(
        [
            (at - middle) * (at - high) / ((low - middle) * (low - high)),
            (at - low) * (at - high) / ((middle - low) * (middle - high)),
            (at - low) * (at - middle) / ((high - low) * (high - middle)),
        ]
    )


def _answer(value: float, limit: Limit | None) -> Answer:
    if limit is None or (limit.low is None and limit.high is None):
        return Answer.MISSING
    is_low = limit.low is not None and value < round(limit.low, 9)
    is_high = limit.high is not None and value > round(limit.high, 9)
    return Answer.DOES_NOT_CONFORM if is_low or is_high else Answer.CONFORMS
