"""Pairs from the drawer: the nearest with the right sum, and never one piece on both sides."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.advice.answer import fit_sentence, nearest_pair, side_words
from core.errors import NotFoundError
from core.facts import CardFact, Part
from core.mechanics.rings import RingPair

Paper = Callable[..., Any]


def rings(*sizes_mm: float, count: int = 1) -> list[Part]:
    return [Part(i, "ring", "", f"A{i}", size, count) for i, size in enumerate(sizes_mm, start=1)]


def test_the_pair_nearest_to_the_split_is_taken_ring_gear_side_first() -> None:
    one, other = nearest_pair(rings(2.44, 2.45, 2.60, 2.61), RingPair(2.60, 2.45), 0.005)  # type: ignore[misc]
    assert (one.thickness_mm, other.thickness_mm) == (2.60, 2.45)
    one, other = nearest_pair(rings(2.44, 2.45, 2.60, 2.61), RingPair(2.45, 2.60), 0.005)  # type: ignore[misc]
    assert (one.thickness_mm, other.thickness_mm) == (2.45, 2.60)


def test_the_measured_thickness_counts_not_the_stamped_one() -> None:
    drawer = [
        Part(1, "ring", "", "A1", 2.60, 1, measured_mm=(2.57,)),
        Part(2, "ring", "", "A2", 2.58, 1, measured_mm=(2.60,)),
        Part(3, "ring", "", "B1", 2.45, 1),
    ]
    one, _ = nearest_pair(drawer, RingPair(2.60, 2.45), 0.01)  # type: ignore[misc]
    assert one.place == "A2"


def test_one_piece_never_sits_on_both_sides() -> None:
    assert nearest_pair(rings(2.50), RingPair(2.50, 2.50), 0.01) is None
    one, other = nearest_pair(rings(2.50, count=2), RingPair(2.50, 2.50), 0.01)  # type: ignore[misc]
    assert one is other


def test_a_place_that_is_empty_offers_nothing() -> None:
    assert nearest_pair(rings(2.50, 2.52, count=0), RingPair(2.50, 2.52), 0.01) is None
    assert nearest_pair([], RingPair(2.50, 2.52), 0.01) is None


def test_a_sum_beyond_the_tolerance_is_no_pair() -> None:
    drawer = rings(2.50, 2.55)
    assert nearest_pair(drawer, RingPair(2.50, 2.52), 0.02) is None
    assert nearest_pair(drawer, RingPair(2.50, 2.52), 0.04) is not None


@given(
    st.lists(st.tuples(st.integers(230, 280), st.integers(0, 2)), max_size=12),
    st.integers(230, 280),
    st.integers(230, 280),
    st.integers(0, 5),
)
def test_the_pair_is_the_best_the_drawer_has(
    pieces: list[tuple[int, int]], one_wanted: int, other_wanted: int, tolerance: int
) -> None:
    drawer = [Part(i, "ring", "", f"A{i}", size / 100, count) for i, (size, count) in enumerate(pieces)]
    wanted, tolerance_mm = RingPair(one_wanted / 100, other_wanted / 100), tolerance / 100 + 1e-6
    found = nearest_pair(drawer, wanted, tolerance_mm)

    def miss(pair: tuple[Part, Part]) -> float:
        return abs(pair[0].thickness_mm - wanted.ring_gear_side_mm) + abs(
            pair[1].thickness_mm - wanted.opposite_side_mm
        )

    possible = [
        (one, other)
        for one, other in product(drawer, repeat=2)
        if min(one.count, other.count) >= 1
        and (one.id != other.id or one.count == 2)
        and abs(one.thickness_mm + other.thickness_mm - wanted.sum_mm) <= tolerance_mm
    ]
    if not possible:
        assert found is None
    else:
        assert found in possible
        assert miss(found) == pytest.approx(min(map(miss, possible)))


def test_the_sentence_names_sides_thicknesses_and_places(paper: Paper) -> None:
    card = paper().job.card
    sentence = fit_sentence(card, RingPair(2.60, 2.45), rings(2.45, 2.60), 0.02, "mm")
    assert sentence == (
        "Fit 2.600 mm on the ring-gear side (left) and 2.450 mm on the opposite side (right). "
        "Nearest in the drawer: 2.600 mm from A2 and 2.450 mm from A1."
    )
    assert fit_sentence(card, RingPair(2.60, 2.45), [], 0.02, "in") == (
        "Fit 0.1024 in on the ring-gear side (left) and 0.0965 in on the opposite side (right). "
        "The drawer has no such pair."
    )


@pytest.mark.parametrize(
    ("side", "ring_gear", "opposite"),
    [
        ("left", "the ring-gear side (left)", "the opposite side (right)"),
        ("right", "the ring-gear side (right)", "the opposite side (left)"),
    ],
)
def test_a_side_says_where_it_lies(paper: Paper, side: str, ring_gear: str, opposite: str) -> None:
    card = paper(facts={"ring_gear_side": CardFact("ring_gear_side", None, side)}).job.card
    assert side_words(card, is_ring_gear_side=True) == ring_gear
    assert side_words(card, is_ring_gear_side=False) == opposite


def test_a_card_that_does_not_say_its_side_cannot_name_one(paper: Paper) -> None:
    card = paper(facts={"ring_gear_side": None}).job.card
    with pytest.raises(
        NotFoundError, match=r"Orrin B does not say on which side.*Add the ring-gear side to the card\."
    ):
        side_words(card, is_ring_gear_side=True)
