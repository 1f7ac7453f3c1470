"""Select-fit rings, shims and adjuster nuts: what sits on each side of the carrier, and what moving it does.

One sign rule for every casing: thickness on the ring-gear side pushes the ring gear toward the pinion, thickness on
the opposite side pushes it away. It holds for outboard rings, for shims under the cup or under the cone, and for
adjuster nuts screwed in, because each of them drives its own bearing, and with it the carrier, toward the middle.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from core.errors import RangeError
from core.language import tr
from core.mechanics.checks import above, at_least, finite

LEFT = "left"
RIGHT = "right"
MOST_SPREAD_MM = 0.01
"""A ring whose places differ by more than this is not parallel: it tips the cup and lies about its thickness
(common practice)."""


@dataclass(frozen=True)
class RingPair:
    """What sits on both sides of the carrier [mm]: rings, shims or the travel of adjuster nuts."""

    ring_gear_side_mm: float
    opposite_side_mm: float

    @property
    def sum_mm(self) -> float:
        """Ring sum [mm]: both sides together; it fixes the preload."""
        return self.ring_gear_side_mm + self.opposite_side_mm

    @property
    def split_mm(self) -> float:
        """Split [mm]: ring-gear side minus opposite side; it fixes the backlash."""
        return self.ring_gear_side_mm - self.opposite_side_mm


@dataclass(frozen=True)
class Swap:
    """Which side gets the thinner and which the thicker ring: ``left`` or ``right``, seen from the pinion."""

    thinner: str
    thicker: str


def pair_from_sum(sum_mm: float, split_mm: float) -> RingPair:
    """Return the pair with a given sum and split.

    ring-gear side = (sum + split)/2, opposite side = (sum − split)/2.

    Parameters
    ----------
    sum_mm : float
        Both sides together [mm], above 0.
    split_mm : float
        Ring-gear side minus opposite side [mm], between −sum and +sum.

    Returns
    -------
    RingPair
        Thickness on both sides [mm].

    Raises
    ------
    RangeError
        For a sum not above 0 or a split that leaves nothing on one side.

    Examples
    --------
    >>> pair = pair_from_sum(5.05, 0.15)
    >>> round(pair.ring_gear_side_mm, 3), round(pair.opposite_side_mm, 3)
    (2.6, 2.45)
    """
    above("sum_mm", sum_mm, 0.0, "mm")
    return _checked(RingPair(0.5 * (sum_mm + split_mm), 0.5 * (sum_mm - split_mm)))


def swap(pair: RingPair, move_mm: float, preload_add_mm: float = 0.0) -> RingPair:
    """Return the pair that moves the ring gear and, if asked, adds preload.

    ring-gear side − move + add, opposite side + move + add. Without an addition the sum is kept.

    Parameters
    ----------
    pair : RingPair
        What is fitted now [mm].
    move_mm : float
        Move of the ring gear [mm]; positive takes it away from the pinion (more backlash).
    preload_add_mm : float
        Thickness added on **each** side [mm]; negative takes preload off.

    Returns
    -------
    RingPair
        What to fit [mm].

    Raises
    ------
    RangeError
        For values that are not numbers, or a move that leaves nothing on one side.

    Notes
    -----
    Source: TM 9-2320-289-34, Table 6-1 (inches there): 0.250 and 0.265, ring gear 0.010 away, 0.004 added on each
    side → 0.244 and 0.279.

    Examples
    --------
    >>> fitted = swap(RingPair(0.250, 0.265), 0.010, 0.004)
    >>> round(fitted.ring_gear_side_mm, 3), round(fitted.opposite_side_mm, 3)
    (0.244, 0.279)
    """
    finite("move_mm", move_mm)
    finite("preload_add_mm", preload_add_mm)
    return _checked(
        RingPair(
            pair.ring_gear_side_mm - move_mm + preload_add_mm,
            pair.opposite_side_mm + move_mm + preload_add_mm,
        )
    )


def move_between_mm(before: RingPair, after: RingPair) -> float:
    """Return how far the ring gear moved from one pair to another.

    Half the loss of split: move = (split before − split after)/2; positive is away from the pinion.

    Parameters
    ----------
    before, after : RingPair
        What was fitted, and what is fitted now [mm].

    Returns
    -------
    float
        Move of the ring gear [mm].

    Examples
    --------
    >>> round(move_between_mm(RingPair(2.52, 2.53), RingPair(2.60, 2.45)), 3)
    -0.08
    """
    return 0.5 * (before.split_mm - after.split_mm)


def partner_mm(sum_mm: float, thickness_mm: float) -> float:
    """Return the thickness the other side needs so that the sum stays.

    Parameters
    ----------
    sum_mm : float
        Ring sum that preload fixed [mm].
    thickness_mm : float
        What is on one side [mm], thinner than the sum.

    Returns
    -------
    float
        What the other side needs [mm].

    Raises
    ------
    RangeError
        For a thickness below 0 or above the sum.

    Examples
    --------
    >>> round(partner_mm(5.05, 2.60), 3)
    2.45
    """
    above("sum_mm", sum_mm, 0.0, "mm")
    if not 0.0 <= thickness_mm <= sum_mm:
        raise RangeError("thickness_mm", thickness_mm, tr("from 0 to the ring sum of {sum:g} mm", sum=sum_mm))
    return sum_mm - thickness_mm


def swap_for_backlash(*, is_too_little: bool, ring_gear_side: str) -> Swap:
    """Return which side gets the thinner ring when backlash is too little or too much.

    Too little: the ring gear goes away from the pinion, so the ring-gear side gets the thinner ring. Too much: it goes
    toward the pinion, so the ring-gear side gets the thicker one. What comes off one side goes on the other.

    Parameters
    ----------
    is_too_little : bool
        True for too little backlash, False for too much.
    ring_gear_side : str
        ``left`` or ``right``, seen from the pinion.

    Returns
    -------
    Swap
        Side for the thinner and side for the thicker ring.

    Raises
    ------
    ValueError
        For a side that is neither.

    Examples
    --------
    >>> swap_for_backlash(is_too_little=True, ring_gear_side="left")
    Swap(thinner='left', thicker='right')
    """
    if ring_gear_side not in (LEFT, RIGHT):
        raise ValueError(f"ring_gear_side is {ring_gear_side!r}, not left or right")
    opposite_side = RIGHT if ring_gear_side == LEFT else LEFT
    return Swap(ring_gear_side, opposite_side) if is_too_little else Swap(opposite_side, ring_gear_side)


def nut_travel_mm(notches: float, thread_pitch_mm: float, notches_per_turn: int) -> float:
    """Return how far an adjuster nut drives its bearing.

    travel = notches x pitch/notches in a turn; screwed in is positive and counts like added thickness.

    Parameters
    ----------
    notches : float
        Notches turned [-], positive inward.
    thread_pitch_mm : float
        Pitch of the nut's thread [mm], above 0.
    notches_per_turn : int
        Notches around the nut, 1 or more.

    Returns
    -------
    float
        Travel [mm].

    Raises
    ------
    RangeError
        For a pitch not above 0, no notches, or a turn that is not a number.

    Examples
    --------
    >>> nut_travel_mm(3, 1.5, 18)
    0.25
    """
    finite("notches", notches)
    above("thread_pitch_mm", thread_pitch_mm, 0.0, "mm")
    at_least("notches_per_turn", notches_per_turn, 1)
    return notches * thread_pitch_mm / notches_per_turn


def nut_notches(travel_mm: float, thread_pitch_mm: float, notches_per_turn: int) -> float:
    """Return how many notches an adjuster nut must be turned: the inverse of `nut_travel_mm`.

    The lock only takes whole notches; who rounds, rounds both nuts so that what one gives the other takes.

    Parameters
    ----------
    travel_mm : float
        Travel wanted [mm], positive inward.
    thread_pitch_mm, notches_per_turn
        As for `nut_travel_mm`.

    Returns
    -------
    float
        Notches, not rounded [-].

    Raises
    ------
    RangeError
        As `nut_travel_mm`.

    Examples
    --------
    >>> nut_notches(0.25, 1.5, 18)
    3.0
    """
    return finite("travel_mm", travel_mm) / nut_travel_mm(1.0, thread_pitch_mm, notches_per_turn)


def is_parallel(places_mm: Sequence[float]) -> bool:
    """Tell whether a ring is as thick all around as a ring must be: its places differ by `MOST_SPREAD_MM` at most.

    Parameters
    ----------
    places_mm : sequence of float
        Thickness at several places around the ring [mm].

    Returns
    -------
    bool
        False where the places differ by more; fewer than two say nothing against it.

    Notes
    -----
    Common practice; no published source.

    Examples
    --------
    >>> is_parallel([2.516, 2.518, 2.517]), is_parallel([2.516, 2.531])
    (True, False)
    """
    # Rounded far below any gauge, so that a ring exactly on the edge passes in every unit of entry.
    return len(places_mm) < 2 or round(max(places_mm) - min(places_mm) - MOST_SPREAD_MM, 9) <= 0


def stack_tolerance_mm(tolerances_mm: Iterable[float]) -> tuple[float, float]:
    """Return how far a stack of parts may be off: at worst, and as a rule.

    Worst case: the sum of the ± tolerances. As a rule: the root of the sum of squares, for independent parts.

    Parameters
    ----------
    tolerances_mm : iterable of float
        ± tolerance of each part [mm], not negative.

    Returns
    -------
    tuple of float
        Worst case and root sum of squares [mm].

    Raises
    ------
    RangeError
        For a negative tolerance.

    Examples
    --------
    >>> [round(value, 3) for value in stack_tolerance_mm([0.03, 0.04])]
    [0.07, 0.05]
    """
    parts = [at_least("tolerance_mm", tolerance, 0.0, "mm") for tolerance in tolerances_mm]
    return math.fsum(parts), math.hypot(*parts)


def spacer_mm(old_flange_height_mm: float, new_flange_height_mm: float, old_spacer_mm: float = 0.0) -> float:
    """Return the spacer that puts the ring gear where it was on a carrier with another flange.

    t_new = t_old + h_old − h_new, with h from the ring-gear-side bearing's shoulder to the face the ring gear sits on,
    counted toward the middle of the casing, and the bearing in the same place in the casing.

    Parameters
    ----------
    old_flange_height_mm, new_flange_height_mm : float
        h of the carrier that came out and of the one that goes in [mm].
    old_spacer_mm : float
        Spacer found on the old carrier [mm], 0 where there was none.

    Returns
    -------
    float
        Thickness of the spacer to fit [mm], 0 where none is needed.

    Raises
    ------
    RangeError
        For a negative size, or a new flange that already stands too far in for any spacer.

    Notes
    -----
    Plain geometry; no published source. The pair of side-bearing shoulders may also stand wider or narrower on the new
    carrier: that changes the ring sum, so preload is set anew.

    Examples
    --------
    >>> round(spacer_mm(41.35, 38.15), 2)
    3.2
    """
    at_least("old_flange_height_mm", old_flange_height_mm, 0.0, "mm")
    at_least("new_flange_height_mm", new_flange_height_mm, 0.0, "mm")
    reach_mm = old_flange_height_mm + at_least("old_spacer_mm", old_spacer_mm, 0.0, "mm")
    if new_flange_height_mm > reach_mm:
        raise RangeError("new_flange_height_mm", new_flange_height_mm, tr("{most:g} mm or less", most=reach_mm))
    return reach_mm - new_flange_height_mm


def _checked(pair: RingPair) -> RingPair:
    """Return a pair with something on both sides, or refuse it."""
    at_least("ring_gear_side_mm", pair.ring_gear_side_mm, 0.0, "mm")
    at_least("opposite_side_mm", pair.opposite_side_mm, 0.0, "mm")
    return pair
