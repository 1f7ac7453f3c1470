"""An answer at the bench, and how a pair of rings is named in it."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from core.facts import LEFT, Part, SpecCard
from core.language import tr
from core.mechanics.rings import RingPair
from core.quantities import show

HAIR_MM = 1e-9
"""Far below any gauge: what sorting by size must not lose to rounding."""


@dataclass(frozen=True)
class Advice:
    """What to do, and why: `title` in a few words, `text` the thing to do, `why` the reason in one sentence.

    `wanted` is the pair to try next, where the answer is a pair.
    """

    title: str
    text: str
    why: str = ""
    wanted: RingPair | None = None


def side_words(card: SpecCard, *, is_ring_gear_side: bool) -> str:
    """Return a side in words, with where it lies seen from the pinion."""
    is_left = (card.ring_gear_side == LEFT) == is_ring_gear_side
    where = tr("left") if is_left else tr("right")
    if is_ring_gear_side:
        return tr("the ring-gear side ({where})", where=where)
    return tr("the opposite side ({where})", where=where)


def nearest_pair(parts: Sequence[Part], wanted: RingPair, tolerance_mm: float) -> tuple[Part, Part] | None:
    """Return the two pieces of the drawer that come closest to a pair, ring-gear side first.

    The sum must lie within `tolerance_mm` [mm] of the wanted one; among those the split decides. One piece cannot
    sit on both sides. None where the drawer has no such pair.
    """
    there = sorted(((t, part) for part in parts if part.count > 0 and (t := part.thickness_mm) is not None), key=_thin)
    sizes_mm = [thickness_mm for thickness_mm, _ in there]
    best: tuple[float, Part, Part] | None = None
    for one_mm, one in there:
        # Only the partners that keep the sum are looked at: a drawer of hundreds has tens of thousands of pairs.
        partner_mm = wanted.sum_mm - one_mm
        first = bisect_left(sizes_mm, partner_mm - tolerance_mm - HAIR_MM)
        last = bisect_right(sizes_mm, partner_mm + tolerance_mm + HAIR_MM)
        for other_mm, other in there[first:last]:
            if (one is other and one.count < 2) or abs(one_mm + other_mm - wanted.sum_mm) > tolerance_mm:
                continue
            miss_mm = abs(one_mm - wanted.ring_gear_side_mm) + abs(other_mm - wanted.opposite_side_mm)
            if best is None or miss_mm < best[0]:
                best = miss_mm, one, other
    return None if best is None else best[1:]


def _thin(piece: tuple[float, Part]) -> float:
    return piece[0]


def fit_sentence(card: SpecCard, wanted: RingPair, parts: Sequence[Part], tolerance_mm: float, unit: str) -> str:
    """Say which pair to fit: the wanted thicknesses, and the pieces of the drawer that come closest."""

    def size(thickness_mm: float) -> str:
        return show("length", thickness_mm, unit)

    ideal = tr(
        "Fit {one} on {side} and {other} on {opposite}.",
        one=size(wanted.ring_gear_side_mm),
        side=side_words(card, is_ring_gear_side=True),
        other=size(wanted.opposite_side_mm),
        opposite=side_words(card, is_ring_gear_side=False),
    )
    found = nearest_pair(parts, wanted, tolerance_mm)
    if found is None:
        return ideal + " " + tr("The drawer has no such pair.")
    one, other = found
    return (
        ideal
        + " "
        + tr(
            "Nearest in the drawer: {one} from {one_place} and {other} from {other_place}.",
            one=size(one.thickness_mm or 0.0),
            one_place=one.place,
            other=size(other.thickness_mm or 0.0),
            other_place=other.place,
        )
    )
