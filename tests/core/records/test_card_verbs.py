"""Spec cards: revisions that never change, and jobs that stay with theirs."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from core.errors import InputError, NotFoundError
from core.facts import CardFact, CardRevision, Job, Limit, SpecCard
from core.records import Logbook, Work

from .conftest import FACTS, LIMITS, NOW


def test_a_card_comes_back_as_it_went_in(logbook: Logbook) -> None:
    with logbook.work() as work:
        written = work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam")
        work.commit()
    assert written == SpecCard(1, "Orrin B", 1, {"backlash": LIMITS[0]}, {fact.key: fact for fact in FACTS})
    with logbook.look() as look:
        assert look.card(1) == written
        assert look.cards() == [written]


def test_limits_and_facts_keep_their_order_and_may_share_a_key(work: Work) -> None:
    limits = [Limit("b", 1.0, None), Limit("a", None, 2.0)]
    card = work.add_card_revision("Orrin B", limits, [CardFact("b", 1.0, "1")], "Tam")
    assert list(card.limits.values()) == limits
    assert list(card.facts) == ["b"]


def test_cards_are_the_newest_revision_of_each_family(work: Work) -> None:
    for family in ("Orrin B", "Alder 2", "orrin  b"):
        work.add_card_revision(family, LIMITS, FACTS, "Tam")
    assert [(card.family, card.revision) for card in work.cards()] == [("Alder 2", 1), ("Orrin B", 2)]


def test_a_job_stays_with_the_revision_it_began_with(work: Work, job: Job) -> None:
    newer = work.add_card_revision("Orrin B", [Limit("backlash", 0.10, 0.15)], FACTS, "Tam")
    assert newer.revision == 2
    assert work.job(job.id).card.limits["backlash"].high == 0.10


def test_cards_are_not_read_twice(work: Work, add_job: Callable[..., Job]) -> None:
    jobs = [add_job(str(number)) for number in range(3)]
    assert len({id(job.card) for job in jobs}) == 1


def test_the_revisions_of_a_card_the_newest_first(work: Work) -> None:
    assert work.revisions_of_card("Orrin B") == []
    assert work.newest_card("Orrin B") is None
    first = work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam")
    work.add_card_revision("Alder 2", LIMITS, FACTS, "Tam")
    second = work.add_card_revision("orrin  b", [], FACTS, "Jory")
    assert work.revisions_of_card("ORRIN B") == [
        CardRevision(second.id, "Orrin B", 2, NOW, "Jory"),
        CardRevision(first.id, "Orrin B", 1, NOW, "Tam"),
    ]
    assert work.newest_card(" orrin b ") == second


@pytest.mark.parametrize("missing", [0, -1, 99, 2**63, 10**40])
def test_a_card_that_is_not_there(work: Work, missing: int) -> None:
    with pytest.raises(NotFoundError, match="spec card"):
        work.card(missing)


@pytest.mark.parametrize(
    ("family", "limits", "facts"),
    [
        ("", LIMITS, FACTS),
        ("Orrin B", [*LIMITS, *LIMITS], FACTS),
        ("Orrin B", LIMITS, [*FACTS, *FACTS]),
        ("Orrin B", [Limit("backlash", 0.10, 0.06)], FACTS),
        ("Orrin B", [Limit("backlash", float("nan"), None)], FACTS),
        ("Orrin B", [Limit("", 0.06, None)], FACTS),
        ("Orrin B", LIMITS, [CardFact("note", None, "x" * 5000)]),
        ("Orrin B", LIMITS, [CardFact("note", None, "a\0b")]),
    ],
)
def test_a_card_that_cannot_be_is_refused(
    work: Work, family: str, limits: Sequence[Limit], facts: Sequence[CardFact]
) -> None:
    with pytest.raises(InputError):
        work.add_card_revision(family, limits, facts, "Tam")
    assert work.cards() == []
