"""What a stage says: the next thing to do in every situation, gates, and remarks beside the entries."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest

from core.facts import CardFact, Gauge, Limit
from core.stages import STAGES
from core.verdict import Answer

Paper = Callable[..., Any]
WRENCH = Gauge(1, "beam wrench 2", "torque", "torque", 0.05, 0.05)
STAYS = {"backlash/accepted/2", "preload/accepted/3", "contact_pattern/accepted/1"}


# --- the next thing ---------------------------------------------------------------------------------------------------


def test_first_the_first_field_with_its_place(paper: Paper) -> None:
    job = paper()
    assert job.stage("teardown").next_thing == (
        "Set the dial stem square to a tooth at the heel and read the backlash in at least four places. Next: 0°."
    )
    job.read("teardown", "backlash_found", "0.14", "at_000")
    assert job.stage("teardown").next_thing.endswith("Next: 45°.")


def test_once_enough_places_are_read_the_next_entry_is_asked_for(paper: Paper) -> None:
    job = paper()
    job.read_all("teardown", "backlash_found", ["0.14"] * 4)
    assert job.stage("teardown").next_thing == (
        "Turn the pinion slowly and read the running torque, not the breakaway."
    )


def test_a_gap_is_asked_for_before_what_comes_after_it(paper: Paper) -> None:
    job = paper().tell(upto="teardown")
    job.withdraw("teardown", "cup_tag", "right")
    assert job.stage("teardown").next_thing == ("Tag the cup before it comes out, and write the tag down. Next: right.")


def test_optional_entries_are_never_asked_for(paper: Paper) -> None:
    job = paper()
    for key in ("pairs_kept", "out_of_mesh"):
        job.read("preload", key, "yes")
    assert job.stage("preload").next_thing == (
        "Trial 1: Measure the ring for the ring-gear side; the stamped size is not enough."
    )


def test_in_trials_the_last_one_is_worked_on(paper: Paper) -> None:
    job = paper()
    for key in ("pairs_kept", "out_of_mesh"):
        job.read("preload", key, "yes")
    job.preload_trial("2.50", "2.50", "0.05", "0.05", 1)
    assert job.stage("preload").next_thing == "Trial 1 does not conform: try the next."
    assert job.stage("preload", open_trial=2).next_thing.startswith("Trial 2: Measure the ring")
    job.preload_trial("2.52", "2.53", "0.60", "0.65", 2)
    assert job.stage("preload").next_thing == "Trial 2 conforms: accept it if it is to stay."
    job.read("preload", "accepted", "yes", trial=2)
    assert job.stage("preload").next_thing == "This stage is complete."


def test_a_trial_too_close_to_call_is_read_again(paper: Paper) -> None:
    job = paper(gauges=[WRENCH])
    for key in ("pairs_kept", "out_of_mesh"):
        job.read("preload", key, "yes")
    for key, text in (("ring_gear_side", "2.52"), ("opposite_side", "2.53")):
        job.read("preload", key, text, trial=1)
    for key in ("torque_forward", "torque_back"):
        job.read("preload", key, "0.52", trial=1, gauge=1)
    state = job.stage("preload")
    assert state.trials[0].verdict.answer is Answer.UNCERTAIN
    assert state.next_thing == "Trial 1 is too close to a limit to call: read it again, or try another."


def test_a_trial_the_card_cannot_judge_may_still_stay(paper: Paper) -> None:
    job = paper(limits={"turning_torque": None})
    for key in ("pairs_kept", "out_of_mesh"):
        job.read("preload", key, "yes")
    job.preload_trial("2.52", "2.53", "0.60", "0.65", 1)
    state = job.stage("preload")
    assert state.trials[0].verdict.answer is Answer.MISSING
    assert state.next_thing == "The spec card gives no limit for trial 1: accept it if it is to stay."
    job.read("preload", "accepted", "yes", trial=1)
    assert job.stage("preload").verdict.answer is Answer.CONFORMS


def test_backlash_waits_for_preload_once_the_gear_is_bolted_on(paper: Paper) -> None:
    job = paper()
    gate = "Bolt the ring gear on; backlash trials wait until a preload trial is accepted."
    state = job.stage("backlash")
    assert state.gate == gate
    assert state.next_thing == ("Degrease the threads and put thread-locking compound on every ring-gear bolt."), (
        "bolting on does not wait"
    )
    job.bolt_on()
    assert job.stage("backlash").next_thing == gate
    job.preload()
    state = job.stage("backlash")
    assert state.gate is None
    assert state.next_thing.startswith("Trial 1: Measure the ring")


def test_only_backlash_has_a_gate(paper: Paper) -> None:
    assert [s.stage.key for s in paper().state().stages if s.gate] == ["backlash"]


@pytest.mark.parametrize(
    ("stage", "entry", "position", "text", "sentence"),
    [
        (
            "fill", "groove_bottom", "", "square",
            "Output-flange groove, how it is cut does not conform: put it right, then enter it again.",
        ),
        (
            "housing_prep", "magnet_check", "", "particles",
            "Magnet check does not conform: put it right, then enter it again.",
        ),
        (
            "backlash", "bolt_setting", "", "100",
            "Torque at the ring-gear bolts does not conform: put it right, then enter it again.",
        ),
    ],
)  # fmt: skip
def test_a_fault_is_named(paper: Paper, stage: str, entry: str, position: str, text: str, sentence: str) -> None:
    job = paper().tell()
    job.read(stage, entry, text, position)
    assert job.stage(stage).next_thing == sentence


def test_a_fault_in_the_accepted_trial_is_named(paper: Paper) -> None:
    job = paper().tell()
    job.read("contact_pattern", "coast_along", "80", trial=1)
    assert job.stage("contact_pattern").next_thing.startswith("Coast side, centre along the tooth does not conform")


def test_what_was_found_is_never_the_fault_that_is_named(paper: Paper) -> None:
    job = paper().tell(upto="housing_prep")
    assert job.stage("teardown").next_thing == "This stage is complete."


def test_a_complete_but_uncertain_stage_asks_for_a_finer_gauge(paper: Paper) -> None:
    job = paper(gauges=[WRENCH]).tell()
    job.read("fill", "final_turning_torque", "0.8", gauge=1)
    assert job.stage("fill").next_thing == (
        "All is entered; one value is too close to its limit to call: measure it with a finer gauge."
    )


def test_a_signed_job_says_who_signed(paper: Paper) -> None:
    signed = paper(signed_at=datetime(2026, 3, 3, tzinfo=UTC), signed_by="Tam Ollerby").tell()
    assert signed.stage("fill").next_thing == "Signed by Tam Ollerby; hand the sheet over."


@pytest.mark.parametrize("place", ["", "teardown", "housing_prep", "preload", "backlash", "contact_pattern", "fill"])
@pytest.mark.parametrize("drop", [(), STAYS])
def test_there_is_always_one_sentence(paper: Paper, place: str, drop: set[str]) -> None:
    job = paper()
    if place and not (drop and place in ("backlash", "contact_pattern", "fill")):
        job.tell(upto=place, drop=drop)
    for declared in STAGES:
        sentence = job.stage(declared.key).next_thing
        assert sentence.endswith(".")
        assert "{" not in sentence


# --- remarks ----------------------------------------------------------------------------------------------------------


def test_a_mixed_pair_is_pointed_at_by_side(paper: Paper) -> None:
    job = paper()
    for side, cup, cone in (("left", "A", " a "), ("right", "B", "C")):
        job.read("teardown", "cup_tag", cup, side)
        job.read("teardown", "cone_tag", cone, side)
    (remark,) = job.stage("teardown").remarks
    assert remark.is_warning
    assert remark.text == ("On the right the cup is tagged B and the cone C: a cup and its cone stay together.")
    job.read("teardown", "cone_tag", "B", "right")
    job.read("teardown", "cone_tag", "X", "left")
    assert job.stage("teardown").remarks[0].text.startswith("On the left the cup is tagged A and the cone X")


def test_a_pair_of_which_one_is_not_tagged_yet_is_no_mixed_pair(paper: Paper) -> None:
    job = paper()
    job.read("teardown", "cup_tag", "A", "left")
    assert job.stage("teardown").remarks == ()


@pytest.mark.parametrize("filled", ["75W-140", " 75w-140 "])
def test_the_oil_the_card_asks_for_calls_for_no_remark(paper: Paper, filled: str) -> None:
    job = paper()
    job.read("fill", "oil_grade", filled)
    assert job.stage("fill").remarks == ()


def test_another_oil_is_remarked_on(paper: Paper) -> None:
    job = paper()
    job.read("fill", "oil_grade", "80W-90")
    (remark,) = job.stage("fill").remarks
    assert (remark.text, remark.is_warning) == ("The card asks for 75W-140, but 80W-90 was filled.", True)
    without = paper(facts={"oil_grade": None})
    without.read("fill", "oil_grade", "80W-90")
    assert without.stage("fill").remarks == ()


def test_a_square_groove_is_remarked_on(paper: Paper) -> None:
    job = paper()
    job.read("fill", "groove_bottom", "square")
    (remark,) = job.stage("fill").remarks
    assert remark.is_warning
    assert "snaps under load" in remark.text
    job.read("fill", "groove_bottom", "radius")
    assert job.stage("fill").remarks == ()


def test_preload_accepted_anew_asks_for_backlash_again(paper: Paper) -> None:
    job = paper().preload()
    job.backlash_trial("2.60", "2.45", "0.08")
    job.read("backlash", "accepted", "yes", trial=1)
    assert job.stage("backlash").remarks == ()
    job.preload_trial("2.54", "2.55", "0.70", "0.70", 2)
    job.read("preload", "accepted", "yes", trial=2)
    (remark,) = job.stage("backlash").remarks
    assert remark.is_warning
    assert remark.text == ("Preload was accepted anew and its ring sum no longer fits this pair: set backlash again.")


def test_preload_accepted_anew_within_the_tolerance_is_left_alone(paper: Paper) -> None:
    job = paper().preload()
    job.backlash_trial("2.60", "2.45", "0.08")
    job.read("backlash", "accepted", "yes", trial=1)
    job.preload_trial("2.53", "2.54", "0.70", "0.70", 2)
    job.read("preload", "accepted", "yes", trial=2)
    assert job.stage("backlash").remarks == (), "0.02 mm is the card's tolerance, and it passes"


def test_the_usual_tolerance_holds_where_the_card_gives_none(paper: Paper) -> None:
    for stated, remarked in ((None, 1), (CardFact("ring_sum_tolerance", 0.03, "0.03 mm", "mm"), 0)):
        job = paper(facts={"ring_sum_tolerance": stated}).preload()
        job.backlash_trial("2.60", "2.45", "0.08")
        job.read("backlash", "accepted", "yes", trial=1)
        job.preload_trial("2.53", "2.545", "0.70", "0.70", 2)
        job.read("preload", "accepted", "yes", trial=2)
        assert len(job.stage("backlash").remarks) == remarked


def test_a_ring_taken_back_from_the_accepted_pair_is_missing_not_remarked_on(paper: Paper) -> None:
    job = paper(limits={"backlash_variation": Limit("backlash_variation", None, 0.02)}).preload()
    job.backlash_trial("2.60", "2.45", "0.08")
    job.read("backlash", "accepted", "yes", trial=1)
    job.withdraw("backlash", "opposite_side", trial=1)
    state = job.stage("backlash")
    assert state.remarks == ()
    assert "Ring on the opposite side" in state.missing
