"""A pinion is set with shims of the drawer: advised, taken, printed again; every piece ends where it should."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from core.advice import Advice
from core.advice.answer import ShimOffer, percent
from core.drafts import JobDraft
from core.errors import ConflictError, RuleError
from core.facts import Part
from core.workshop import Workshop

TAM, JORY, OWNER = "Tam Ollerby", "Jory Pell", "Wren Hask"
CONTACT, FIRST, SECOND = "contact_pattern", "pinion_shim", "second_pinion_shim"
PRINT = ("drive_along", "drive_depth", "coast_along", "coast_depth")
SPREAD = ("drive_length", "drive_height", "coast_length", "coast_height")
HIGH, CENTRED = ("48", "70", "48", "68"), ("47", "51", "49", "50")


class Bench:
    """One job at its contact stage."""

    def __init__(self, workshop: Workshop, number: str, serial: str, person: str = TAM) -> None:
        card = next(card for card in workshop.cards() if card.family == "Orrin B")
        draft = JobDraft(number, serial, "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=card.id)
        self.workshop, self.person = workshop, person
        self.id = workshop.new_job(draft, person).id

    def part(self, place: str) -> Part:
        return next(part for part in self.workshop.parts() if part.place == place)

    def count(self, place: str) -> int:
        return self.part(place).count

    def put(self, place: str, size: str, count: int = 1) -> None:
        self.workshop.add_part("shim", "pinion shim", place, size, size, str(count), person=self.person)

    def take(self, place: str, trial: int, entry: str = FIRST) -> None:
        self.workshop.take_from_drawer(self.id, CONTACT, entry, trial, self.part(place).id, self.person)

    def read(self, trial: int, **texts: str) -> None:
        for entry, text in texts.items():
            self.workshop.record(self.id, CONTACT, entry, text, trial=trial, person=self.person)

    def print(self, trial: int, centres: tuple[str, ...]) -> None:
        self.read(trial, **dict(zip(PRINT, centres, strict=True)), **dict.fromkeys(SPREAD, "55"))

    def advice(self) -> Advice:
        said = self.workshop.advice(self.id, CONTACT)
        assert said is not None
        return said

    def shims(self) -> ShimOffer:
        offer = self.advice().shims
        assert offer is not None
        return offer

    def has(self) -> dict[str, str]:
        holds = self.workshop.held_by_job(self.id).holds.values()
        return {hold.entry: hold.part.place + "!" * hold.is_fitted for hold in holds}

    def lies_under(self, trial: int) -> tuple[str, str]:
        context = self.workshop.state(self.id).context
        return context.text(CONTACT, FIRST, trial=trial), context.text(CONTACT, SECOND, trial=trial)


@pytest.fixture
def bench(workshop: Workshop) -> Bench:
    """Return a job in a shop that has no pinion shims but those a story puts into its drawer."""
    for part in workshop.parts():
        if part.kind == "shim":
            workshop.scrap(part.id, str(part.count), "not in this story", OWNER)
    return Bench(workshop, "2701", "K-1301")


def wanted_mm(bench: Bench) -> float:
    size_mm = bench.advice().shim_mm
    assert size_mm is not None
    return size_mm


def test_from_the_first_print_to_the_accepted_one(bench: Bench) -> None:
    bench.put("X1", "1.200 mm")
    bench.take("X1", 1)
    assert (bench.lies_under(1), bench.count("X1"), bench.has()) == (("1.200 mm", ""), 0, {FIRST: "X1"})
    bench.print(1, HIGH)
    size_mm = wanted_mm(bench)
    assert "order or grind one of" in bench.advice().text
    bench.put("X2", f"{size_mm - 0.005:.3f} mm")
    bench.put("X3", f"{size_mm + 0.3:.3f} mm")
    assert "the drawer has one at X2" in bench.advice().text
    # The one advised stands first for the hand that goes through the drawer by itself.
    offers = bench.workshop.offers(bench.id, CONTACT, FIRST, 2)
    assert offers[0].part.place == "X2"
    assert {offer.part.kind for offer in offers} == {"shim"}
    seen = bench.shims()
    bench.workshop.take_advice(bench.id, CONTACT, TAM, seen=seen)
    assert bench.lies_under(2) == (f"{size_mm - 0.005:.3f} mm", "")
    assert bench.has() == {FIRST: "X2"}
    assert (bench.count("X1"), bench.count("X2")) == (1, 0), "what lay there before is back in the drawer"
    assert "the drawer has one at X2" in bench.advice().text, "said until the next print is read"
    # Pushed once more, the trial stays the same and nothing moves.
    bench.workshop.take_advice(bench.id, CONTACT, TAM, seen=bench.shims())
    assert (bench.has(), bench.count("X2")) == ({FIRST: "X2"}, 0)
    assert bench.workshop.state(bench.id).context.trials(CONTACT) == (1, 2)
    bench.print(2, CENTRED)
    assert bench.advice().title == "Trial 2 is centred"
    # A third print changed nothing under the pinion, so nothing was measured there; it is the one that stays.
    bench.print(3, CENTRED)
    bench.read(3, accepted="yes")
    assert bench.has() == {FIRST: "X2!"}
    assert bench.workshop.stock_disagreements() == []


def test_a_thin_one_is_laid_to_one_that_never_was_in_the_drawer(bench: Bench) -> None:
    bench.read(1, pinion_shim="1.20")
    bench.print(1, HIGH)
    more_mm = wanted_mm(bench) - 1.2
    bench.put("X7", f"{more_mm:.3f} mm", 2)
    assert f"leave the shim of 1.200 mm in and lay {more_mm:.3f} mm from X7 to it" in bench.advice().text
    assert bench.workshop.offers(bench.id, CONTACT, SECOND, 2)[0].part.place == "X7"
    bench.workshop.take_advice(bench.id, CONTACT, TAM)
    assert bench.lies_under(2) == ("1.20", f"{more_mm:.3f} mm")
    assert (bench.has(), bench.count("X7")) == ({SECOND: "X7"}, 1)
    bench.print(2, CENTRED)
    bench.read(2, accepted="yes")
    assert bench.has() == {SECOND: "X7!"}


def test_two_are_laid_on_each_other_and_one_thick_one_takes_their_place(bench: Bench) -> None:
    bench.read(1, pinion_shim="1.20")
    bench.print(1, HIGH)
    size_mm = wanted_mm(bench)
    bench.put("X1", "0.800 mm")
    bench.put("X2", f"{size_mm - 0.8:.3f} mm")
    bench.workshop.take_advice(bench.id, CONTACT, TAM)
    assert sorted(bench.has().values()) == ["X1", "X2"]
    assert bench.advice().text == bench.advice().text
    # Something better came in before the print was read: both go back.
    bench.put("X3", f"{size_mm:.3f} mm")
    assert "the drawer has one at X3" in bench.advice().text
    bench.workshop.take_advice(bench.id, CONTACT, TAM)
    assert bench.has() == {FIRST: "X3"}
    assert (bench.count("X1"), bench.count("X2"), bench.count("X3")) == (1, 1, 0)
    assert bench.lies_under(2) == (f"{size_mm:.3f} mm", "")
    assert bench.workshop.stock_disagreements() == []


def test_somebody_else_is_quicker(bench: Bench) -> None:
    other = Bench(bench.workshop, "2702", "K-1302", JORY)
    bench.read(1, pinion_shim="1.20")
    bench.print(1, HIGH)
    bench.put("X2", f"{wanted_mm(bench):.3f} mm")
    seen = bench.shims()
    other.take("X2", 1)
    with pytest.raises(RuleError, match="no pair to make the next trial"):
        bench.workshop.take_advice(bench.id, CONTACT, TAM, seen=seen)
    bench.put("X4", f"{wanted_mm(bench) + 0.006:.3f} mm")
    with pytest.raises(ConflictError, match="Another shim is advised now"):
        bench.workshop.take_advice(bench.id, CONTACT, TAM, seen=seen)
    assert bench.workshop.state(bench.id).context.trials(CONTACT) == (1,), "nothing half-written"
    assert (bench.has(), other.has()) == ({}, {FIRST: "X2"})


def test_a_shim_that_was_never_measured_is_not_taken(bench: Bench) -> None:
    bench.read(1, pinion_shim="1.20")
    bench.print(1, HIGH)
    bench.workshop.add_part("shim", "", "X5", f"{wanted_mm(bench):.2f} mm", person=TAM)
    assert "the drawer has one at X5" in bench.advice().text
    with pytest.raises(RuleError, match="was never measured"):
        bench.workshop.take_advice(bench.id, CONTACT, TAM)
    assert bench.lies_under(2) == ("", "")


def test_only_shims_lie_under_a_pinion(bench: Bench) -> None:
    ring = next(part for part in bench.workshop.parts() if part.kind == "ring" and part.count)
    with pytest.raises(RuleError, match="belongs there"):
        bench.workshop.take_from_drawer(bench.id, CONTACT, FIRST, 1, ring.id, TAM)
    # A shim that lies under the pinion is no ring for the sides: it is not offered there as one in hand.
    bench.put("X1", "2.500 mm")
    bench.take("X1", 1)
    assert "X1" not in {offer.part.place for offer in bench.workshop.offers(bench.id, "preload", "ring_gear_side", 1)}
    assert bench.workshop.offers(bench.id, CONTACT, SECOND, 1)[0].held_at == FIRST


def test_the_ticket_takes_the_shim_to_the_bench(bench: Bench) -> None:
    with pytest.raises(RuleError, match="no pair to put on a ticket"):
        bench.workshop.bench_ticket(bench.id, CONTACT)
    bench.read(1, pinion_shim="1.20")
    bench.print(1, HIGH)
    size_mm = wanted_mm(bench)
    bench.put("X2", f"{size_mm:.3f} mm")
    said = printed(bench)
    chance = percent(bench.shims().chance)
    assert bench.advice().text.endswith(f"Chance {chance}.")
    for words in (
        "2701 · K-1301",
        "Contact pattern, trial 2",
        f"Pinion shim {size_mm:.3f} mm from X2",
        "instead of 1.200 mm",
        f"Chance {chance}",
        "Drive, along",
        "Coast, depth",
        "Backlash",
    ):
        assert words in said, words
    assert "Second pinion shim" not in said
    bench.workshop.take_advice(bench.id, CONTACT, TAM)
    bench.print(2, CENTRED)
    bench.read(2, accepted="yes")
    said = printed(bench)
    assert f"Pinion shim {size_mm:.3f} mm from X2" in said, "what the last trial has"
    assert "Chance" not in said


def test_two_shims_have_a_column_each_on_the_ticket(bench: Bench) -> None:
    bench.read(1, pinion_shim="0.0472 in")
    bench.print(1, HIGH)
    more_mm = wanted_mm(bench) - 0.0472 * 25.4
    bench.put("X7", f"{more_mm:.4f} mm")
    said = printed(bench)
    assert f"Pinion shim 0.0472 in stays in Second pinion shim {more_mm / 25.4:.4f} in from X7" in said
    assert "instead of 0.0472 in" in said


def printed(bench: Bench) -> str:
    (page,) = PdfReader(BytesIO(bench.workshop.bench_ticket(bench.id, CONTACT))).pages
    return " ".join(page.extract_text().split())


def test_the_second_shim_goes_back_where_the_next_trial_has_only_one(bench: Any) -> None:
    bench.put("X1", "0.800 mm")
    bench.put("X2", "0.400 mm")
    bench.take("X1", 1)
    bench.take("X2", 1, SECOND)
    bench.print(1, HIGH)
    bench.read(2, pinion_shim="1.25")
    bench.print(2, CENTRED)
    bench.read(2, accepted="yes")
    assert bench.has() == {}
    assert (bench.count("X1"), bench.count("X2")) == (1, 1)


def test_a_shim_of_the_sides_is_not_laid_under_the_pinion(bench: Bench) -> None:
    bench.read(1, pinion_shim="1.20")
    bench.print(1, HIGH)
    bench.put("X1", f"{wanted_mm(bench):.3f} mm")
    assert "the drawer has one at X1" in bench.advice().text
    seen, shim = bench.shims(), bench.part("X1")
    bench.workshop.change_part(shim, shim.name, "X1", "0", TAM, fits="sides")
    assert "X1" not in bench.advice().text
    with pytest.raises(RuleError, match="no pair to make the next trial"):
        bench.workshop.take_advice(bench.id, CONTACT, TAM, seen=seen)
    with pytest.raises(RuleError, match="one for the sides, so it does not belong there"):
        bench.take("X1", 2)
    assert (bench.has(), bench.count("X1")) == ({}, 1)
    shim = bench.part("X1")
    bench.workshop.change_part(shim, shim.name, "X1", "0", TAM, fits="pinion")
    bench.workshop.take_advice(bench.id, CONTACT, TAM, seen=bench.shims())
    assert bench.has() == {FIRST: "X1"}
