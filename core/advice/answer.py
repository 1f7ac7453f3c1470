"""An answer at the bench, and how a pair of rings is named in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from core.facts import LEFT, Ring, SpecCard
from core.language import tr
from core.mechanics.rings import RingPair
from core.quantities import show


@dataclass(frozen=True)
class Advice:
    """What to do, and why: `title` in a few words, `text` the thing to do, `why` the reason in one sentence."""

    title: str
    text: str
    why: str = ""


def side_words(card: SpecCard, *, is_ring_gear_side: bool) -> str:
    """Return a side in words, with where it lies seen from the pinion."""
    is_left = (card.ring_gear_side == LEFT) == is_ring_gear_side
    where = tr("left") if is_left else tr("right")
    if is_ring_gear_side:
        return tr("the ring-gear side ({where})", where=where)
    return tr("the opposite side ({where})", where=where)


def nearest_pair(rings: Sequence[Ring], wanted: RingPair, tolerance_mm: float) -> tuple[Ring, Ring] | None:
    """Return the two pieces of the drawer that come closest to a pair, ring-gear side first.

    The sum must lie within `tolerance_mm` [mm] of the wanted one; among those the split decides. One piece cannot
    sit on both sides. None where the drawer has no such pair.
    """
    there = [ring for ring in rings if ring.count > 0]
    pairs = [
        (one, other)
        for one, other in product(there, repeat=2)
        if (one.id != other.id or one.count > 1)
        and abs(one.thickness_mm + other.thickness_mm - wanted.sum_mm) <= tolerance_mm
    ]

    def miss(pair: tuple[Ring, Ring]) -> float:
        return abs(pair[0].thickness_mm - wanted.ring_gear_side_mm) + abs(
            pair[1].thickness_mm - wanted.opposite_side_mm
        )

    return min(pairs, key=miss, default=None)


def fit_sentence(card: SpecCard, wanted: RingPair, rings: Sequence[Ring], tolerance_mm: float, unit: str) -> str:
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
    found = nearest_pair(rings, wanted, tolerance_mm)
    if found is None:
        return ideal + " " + tr("The drawer has no such pair.")
    one, other = found
    return (
        ideal
        + " "
        + tr(
            "Nearest in the drawer: {one} from {one_place} and {other} from {other_place}.",
            one=size(one.thickness_mm),
            one_place=one.place,
            other=size(other.thickness_mm),
            other_place=other.place,
        )
    )
