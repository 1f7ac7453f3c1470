"""The tooth as it is drawn: from the card where it says, else as usual and named so."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from core.facts import LEFT, RIGHT, CardFact
from core.stages.card import CONCAVE, CONVEX
from core.stages.tooth import COAST, DRIVE, USUAL_TOE_SHARE, Tooth, tooth_of


def fact(key: str, value: float | None = None, text: str = "") -> CardFact:
    return CardFact(key, value, text or str(value), "mm" if value is not None else "")


def with_facts(job: Any, *facts: CardFact) -> Any:
    return replace(job, card=replace(job.card, facts={f.key: f for f in facts}))


def test_a_card_that_says_nothing(job: Any) -> None:
    tooth = tooth_of(with_facts(job))
    assert tooth == Tooth()
    assert tooth.assumed_words.startswith("as usual, not on the card: proportions")


def test_a_card_that_says_everything(job: Any) -> None:
    card = (
        fact("face_width", 30.0), fact("working_depth", 9.0), fact("gear_outer_diameter", 200.0),
        fact("gear_hand", text=LEFT), fact("drive_flank", text=CONCAVE),
    )  # fmt: skip
    tooth = tooth_of(with_facts(job, *card))
    assert tooth.proportion == pytest.approx(30 / 9)
    # 43 : 11 is a pitch angle of 75.65°: outer cone distance 103.2, 73.2 at the toe, 88.2 in the middle.
    assert tooth.toe_share == pytest.approx(73.22 / 88.22, abs=1e-3)
    assert (tooth.hand, tooth.drive, tooth.assumed, tooth.assumed_words) == (LEFT, CONCAVE, (), "")


@pytest.mark.parametrize(("face", "depth"), [(0.0, 9.0), (30.0, 0.0), (-1.0, 9.0)])
def test_sizes_no_tooth_can_have_are_not_drawn(job: Any, face: float, depth: float) -> None:
    tooth = tooth_of(with_facts(job, fact("face_width", face), fact("working_depth", depth)))
    assert "proportion" in tooth.assumed
    absurd = tooth_of(with_facts(job, fact("face_width", 300.0), fact("gear_outer_diameter", 200.0)))
    assert absurd.toe_share == USUAL_TOE_SHARE


@pytest.mark.parametrize(
    ("hand", "drive", "is_right", "sides"),
    [
        (RIGHT, CONVEX, True, (DRIVE, COAST)),
        (RIGHT, CONCAVE, False, (COAST, DRIVE)),
        (LEFT, CONVEX, False, (COAST, DRIVE)),
        (LEFT, CONCAVE, True, (DRIVE, COAST)),
    ],
)
def test_both_toes_lie_to_the_inside(hand: str, drive: str, is_right: bool, sides: tuple[str, str]) -> None:
    tooth = Tooth(hand=hand, drive=drive)
    assert tooth.is_toe_right(DRIVE) is is_right
    assert tooth.sides == sides
    assert [tooth.is_toe_right(side) for side in tooth.sides] == [True, False]
    assert drive in tooth.words(DRIVE)
    assert drive not in tooth.words(COAST)


def test_the_working_depth_follows_from_the_teeth_where_the_card_does_not_give_it(job: Any) -> None:
    sizes = fact("face_width", 30.0), fact("gear_outer_diameter", 200.0), fact("spiral_angle", 35.0)
    tooth = tooth_of(with_facts(job, *sizes))
    # Mean diameter 200 − 30 sin 75.65° = 170.94 mm, mean normal module 170.94 cos 35°/43 = 3.256 mm, twice that deep.
    assert tooth.proportion == pytest.approx(30 / 6.513, abs=1e-3)
    assert "proportion" not in tooth.assumed
    given = tooth_of(with_facts(job, *sizes, fact("working_depth", 7.2)))
    assert given.proportion == pytest.approx(30 / 7.2)
    for missing in range(3):
        assert "proportion" in tooth_of(with_facts(job, *sizes[:missing], *sizes[missing + 1 :])).assumed
    assert "proportion" in tooth_of(with_facts(job, fact("face_width", 300.0), *sizes[1:])).assumed


def test_the_set_is_named_by_hand_and_flank() -> None:
    known = Tooth(hand=LEFT, drive=CONCAVE, assumed=("taper",))
    assert known.set_words == "left-hand ring gear, its concave flank drives forward"
    assert Tooth().set_words == "taken to be a right-hand ring gear, its convex flank drives forward"
