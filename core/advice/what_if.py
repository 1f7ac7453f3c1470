"""What if: where the prints would go if pinion and ring gear were moved, and the backlash, shim and rings for it.

Nothing is decided here and nothing is written: a setting is asked for and answered within some milliseconds, so that
somebody can move the gears on the screen and watch.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from core.advice.contact import move_for
from core.advice.contact_belief import ContactBelief
from core.advice.contact_fit import oddness
from core.advice.contact_model import CREST, OWN, Floats
from core.advice.contact_seen import COAST, DRIVE, ContactSeen, accepted_backlash_mm, look, prints_of, side_of, unseen
from core.advice.pinion_shims import pinion_shims
from core.advice.same_sum import pairs_of_same_sum
from core.advice.seen import Known, contact_unit
from core.advice.what_if_own import Own, own_of
from core.advice.what_if_pieces import Fit, Pieces, Under
from core.facts import Limit
from core.mechanics.contact import Flank, Patch
from core.mechanics.outline import Point, Ring, extents
from core.stages.card import is_set_by_nuts
from core.stages.contact_pattern import KEY, pinion_shim_mm, shim_trial
from core.stages.context import Context
from core.stages.preload import ACCEPT
from core.verdict import Answer

REACH_MM = 0.5
"""So far either gear is moved from where it stands [mm]."""

KNOTS = (-1.0, -0.6, -0.3, 0.0, 0.3, 0.6, 1.0)
"""Moves at which it is worked out beforehand what the prints hang on, as shares of the reach. Between them the doubt is
within a tenth of its own nine times in ten, on random sets; a parabola through three was off by half as much again."""


@dataclass(frozen=True)
class Expected:
    """The print to be expected on one side's flank, as shares of the tooth: as the belief has it, where the set prints.

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
        Whether it lies within the limits; missing where the card gives none, and where no backlash was read.
    shim_change_mm, shim_mm : float or None
        How much thicker the pinion's shim would be, and how thick; None where it is not known which way it works, and
        where the one that is in was never measured. No shim is thinner than nothing: then `shim_mm` is not above 0.
    fit : Fit or None
        What to fit; None where nothing of the drawer comes near, and before a trial of backlash was accepted.
    under : Under or None
        What to lay under the pinion; None where nothing of the drawer comes near, and where it is not known what lies
        there.
    """

    pinion_mm: float
    gear_mm: float
    prints: tuple[Expected, Expected]
    backlash_mm: float
    backlash: Answer
    shim_change_mm: float | None
    shim_mm: float | None
    fit: Fit | None
    under: Under | None


@dataclass(frozen=True, eq=False)
class WhatIf:
    """One job's contact, ready to be asked for any setting; made by `what_if`.

    Attributes
    ----------
    seen : ContactSeen
        What the prints say, or without any what the card says of the set.
    belief : ContactBelief
        The likelier of what they say of a sound set and of one that is no good as it is, as in the advice.
    own : Own
        What of the prints is the set's own.
    sides : mapping
        Which side each flank of the ring gear is in this unit.
    is_backlash_read : bool
        Whether backlash was read where the first prints were taken, or before.
    limit : Limit or None
        What the backlash answers to.
    shim_now_mm : float or None
        The pinion's shim as it was measured last.
    pieces : Pieces
        What the drawer has for a move.
    advised : tuple of float or None
        The computed move from where the gears stand [mm]; None before both flanks were read, and once accepted.
    unit : str
        Id of the unit lengths of this job were read in last; "" where none was read.
    slopes : array, shape (k, k, 4, m)
        How the centres hang on the unknowns at the knots, pinion first.
    """

    seen: ContactSeen
    belief: ContactBelief
    own: Own
    sides: Mapping[Flank, str]
    is_backlash_read: bool
    limit: Limit | None
    shim_now_mm: float | None
    pieces: Pieces
    advised: tuple[float, float] | None
    unit: str
    slopes: Floats

    @property
    def trial(self) -> int:
        """The trial whose prints were read last; 0 where none was read."""
        return self.seen.trials[-1] if self.seen.trials else 0

    @property
    def centres_read(self) -> dict[str, Point]:
        """The centres read last, by side: of no, one or both flanks."""
        prints = self.seen.readings[-1].prints if self.seen.readings else {}
        return {self.sides[flank]: (seen.along, seen.depth) for flank, seen in prints.items()}

    @property
    def boxes(self) -> dict[str, Ring]:
        """Where the centres are to lie, by side."""
        aim, found = self.seen.aim, {}
        for at, flank in enumerate(Flank):
            (along, depth), (across, up) = (part[2 * at : 2 * at + 2] for part in (aim.centres, aim.tolerances))
            ways = ((-1, -1), (1, -1), (1, 1), (-1, 1))
            found[self.sides[flank]] = tuple((along + one * across, depth + other * up) for one, other in ways)
        return found

    @property
    def reach_mm(self) -> float:
        """How far either gear may be moved [mm]: so far that the advised move is within it."""
        return _reach_mm(self.advised)

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
        pinion, gear = self.seen.pinion_now_mm + pinion_mm, self.seen.gear_now_mm + gear_mm
        slopes = self._slopes(pinion_mm, gear_mm)
        offs, sds = self.own.after(pinion_mm, gear_mm, slopes)
        belief = _shifted(self.belief, offs, slopes)
        found = {}
        for flank, doubt in zip(Flank, (2.0 * sds).reshape(2, 2).tolist(), strict=True):
            patch, side = belief.print_on(flank, pinion, gear), self.sides[flank]
            along, depth = belief.centre(flank, pinion, gear)
            rings = belief.outline_on(flank, pinion, gear)
            found[side] = Expected(side, along, depth, doubt[0], doubt[1], rings, _edges(patch, rings))
        # As it is shown, so that no number beside its verdict contradicts it.
        backlash_mm = round(self.backlash_mm(pinion_mm, gear_mm), 3) + 0.0
        change_mm = None if self.seen.shim_sign is None else self.seen.shim_sign * pinion_mm + 0.0
        now_mm = self.shim_now_mm
        return After(
            pinion_mm,
            gear_mm,
            (found[DRIVE], found[COAST]),
            backlash_mm,
            _answer(backlash_mm, self.limit if self.is_backlash_read else None),
            change_mm,
            None if change_mm is None or now_mm is None else now_mm + change_mm,
            self.pieces.fit(gear_mm),
            self.pieces.under(pinion_mm),
        )

    def backlash_mm(self, pinion_mm: float, gear_mm: float) -> float:
        """Return the backlash after a move [mm]."""
        seen = self.seen
        return self.belief.backlash_mm(seen.pinion_now_mm + pinion_mm, seen.gear_now_mm + gear_mm)

    def gear_for(self, backlash_mm: float, pinion_mm: float) -> float:
        """Return how far the ring gear is to be moved for a backlash, with the pinion moved so far [mm]."""
        return (backlash_mm - self.backlash_mm(pinion_mm, 0.0)) / self.belief.prior.gear_rate

    def _slopes(self, pinion_mm: float, gear_mm: float) -> Floats:
        """Return how the centres after a move hang on the unknowns, (4, m)."""
        weights = (_weights(move_mm / self.reach_mm) for move_mm in (pinion_mm, gear_mm))
        return np.asarray(np.einsum("i,j,ijkl->kl", *weights, self.slopes))


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
    seen = look(context, known.scatter) or unseen(context, known.scatter)
    belief = seen.odd if oddness(seen.belief, seen.odd) > 0.5 else seen.belief
    now = seen.pinion_now_mm, seen.gear_now_mm
    prints = seen.readings[-1].prints if seen.readings else {}
    is_accepted = context.accepted_trial(KEY, ACCEPT) is not None
    advised = None if is_accepted or len(prints) < len(Flank) else _advised(context, known, seen)
    knots_mm = [share * _reach_mm(advised) for share in KNOTS]
    measured = shim_trial(context, seen.trials[-1] if seen.trials else max(context.trials(KEY), default=0))
    return WhatIf(
        seen,
        belief,
        own_of(belief, seen.readings, now),
        {flank: side_of(context, flank) for flank in Flank},
        _is_backlash_read(context, seen),
        context.card.limits.get("backlash"),
        None if measured is None else pinion_shim_mm(context, measured),
        Pieces(
            pairs_of_same_sum(context, known),
            {part.id: part for part in known.parts},
            is_set_by_nuts(context.job),
            pinion_shims(context, known, seen),
        ),
        advised,
        contact_unit(context),
        np.array([[belief.slopes(now[0] + pinion, now[1] + gear) for gear in knots_mm] for pinion in knots_mm]),
    )


def _advised(context: Context, known: Known, seen: ContactSeen) -> tuple[float, float]:
    prints = prints_of(context, seen.trials[-1])
    here = np.array([share for flank in Flank for share in (prints[flank].along, prints[flank].depth)])
    if seen.aim.is_met(here):
        return 0.0, 0.0
    move = move_for(context, known, seen)
    return move.pinion_mm - seen.pinion_now_mm, move.gear_mm - seen.gear_now_mm


def _is_backlash_read(context: Context, seen: ContactSeen) -> bool:
    """Tell whether a backlash is known where the gears stood at first; every later one counts from it."""
    if seen.trials and context.value(KEY, "backlash_now", trial=seen.trials[0]) is not None:
        return True
    return accepted_backlash_mm(context) is not None


def _reach_mm(advised: tuple[float, float] | None) -> float:
    farthest = max((abs(move) for move in advised or ()), default=0.0)
    return max(REACH_MM, math.ceil(10.0 * farthest) / 10.0)


def _shifted(belief: ContactBelief, offs: Floats, slopes: Floats) -> ContactBelief:
    """Return what is believed with each flank's crest so much further off [shares of the tooth].

    What the sizes known only as a band take the centres off is put there too: a print of each would take its time.
    """
    at = belief.at.copy()
    at[CREST:OWN] += (offs + slopes[:, OWN:] @ at[OWN:]) / belief.model.sds[CREST:OWN]
    at[OWN:] = 0.0
    return replace(belief, at=at)


def _edges(patch: Patch, rings: tuple[Ring, ...]) -> tuple[str, ...]:
    """Return the edges a print runs off: by the model, or as it is drawn, its crest off the middle."""
    low, high = extents(rings)
    drawn = {"toe": low[0] <= 0.0, "heel": high[0] >= 1.0, "root": low[1] <= 0.0, "tip": high[1] >= 1.0}
    return tuple(edge for edge, is_reached in drawn.items() if is_reached or edge in patch.runs_off)


def _weights(share: float) -> Floats:
    """Return what each knot counts at a share of the reach: straight from one to the next."""
    return np.array([np.interp(share, KNOTS, knot) for knot in np.eye(len(KNOTS))])


def _answer(value: float, limit: Limit | None) -> Answer:
    if limit is None or (limit.low is None and limit.high is None):
        return Answer.MISSING
    is_low = limit.low is not None and value < round(limit.low, 9)
    is_high = limit.high is not None and value > round(limit.high, 9)
    return Answer.DOES_NOT_CONFORM if is_low or is_high else Answer.CONFORMS
