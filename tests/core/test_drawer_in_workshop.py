"""What a person does with the drawer: typed texts in, pieces that follow the readings of a job out."""

from __future__ import annotations

from typing import Any

import pytest

from core.errors import AccessError, ConflictError, InputError, RuleError, UserError
from core.facts import Part
from core.stages import STAGES
from core.stages.pieces import PIECE_KINDS, SAME_PIECE_MM, takes_piece
from core.workshop import Workshop

TAM, JORY, OWNER = "Tam Ollerby", "Jory Pell", "Wren Hask"
ONE, OTHER = "ring_gear_side", "opposite_side"


def part(workshop: Workshop, place: str) -> Part:
    return next(part for part in workshop.parts() if part.place == place)


def count(workshop: Workshop, *places: str) -> tuple[int, ...]:
    return tuple(part(workshop, place).count for place in places)


def held(workshop: Workshop, job: Any) -> dict[str, str]:
    """Return the place of the piece at each entry, with an exclamation mark where it is fitted."""
    holds = workshop.held_by_job(job.id).holds
    return {entry: hold.part.place + "!" * hold.is_fitted for entry, hold in holds.items()}


def take(workshop: Workshop, job: Any, entry: str, place: str, trial: int = 1, stage: str = "preload") -> Any:
    return workshop.take_from_drawer(job.id, stage, entry, trial, part(workshop, place).id, TAM)


def measure(workshop: Workshop, job: Any, trial: int, torque: str = "0.6") -> None:
    for entry in ("torque_forward", "torque_back"):
        workshop.record(job.id, "preload", entry, torque, trial=trial, person=TAM)


def accept(workshop: Workshop, job: Any, trial: int, answer: str = "yes", stage: str = "preload") -> None:
    workshop.record(job.id, stage, "accepted", answer, trial=trial, person=TAM)


def trial(workshop: Workshop, job: Any, number: int, one: str, other: str) -> None:
    """Take both sides of a preload trial from the drawer and measure it."""
    take(workshop, job, ONE, one, number)
    take(workshop, job, OTHER, other, number)
    measure(workshop, job, number)


def another_job(workshop: Workshop, number: str = "2501") -> Any:
    from core.drafts import JobDraft

    card = next(card for card in workshop.cards() if card.family == "Orrin B")
    draft = JobDraft(number, f"S-{number}", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=card.id)
    return workshop.new_job(draft, JORY)


# --- typed texts ------------------------------------------------------------------------------------------------------


def test_a_part_is_added_from_what_was_typed(empty_workshop: Workshop) -> None:
    ring = empty_workshop.add_part("ring", "", "B7", "2.60 mm", "2,598 2.600", "3", "2", person=TAM)
    assert (ring.measured_mm, ring.count, ring.reorder_level) == ((2.598, 2.600), 3, 2)
    inch = empty_workshop.add_part("shim", "", "K1", "0.1 in")
    assert (inch.thickness_mm, inch.measured_mm, inch.count) == (2.54, (), 1)
    seal = empty_workshop.add_part("seal", "output seal", "S1")
    assert (seal.nominal_mm, seal.count) == (None, 1)
    assert empty_workshop.parts() == [ring, inch, seal]
    assert empty_workshop.moves(ring.id)[0].person == TAM


@pytest.mark.parametrize(
    "typed",
    [
        ("ring", "", "", "2.60"),
        ("ring", "", "B7", "252"),
        ("ring", "", "B7", ""),
        ("ring", "", "B7", "2.60", "", "-1"),
        ("ring", "", "B7", "2.60", "", "many"),
        ("ring", "", "B7", "2.60", "26.0"),
        ("ring", "", "B7", "2.60", "2.60 2.60 x"),
        ("ring", "", "B7", "2.60", "2.60", "1", "few"),
        ("seal", "", "S1"),
    ],
)
def test_a_part_that_cannot_be_is_not_added(empty_workshop: Workshop, typed: tuple[str, ...]) -> None:
    with pytest.raises(UserError):
        empty_workshop.add_part(*typed)
    assert empty_workshop.parts() == []


def test_the_verbs_of_the_shop(workshop: Workshop) -> None:
    before = part(workshop, "B2")
    assert workshop.receive(before.id, "4", "delivery", JORY).count == before.count + 4
    assert workshop.measure_part(before.id, "2.495 2.496", person=JORY).measured_mm == (2.495, 2.496)
    changed = workshop.change_part(part(workshop, "B2"), "", "B22", "9", JORY)
    assert (changed.place, changed.reorder_level) == ("B22", 9)
    assert workshop.count_part(before.id, "0", "stocktake", OWNER, seen=changed.version).count == 0
    assert workshop.retire_part(before.id, OWNER).is_retired
    told = [(move.what, move.pieces, move.person) for move in workshop.moves(before.id)]
    assert told[1:] == [("received", 4, JORY), ("counted", -before.count - 4, OWNER)]


def test_only_the_owner_sets_a_count_or_throws_away(workshop: Workshop) -> None:
    ring = part(workshop, "B2")
    for act in (
        lambda who: workshop.count_part(ring.id, "7", "stocktake", who),
        lambda who: workshop.scrap(ring.id, "1", "cracked", who),
    ):
        for who in (JORY, ""):
            with pytest.raises(AccessError):
                act(who)
        act(OWNER)
    assert part(workshop, "B2").count == 6


def test_the_order_list_is_text(workshop: Workshop) -> None:
    assert "2 × output seal 45 × 65 from S2; 2 there, 4 wanted" in workshop.order_text().splitlines()
    assert {part.place for part in workshop.order_list()} >= {"S2", "S4", "T3", "L3", "P2", "P4"}
    for part_ in workshop.order_list():
        workshop.receive(part_.id, str(part_.to_order))
    assert workshop.order_text() == ""


def test_every_entry_that_takes_a_piece_is_declared() -> None:
    taking = {(stage.key, entry.key) for stage in STAGES for entry in stage.entries if takes_piece(entry)}
    assert taking == {(stage, side) for stage in ("preload", "backlash") for side in (ONE, OTHER)} | {
        ("backlash", "spacer"), ("contact_pattern", "pinion_shim"), ("contact_pattern", "second_pinion_shim"),
    }  # fmt: skip
    assert set(PIECE_KINDS) == {entry for _, entry in taking}


# --- taking -----------------------------------------------------------------------------------------------------------


def test_a_piece_taken_is_the_reading(workshop: Workshop, job: Any) -> None:
    state = take(workshop, job, ONE, "B3")
    reading = state.context.reading("preload", ONE, trial=1)
    assert (reading.text, reading.value, reading.unit) == ("2.516 mm", 2.516, "mm")
    assert (reading.source, reading.person) == ("drawer", TAM)
    assert state.context.gauges[reading.gauge_id].use == "micrometer"
    assert count(workshop, "B3") == (0,)
    assert held(workshop, job) == {ONE: "B3"}
    assert workshop.stock_disagreements() == []


def test_the_reading_is_in_the_unit_the_job_is_read_in(workshop: Workshop, job: Any) -> None:
    workshop.record(job.id, "preload", OTHER, "0.0992 in", trial=1)
    state = take(workshop, job, ONE, "B3")
    assert state.context.reading("preload", ONE, trial=1).text == "0.0991 in"


def test_the_next_trial_gives_back_what_the_last_had(workshop: Workshop, job: Any) -> None:
    trial(workshop, job, 1, "B2", "B3")
    take(workshop, job, ONE, "B5", 2)
    assert held(workshop, job) == {ONE: "B5", OTHER: "B3"}
    assert count(workshop, "B2", "B3", "B5") == (1, 0, 0)


def test_the_same_piece_chosen_again_writes_nothing(workshop: Workshop, job: Any) -> None:
    first = take(workshop, job, ONE, "B3")
    again = take(workshop, job, ONE, "B3")
    assert again.context.readings == first.context.readings
    assert len(workshop.moves(part(workshop, "B3").id)) == 2


def test_what_was_never_measured_is_measured_first(workshop: Workshop, job: Any) -> None:
    ring = workshop.add_part("ring", "", "X1", "2.52 mm", "", "1")
    with pytest.raises(RuleError, match="never measured; the stamped size is not enough"):
        take(workshop, job, ONE, "X1")
    with pytest.raises(InputError):
        workshop.take_from_drawer(job.id, "preload", ONE, 1, ring.id, TAM, measured_text="25.2")
    assert part(workshop, "X1").measured_mm == ()
    workshop.take_from_drawer(job.id, "preload", ONE, 1, ring.id, TAM, measured_text="2.517 2.519")
    assert part(workshop, "X1").measured_mm == (2.517, 2.519)
    assert held(workshop, job) == {ONE: "X1"}


def test_what_does_not_belong_there_is_refused(workshop: Workshop, job: Any) -> None:
    for stage, entry, number, place in (
        ("preload", ONE, 1, "T2"),
        ("preload", "torque_forward", 1, "B3"),
        ("backlash", "spacer", 0, "B3"),
        ("backlash", "nut_" + ONE, 1, "B3"),
    ):
        with pytest.raises(RuleError, match="belongs there"):
            take(workshop, job, entry, place, number, stage)
    workshop.add_part("ring", "", "X1", "3.60 mm", "3.60")
    with pytest.raises(RuleError, match="outside this family's rings"):
        take(workshop, job, ONE, "X1")
    assert held(workshop, job) == {}
    assert workshop.stock_disagreements() == []


def test_the_rules_of_the_trade_hold_for_a_piece_of_the_drawer(workshop: Workshop, job: Any) -> None:
    with pytest.raises(RuleError, match="Backlash waits for preload"):
        take(workshop, job, ONE, "B3", stage="backlash")
    trial(workshop, job, 1, "B3", "B4")
    accept(workshop, job, 1)
    take(workshop, job, ONE, "B7", stage="backlash")
    with pytest.raises(RuleError, match="preload fixed the ring sum"):
        take(workshop, job, OTHER, "B6", stage="backlash")
    assert held(workshop, job) == {ONE: "B7", OTHER: "B4!"}


def test_a_reading_that_changed_meanwhile_moves_no_piece(workshop: Workshop, job: Any) -> None:
    workshop.record(job.id, "preload", ONE, "2.50", trial=1, person=JORY)
    with pytest.raises(ConflictError, match=r"Jory Pell entered 2\.50 here meanwhile"):
        workshop.take_from_drawer(job.id, "preload", ONE, 1, part(workshop, "B3").id, TAM, seen=0)
    assert count(workshop, "B3") == (1,)


def test_two_jobs_never_have_the_same_piece(workshop: Workshop, job: Any) -> None:
    other = another_job(workshop)
    workshop.take_from_drawer(other.id, "preload", ONE, 1, part(workshop, "B3").id, JORY)
    with pytest.raises(ConflictError, match="Jory Pell took the last one for job 2501"):
        take(workshop, job, ONE, "B3")
    assert workshop.state(job.id).context.readings == ()


# --- typing by hand beside it -----------------------------------------------------------------------------------------


def test_the_same_ring_measured_again_stays(workshop: Workshop, job: Any) -> None:
    take(workshop, job, ONE, "B3")
    workshop.record(job.id, "preload", ONE, "2.521", trial=1, reason="measured again")
    assert held(workshop, job) == {ONE: "B3"}
    workshop.record(job.id, "preload", ONE, "2.5211", trial=1, reason="measured again")
    assert held(workshop, job) == {}
    assert SAME_PIECE_MM == 0.005


def test_another_thickness_typed_gives_the_piece_back(workshop: Workshop, job: Any) -> None:
    trial(workshop, job, 1, "B2", "B3")
    workshop.record(job.id, "preload", ONE, "2.60", trial=2)
    assert held(workshop, job) == {OTHER: "B3"}
    workshop.record(job.id, "preload", OTHER, "2.60", trial=1, reason="the wrong ring")
    assert held(workshop, job) == {}
    assert count(workshop, "B2", "B3") == (1, 1)


def test_a_reading_taken_back_gives_its_piece_back(workshop: Workshop, job: Any) -> None:
    trial(workshop, job, 1, "B2", "B3")
    take(workshop, job, ONE, "B5", 2)
    workshop.withdraw(job.id, "preload", ONE, trial=1, person=TAM, reason="never fitted")
    assert held(workshop, job) == {ONE: "B5", OTHER: "B3"}, "another trial has the piece"
    workshop.withdraw(job.id, "preload", ONE, trial=2, person=TAM, reason="never fitted")
    assert held(workshop, job) == {OTHER: "B3"}


def test_an_earlier_trial_put_right_moves_nothing(workshop: Workshop, job: Any) -> None:
    trial(workshop, job, 1, "B2", "B3")
    take(workshop, job, ONE, "B5", 2)
    workshop.record(job.id, "preload", ONE, "2.44", trial=1, reason="read wrong")
    assert held(workshop, job) == {ONE: "B5", OTHER: "B3"}


# --- accepting --------------------------------------------------------------------------------------------------------


def test_an_accepted_trial_fits_its_pieces(workshop: Workshop, job: Any) -> None:
    trial(workshop, job, 1, "B3", "B4")
    accept(workshop, job, 1)
    assert held(workshop, job) == {ONE: "B3!", OTHER: "B4!"}
    workshop.withdraw(job.id, "preload", "accepted", trial=1, person=TAM, reason="not yet")
    assert held(workshop, job) == {ONE: "B3", OTHER: "B4"}
    accept(workshop, job, 1)
    accept(workshop, job, 1, "no")
    accept(workshop, job, 1)
    told = [(move.what, move.pieces) for move in workshop.moves(part(workshop, "B3").id)]
    assert told == [
        ("received", 1), ("reserved", -1),
        ("fitted", 0), ("unfitted", 0), ("fitted", 0), ("unfitted", 0), ("fitted", 0),
    ]  # fmt: skip


def test_going_back_to_an_earlier_trial_takes_its_pieces_out_again(workshop: Workshop, job: Any) -> None:
    trial(workshop, job, 1, "B2", "B3")
    trial(workshop, job, 2, "B3", "B2")
    assert held(workshop, job) == {ONE: "B3", OTHER: "B2"}
    trial(workshop, job, 3, "B5", "B6")
    accept(workshop, job, 1)
    assert held(workshop, job) == {ONE: "B2!", OTHER: "B3!"}
    accept(workshop, job, 2)
    assert held(workshop, job) == {ONE: "B3!", OTHER: "B2!"}
    assert count(workshop, "B2", "B3", "B5", "B6") == (0, 0, 1, 1)
    assert workshop.stock_disagreements() == []


def test_a_trial_whose_piece_is_gone_cannot_be_accepted(workshop: Workshop, job: Any) -> None:
    trial(workshop, job, 1, "B2", "B3")
    take(workshop, job, ONE, "B5", 2)
    other = another_job(workshop)
    workshop.take_from_drawer(other.id, "preload", ONE, 1, part(workshop, "B2").id, JORY)
    with pytest.raises(ConflictError, match="Jory Pell took the last one for job 2501") as refused:
        accept(workshop, job, 1)
    assert "from the drawer or by hand" in refused.value.remedy
    assert held(workshop, job) == {ONE: "B5", OTHER: "B3"}
    assert not workshop.state(job.id).stage("preload").accepted
    workshop.record(job.id, "preload", ONE, "2.494", trial=1, reason="another of that size")
    accept(workshop, job, 1)
    assert held(workshop, job) == {OTHER: "B3!"}


def test_a_trial_typed_by_hand_gives_back_what_another_had(workshop: Workshop, job: Any) -> None:
    workshop.record(job.id, "preload", ONE, "2.50", trial=1)
    workshop.record(job.id, "preload", OTHER, "2.53", trial=1)
    measure(workshop, job, 1)
    trial(workshop, job, 2, "B5", "B6")
    accept(workshop, job, 1)
    assert held(workshop, job) == {}
    assert count(workshop, "B5", "B6") == (1, 1)


def test_backlash_takes_over_what_preload_fitted(workshop: Workshop, job: Any) -> None:
    trial(workshop, job, 1, "B3", "B4")
    accept(workshop, job, 1)
    take(workshop, job, ONE, "B7", 1, "backlash")
    assert held(workshop, job) == {ONE: "B7", OTHER: "B4!"}
    workshop.record(job.id, "preload", "note", "looked at again")
    accept(workshop, job, 1)
    assert held(workshop, job) == {ONE: "B7", OTHER: "B4!"}, "what backlash took out stays out"
    take(workshop, job, ONE, "B3", 2, "backlash")
    assert held(workshop, job) == {ONE: "B3!", OTHER: "B4!"}, "preload's accepted trial has it"


def test_an_accepted_side_taken_anew_is_fitted_at_once(workshop: Workshop, job: Any) -> None:
    trial(workshop, job, 1, "B3", "B4")
    accept(workshop, job, 1)
    take(workshop, job, ONE, "B2")
    assert held(workshop, job) == {ONE: "B2!", OTHER: "B4!"}
    workshop.record(job.id, "preload", ONE, "2.60", trial=1, reason="the wrong ring")
    assert held(workshop, job) == {OTHER: "B4!"}


def test_a_spacer_is_fitted_with_the_backlash_trial_that_stays(workshop: Workshop, job: Any) -> None:
    take(workshop, job, "spacer", "T2", 0, "backlash")
    assert held(workshop, job) == {"spacer": "T2"}
    trial(workshop, job, 1, "B3", "B4")
    accept(workshop, job, 1)
    assert held(workshop, job)["spacer"] == "T2"
    for entry, text in ((ONE, "2.516"), (OTHER, "2.541")):
        workshop.record(job.id, "backlash", entry, text, trial=1)
    for place in STAGES[3].entry("backlash").positions:
        workshop.record(job.id, "backlash", "backlash", "0.08", position=place.key, trial=1)
    accept(workshop, job, 1, stage="backlash")
    assert held(workshop, job) == {"spacer": "T2!", ONE: "B3!", OTHER: "B4!"}
    workshop.withdraw(job.id, "backlash", "spacer", person=TAM, reason="none is fitted")
    assert held(workshop, job) == {ONE: "B3!", OTHER: "B4!"}


def test_a_job_that_takes_nothing_from_the_drawer_leaves_it_alone(workshop: Workshop, job: Any) -> None:
    for entry, text in ((ONE, "2.52"), (OTHER, "2.53")):
        workshop.record(job.id, "preload", entry, text, trial=1)
    measure(workshop, job, 1)
    accept(workshop, job, 1)
    assert held(workshop, job) == {}
    assert {len(workshop.moves(part.id)) for part in workshop.parts()} <= {0, 1}


# --- used and offered -------------------------------------------------------------------------------------------------


def test_seals_are_used_on_a_job(workshop: Workshop, job: Any) -> None:
    seal = part(workshop, "S1")
    assert workshop.use_part(job.id, seal.id, "2", TAM).used[0].pieces == 2
    assert workshop.bring_part_back(job.id, seal.id, "1", TAM).used[0].pieces == 1
    assert count(workshop, "S1") == (seal.count - 1,)
    for typed in ("0", "-1", "two", "99"):
        with pytest.raises(UserError):
            workshop.use_part(job.id, seal.id, typed, TAM)
    assert count(workshop, "S1") == (seal.count - 1,)


def test_what_is_nearest_to_the_wanted_thickness_is_offered_first(workshop: Workshop, job: Any) -> None:
    for side, text in ((ONE, "2.52"), (OTHER, "2.50")):
        workshop.record(job.id, "teardown", f"rings_found_{side}", text)
    advised = workshop.advice(job.id, "preload").offer.parts
    offers = workshop.offers(job.id, "preload", ONE, 1)
    assert (offers[0].part.id, offers[0].off_mm) == (advised[0].id, pytest.approx(0.0))
    assert [abs(offer.off_mm) for offer in offers] == sorted(abs(offer.off_mm) for offer in offers)
    assert {offer.part.place for offer in offers} >= {"A1", "C8"}
    assert not {offer.part.place for offer in offers} & {"P1", "K1", "T1"}, "no ring of this family is so thin or thick"
    assert workshop.offers(job.id, "preload", OTHER, 1)[0].part.id == advised[1].id
    assert [offer.part.place for offer in workshop.offers(job.id, "backlash", "spacer")][:3] == ["T1", "T4", "T2"]
    assert workshop.offers(job.id, "preload", "torque_forward", 1) == []


def test_a_piece_the_job_has_is_offered_to_it_and_to_nobody_else(workshop: Workshop, job: Any) -> None:
    take(workshop, job, ONE, "B3")
    take(workshop, job, OTHER, "B4")
    advised = workshop.advice(job.id, "preload").wanted
    offers = {offer.part.place: offer for offer in workshop.offers(job.id, "preload", ONE, 2)}
    assert offers["B3"].held_at == ONE
    assert offers["B3"].off_mm == pytest.approx(offers["B3"].part.thickness_mm - advised.ring_gear_side_mm)
    other = another_job(workshop)
    assert "B3" not in {offer.part.place for offer in workshop.offers(other.id, "preload", ONE, 1)}


def test_a_ring_in_the_casing_is_still_advised(workshop: Workshop, job: Any) -> None:
    for place in ("B2", "B3", "B4"):
        ring = part(workshop, place)
        if place != "B3" and ring.count > 1:
            workshop.scrap(ring.id, str(ring.count - 1), "only one for this test", OWNER)
    take(workshop, job, ONE, "B3")
    take(workshop, job, OTHER, "B4")
    measure(workshop, job, 1, "0.05")
    assert count(workshop, "B3", "B4") == (0, 0)
    said = workshop.advice(job.id, "preload").text
    assert "from B4" in said or "from B3" in said


# --- where a shim fits ------------------------------------------------------------------------------------------------


def offered(workshop: Workshop, job: Any, stage: str, entry: str, trial: int = 1) -> set[str]:
    return {offer.part.place for offer in workshop.offers(job.id, stage, entry, trial)}


def test_a_shim_is_offered_only_where_it_fits(workshop: Workshop, job: Any) -> None:
    for place, fits in (("X1", ""), ("X2", "sides"), ("X3", "pinion")):
        workshop.add_part("shim", "", place, "2.52 mm", "2.520", fits=fits)
    shims = {"X1", "X2", "X3"}
    assert offered(workshop, job, "preload", ONE) & shims == {"X1", "X2"}
    assert offered(workshop, job, "backlash", OTHER) & shims == {"X1", "X2"}
    assert offered(workshop, job, "contact_pattern", "pinion_shim") & shims == {"X1", "X3"}
    assert offered(workshop, job, "contact_pattern", "second_pinion_shim") & shims == {"X1", "X3"}
    assert offered(workshop, job, "backlash", "spacer", 0) & shims == {"X1"}


@pytest.mark.parametrize(
    ("fits", "stage", "entry", "told"),
    [
        ("pinion", "preload", ONE, "one for the pinion"),
        ("sides", "contact_pattern", "pinion_shim", "one for the sides"),
        ("sides", "backlash", "spacer", "one for the sides"),
    ],
)
def test_a_shim_that_fits_elsewhere_is_refused_in_a_sentence(
    workshop: Workshop, job: Any, fits: str, stage: str, entry: str, told: str
) -> None:
    workshop.add_part("shim", "", "X1", "2.52 mm", "2.520", fits=fits)
    with pytest.raises(RuleError, match=told) as refused:
        take(workshop, job, entry, "X1", 0 if entry == "spacer" else 1, stage)
    assert str(refused.value).endswith("Choose another, or change in the drawer where it fits.")
    assert (held(workshop, job), count(workshop, "X1")) == ({}, (1,)), "nothing moved"
    shim = part(workshop, "X1")
    workshop.change_part(shim, shim.name, shim.place, "0", TAM, fits="")
    if stage != "backlash":
        take(workshop, job, entry, "X1", 1, stage)
        assert held(workshop, job) == {entry: "X1"}


def test_what_is_in_and_said_to_fit_elsewhere_since_stays_until_another_is_taken(workshop: Workshop, job: Any) -> None:
    workshop.add_part("shim", "", "X1", "2.52 mm", "2.520")
    trial(workshop, job, 1, "X1", "B3")
    shim = part(workshop, "X1")
    workshop.change_part(shim, "", "X1", "0", TAM, fits="pinion")
    assert held(workshop, job) == {ONE: "X1", OTHER: "B3"}
    said = workshop.advice(job.id, "preload")
    assert "X1" not in said.text
    assert "X1" not in offered(workshop, job, "preload", ONE, 2)
    accept(workshop, job, 1)
    assert held(workshop, job) == {ONE: "X1!", OTHER: "B3!"}, "what was read was read"
    take(workshop, job, ONE, "B4", 2)
    assert (held(workshop, job)[ONE], count(workshop, "X1")) == ("B4", (1,))
    assert workshop.stock_disagreements() == []


def test_the_shims_of_the_demo_fit_under_the_pinion(workshop: Workshop) -> None:
    said = {part.place: part.fits for part in workshop.parts()}
    assert {place for place, fits in said.items() if fits == "pinion"} == {f"P{at}" for at in range(1, 10)}
    assert set(said.values()) == {"", "pinion"}
