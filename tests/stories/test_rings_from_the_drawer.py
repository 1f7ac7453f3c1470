"""Two jobs on one drawer: rings tried, kept, swapped and given back; at the end every piece is where it should be."""

from __future__ import annotations

from typing import Any

import pytest

from core.drafts import JobDraft
from core.errors import ConflictError, RuleError
from core.stages import stage as declared
from core.verdict import Answer
from core.workshop import Workshop

TAM, JORY, OWNER = "Tam Ollerby", "Jory Pell", "Wren Hask"
ONE, OTHER = "ring_gear_side", "opposite_side"


class Bench:
    """One job as it is worked with one hand in the drawer."""

    def __init__(self, workshop: Workshop, number: str, serial: str, person: str) -> None:
        card = next(card for card in workshop.cards() if card.family == "Orrin B")
        draft = JobDraft(number, serial, "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=card.id)
        self.workshop, self.person = workshop, person
        self.id = workshop.new_job(draft, person).id

    def part(self, place: str) -> Any:
        return next(part for part in self.workshop.parts() if part.place == place)

    def take(self, stage: str, trial: int, **places: str) -> None:
        for entry, place in places.items():
            self.workshop.take_from_drawer(self.id, stage, entry, trial, self.part(place).id, self.person)

    def take_nearest(self, stage: str, trial: int, entry: str) -> str:
        """Take what stands first among the pieces offered; return its place."""
        nearest = self.workshop.offers(self.id, stage, entry, trial)[0]
        self.workshop.take_from_drawer(self.id, stage, entry, trial, nearest.part.id, self.person)
        return str(nearest.part.place)

    def read(self, stage: str, trial: int = 0, **texts: Any) -> None:
        for entry, text in texts.items():
            for position in declared(stage).entry(entry).positions:
                self.workshop.record(
                    self.id, stage, entry, text, position=position.key, trial=trial, person=self.person
                )

    def has(self) -> dict[str, str]:
        holds = self.workshop.held_by_job(self.id).holds.values()
        return {hold.entry: hold.part.place + "!" * hold.is_fitted for hold in holds}

    def answer(self, stage: str, trial: int) -> Answer:
        trials = self.workshop.state(self.id).stage(stage).trials
        return next(t.verdict.answer for t in trials if t.number == trial)


def there(workshop: Workshop) -> dict[str, int]:
    return {part.place: part.count for part in workshop.parts()}


def test_a_day_with_one_hand_in_the_drawer(workshop: Workshop) -> None:
    before = there(workshop)
    tam, jory = Bench(workshop, "2407", "K-1183", TAM), Bench(workshop, "2501", "K-1190", JORY)
    preload(tam, before)
    two_hands(tam, jory, before)
    backlash(tam)
    the_other_gives_up(jory, before)
    seals(tam, before)
    comes_back(tam)
    stocktake(workshop, tam)


def preload(tam: Bench, before: dict[str, int]) -> None:
    """The first pair is too loose; the advice names pieces of the drawer, and they are offered first."""
    tam.read("teardown", rings_found_ring_gear_side="2.52", rings_found_opposite_side="2.50")
    tam.read("preload", pairs_kept="yes", out_of_mesh="yes")
    tam.take("preload", 1, ring_gear_side="B3", opposite_side="B2")
    tam.read("preload", 1, torque_forward="0.05", torque_back="0.05")
    said = tam.workshop.advice(tam.id, "preload")
    assert said.title == "Too loose"
    assert said.offer.pair.sum_mm > 5.01
    one, other = (part.place for part in said.offer.parts)
    assert f"mm from {one} on the ring-gear side (left)" in said.text
    assert tam.take_nearest("preload", 2, ONE) == one
    assert tam.take_nearest("preload", 2, OTHER) == other
    assert tam.has() == {ONE: one, OTHER: other}
    tam.take("preload", 2, ring_gear_side="B4", opposite_side="B3")
    assert tam.has() == {ONE: "B4", OTHER: "B3"}, "another pair in the same trial: what was taken first is back"
    tam.read("preload", 2, torque_forward="0.62", torque_back="0.64")
    tam.read("preload", 2, accepted="yes")
    assert tam.answer("preload", 2) is Answer.CONFORMS
    assert tam.has() == {ONE: "B4!", OTHER: "B3!"}
    now = there(tam.workshop)
    assert (now["B2"], now["B3"], now["B4"]) == (before["B2"], before["B3"] - 1, before["B4"] - 1)


def two_hands(tam: Bench, jory: Bench, before: dict[str, int]) -> None:
    """The other bench wants the ring that is in Tam's casing, and takes another."""
    with pytest.raises(ConflictError, match=r"No ring from B3 is left: Tam Ollerby took the last one for job 2407\."):
        jory.take("preload", 1, opposite_side="B3")
    jory.take("preload", 1, opposite_side="B2", ring_gear_side="B4")
    assert there(jory.workshop)["B4"] == before["B4"] - 2


def backlash(tam: Bench) -> None:
    """Move the ring gear toward the pinion, the sum kept; preload's rings go back."""
    tam.take("backlash", 0, spacer="T2")
    tam.read("backlash", thread_locker="yes", bolt_steps="3", bolt_setting="150", runout="0.02")
    tam.take("backlash", 1, ring_gear_side="B4", opposite_side="B3")
    assert len(tam.workshop.moves(tam.part("B3").id)) > 3
    assert tam.has() == {ONE: "B4!", OTHER: "B3!", "spacer": "T2"}, "the same pieces stay in"
    tam.read("backlash", 1, backlash="0.13")
    said = tam.workshop.advice(tam.id, "backlash")
    assert said.wanted.ring_gear_side_mm == pytest.approx(2.611, abs=0.015)
    assert tam.take_nearest("backlash", 2, ONE) == said.offer.parts[0].place
    tam.take("backlash", 2, ring_gear_side="B8")
    with pytest.raises(RuleError, match="preload fixed the ring sum"):
        tam.take("backlash", 2, opposite_side="B1")
    assert tam.take_nearest("backlash", 2, OTHER) == "A8"
    tam.read("backlash", 2, backlash="0.08")
    tam.read("backlash", 2, accepted="yes")
    assert tam.answer("backlash", 2) is Answer.CONFORMS
    assert tam.has() == {ONE: "B8!", OTHER: "A8!", "spacer": "T2!"}
    assert there(tam.workshop)["B3"] == 1


def the_other_gives_up(jory: Bench, before: dict[str, int]) -> None:
    """Jory typed the wrong ring, takes the reading back, and his pieces are there again."""
    for entry in (ONE, OTHER):
        jory.workshop.withdraw(jory.id, "preload", entry, trial=1, person=JORY, reason="another casing")
    assert jory.has() == {}
    now = there(jory.workshop)
    assert (now["B2"], now["B4"]) == (before["B2"], before["B4"])


def seals(tam: Bench, before: dict[str, int]) -> None:
    """Fit two seals; a third was taken out and not needed."""
    seal = tam.part("S1")
    tam.workshop.use_part(tam.id, seal.id, "3", TAM)
    tam.workshop.bring_part_back(tam.id, seal.id, "1", TAM)
    assert [used.pieces for used in tam.workshop.held_by_job(tam.id).used] == [2]
    assert "1 × output seal 40 × 62 from S1; 5 there, 6 wanted" in tam.workshop.order_text().splitlines()


def comes_back(tam: Bench) -> None:
    """The trial is not to stay after all: a third pair goes in, and what was fitted goes back."""
    tam.read("backlash", 2, accepted="no")
    assert tam.has() == {ONE: "B8", OTHER: "A8", "spacer": "T2"}
    tam.take("backlash", 3, ring_gear_side="B7")
    tam.workshop.record(tam.id, "backlash", OTHER, "2.459", trial=3, person=TAM)
    assert tam.has() == {ONE: "B7", "spacer": "T2"}, "a ring typed by hand is none of the drawer's"
    tam.read("backlash", 3, backlash="0.09")
    tam.read("backlash", 3, accepted="yes")
    assert tam.has() == {ONE: "B7!", "spacer": "T2!"}


def stocktake(workshop: Workshop, tam: Bench) -> None:
    """At the end the drawer is what its moves come to, and the owner counts what was thrown away on the quiet."""
    assert workshop.stock_disagreements() == []
    told = [(move.what, move.pieces, move.job_number) for move in workshop.moves(tam.part("B8").id)]
    assert told == [
        ("received", 1, ""), ("reserved", -1, "2407"), ("fitted", 0, "2407"), ("unfitted", 0, "2407"),
        ("returned", 1, "2407"),
    ]  # fmt: skip
    workshop.count_part(tam.part("B8").id, "0", "not in its place", OWNER, seen=tam.part("B8").version)
    assert workshop.stock_disagreements() == []
    assert all(part.count >= 0 for part in workshop.parts())
