"""A stage judged from its readings: answers, trials, acceptance, what is missing, and what stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from core.facts import Gauge, Limit
from core.stages import evaluate_stage, stage
from core.stages.context import Context
from core.stages.entry import Choice, Entry, Stage
from core.verdict import Answer

Paper = Callable[..., Any]
DIAL = Gauge(1, "dial gauge 1", "dial", "length", 0.01, 0.005)
COARSE_DIAL = Gauge(2, "dial gauge 2", "dial", "length", 0.05, 0.02)


def field(state: Any, key: str, position: str = "", trial: int = 0) -> Any:
    fields = state.fields if not trial else next(t for t in state.trials if t.number == trial).fields
    return next(f for f in fields if f.entry.key == key and f.position.key == position)


def derived(state: Any, key: str, trial: int = 0) -> Any:
    found = state.derived if not trial else next(t for t in state.trials if t.number == trial).derived
    return next(d for d in found if d.derived.key == key)


# --- one field --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "gauge", "answer"),
    [
        (None, None, "missing"),
        ("0.05", None, "conforms"),  # exactly on the limit, and nothing known of the gauge
        ("0.051", None, "does_not_conform"),
        ("0.03", 1, "conforms"),
        ("0.05", 1, "uncertain"),
        ("0.07", 1, "does_not_conform"),
    ],
)
def test_a_field_is_missing_uncertain_or_judged(paper: Paper, typed: str | None, gauge: int, answer: str) -> None:
    job = paper(gauges=[DIAL])
    if typed is not None:
        job.read("backlash", "runout", typed, gauge=gauge)
    runout = field(job.stage("backlash"), "runout")
    assert runout.verdict.answer == answer
    assert runout.verdict.reason.endswith(".")
    assert runout.gauge == (DIAL if gauge else None)
    assert runout.limit.high == 0.05


def test_a_field_without_limit_or_choices_has_no_verdict(paper: Paper) -> None:
    job = paper()
    job.read("fill", "groove_position", "8.5")
    job.read("fill", "oil_grade", "75W-140")
    state = job.stage("fill")
    assert field(state, "groove_position").verdict is None
    assert field(state, "oil_grade").verdict is None


def test_a_limit_the_card_leaves_out_judges_nothing(paper: Paper) -> None:
    job = paper(limits={"runout": None})
    job.read("backlash", "runout", "0.9")
    assert field(job.stage("backlash"), "runout").verdict is None


def test_the_reason_is_written_in_the_unit_that_was_typed(paper: Paper) -> None:
    job = paper()
    job.read("backlash", "runout", ".001 in")
    assert "in)" in field(job.stage("backlash"), "runout").verdict.reason


@pytest.mark.parametrize(("choice", "answer"), [("radius", Answer.CONFORMS), ("square", Answer.DOES_NOT_CONFORM)])
def test_a_choice_is_judged(paper: Paper, choice: str, answer: Answer) -> None:
    job = paper()
    job.read("fill", "groove_bottom", choice)
    assert field(job.stage("fill"), "groove_bottom").verdict.answer is answer


def test_a_choice_that_is_only_noted_has_no_verdict(paper: Paper) -> None:
    job = paper()
    job.read("teardown", "oil_found", "dark")
    job.read("contact_pattern", "drag", "light")
    assert field(job.stage("teardown"), "oil_found").verdict is None
    assert field(job.stage("contact_pattern"), "drag").verdict is None


def test_places_beyond_those_needed_are_offered_not_missing(paper: Paper) -> None:
    job = paper()
    job.read_all("teardown", "backlash_found", ["0.08"] * 3)
    state = job.stage("teardown")
    assert field(state, "backlash_found", "at_315").verdict.answer is Answer.MISSING
    assert "Backlash as found" in state.missing
    job.read("teardown", "backlash_found", "0.08", "at_180")
    state = job.stage("teardown")
    assert field(state, "backlash_found", "at_315").verdict is None
    assert "Backlash as found" not in state.missing


# --- corrections ------------------------------------------------------------------------------------------------------


def test_a_correction_supersedes_and_the_older_readings_are_kept_oldest_first(paper: Paper) -> None:
    job = paper()
    for text in ("0.9", "0.8", "0.02"):
        job.read("backlash", "runout", text)
    runout = field(job.stage("backlash"), "runout")
    assert runout.reading.text == "0.02"
    assert [r.text for r in runout.superseded] == ["0.9", "0.8"]
    assert runout.verdict.answer is Answer.CONFORMS


def test_a_reading_taken_back_leaves_the_field_open_and_stays_in_the_log(paper: Paper) -> None:
    job = paper()
    job.read("backlash", "runout", "0.02")
    job.withdraw("backlash", "runout")
    runout = field(job.stage("backlash"), "runout")
    assert runout.reading is None
    assert runout.verdict.answer is Answer.MISSING
    assert [r.text for r in runout.superseded] == ["0.02"]
    job.read("backlash", "runout", "0.03")
    runout = field(job.stage("backlash"), "runout")
    assert runout.reading.text == "0.03"
    assert [r.text for r in runout.superseded] == ["0.02", ""]


def test_the_last_written_reading_wins_in_whatever_order_they_are_handed_over(paper: Paper) -> None:
    job = paper()
    for text in ("0.01", "0.02"):
        job.read("backlash", "runout", text)
    shuffled = Context(job.job, tuple(reversed(job.readings)))
    assert shuffled.value("backlash", "runout") == 0.02
    assert field(evaluate_stage(stage("backlash"), shuffled), "runout").superseded[0].text == "0.01"


def test_readings_of_an_entry_that_is_not_declared_are_left_alone(paper: Paper) -> None:
    job = paper()
    job.read("fill", "note", "as it was")
    job.readings[0] = replace(job.readings[0], entry="from_another_version")
    assert job.stage("fill").missing == paper().stage("fill").missing


# --- the context ------------------------------------------------------------------------------------------------------


def test_what_is_not_there_is_none_or_empty(paper: Paper) -> None:
    context = paper().context
    assert context.value("backlash", "runout") is None
    assert context.text("fill", "oil_grade") == ""
    assert context.values("backlash", "backlash", 1) == {}
    assert context.accepted_trial("preload", "accepted") is None
    assert context.gauge_of("backlash", "runout") is None
    assert context.trials("preload") == ()


def test_the_coarsest_gauge_used_carries_the_mean(paper: Paper) -> None:
    job = paper(gauges=[DIAL, COARSE_DIAL])
    places = [p.key for p in stage("teardown").entry("backlash_found").positions]
    for index, place in enumerate(places[:4]):
        job.read("teardown", "backlash_found", "0.08", place, gauge=2 if index == 2 else 1)
    assert job.context.gauge_of("teardown", "backlash_found") == COARSE_DIAL
    mean = derived(job.stage("teardown"), "backlash_mean_found")
    assert mean.value == pytest.approx(0.08)
    # ±0.02 and a step of 0.05 are too coarse for a limit 0.04 wide; the good dial alone would have conformed.
    assert mean.verdict.answer is Answer.UNCERTAIN


def test_an_unknown_gauge_counts_as_none(paper: Paper) -> None:
    job = paper(gauges=[DIAL])
    job.read("backlash", "runout", "0.05", gauge=77)
    runout = field(job.stage("backlash"), "runout")
    assert runout.gauge is None
    assert runout.verdict.answer is Answer.CONFORMS
    assert job.context.gauge_of("backlash", "runout") is None


# --- computed values --------------------------------------------------------------------------------------------------


def test_a_mean_waits_for_four_places(paper: Paper) -> None:
    job = paper()
    job.read_all("teardown", "backlash_found", ["0.14", "0.16", "0.18"])
    assert derived(job.stage("teardown"), "backlash_mean_found").value is None
    job.read("teardown", "backlash_found", "0.16", "at_135")
    state = job.stage("teardown")
    assert derived(state, "backlash_mean_found").value == pytest.approx(0.16)
    assert derived(state, "backlash_variation_found").value == pytest.approx(0.04)


def test_the_ring_sum_found_waits_for_both_rings(paper: Paper) -> None:
    job = paper()
    job.read("teardown", "rings_found_ring_gear_side", "2.62")
    assert derived(job.stage("teardown"), "ring_sum_found").value is None
    job.read("teardown", "rings_found_opposite_side", "2.38")
    assert derived(job.stage("teardown"), "ring_sum_found").value == pytest.approx(5.0)


def test_the_smallest_running_clearance_is_judged(paper: Paper) -> None:
    job = paper()
    assert derived(job.stage("housing_prep"), "smallest_clearance").value is None
    job.read_all("housing_prep", "running_clearance", ["1.3", "0.7", "1.6"])
    clearance = derived(job.stage("housing_prep"), "smallest_clearance")
    assert clearance.value == 0.7
    assert clearance.verdict.answer is Answer.DOES_NOT_CONFORM


@pytest.mark.parametrize(
    ("wrench", "adapter", "torque_nm"),
    [
        ("", "", 133.3),
        ("400", "", 133.3),
        ("400", "0", 133.3),
        ("400", "50", 133.3 * 450 / 400),
        ("", "50", None),
    ],
)
def test_an_adapter_lengthens_the_lever_on_the_bolts(
    paper: Paper, wrench: str, adapter: str, torque_nm: float | None
) -> None:
    job = paper()
    job.read("backlash", "bolt_setting", "133.3")
    for key, text in (("wrench_length", wrench), ("adapter_length", adapter)):
        if text:
            job.read("backlash", key, text)
    state = job.stage("backlash")
    assert derived(state, "bolt_torque").value == (None if torque_nm is None else pytest.approx(torque_nm))
    assert [r.text for r in state.remarks] == (
        ["With an adapter the wrench length is needed to know the torque at the bolt."] if torque_nm is None else []
    )


def test_the_bolt_torque_waits_for_the_setting(paper: Paper) -> None:
    state = paper().stage("backlash")
    assert derived(state, "bolt_torque").value is None
    assert derived(state, "bolt_torque").verdict.answer is Answer.MISSING


def test_backlash_around_the_gear_is_summed_up(paper: Paper) -> None:
    job = paper().preload()
    job.backlash_trial("2.60", "2.45", ["0.07", "0.07", "0.08", "0.09", "0.09", "0.09", "0.08", "0.07"])
    state = job.stage("backlash")
    values = {d.derived.key: d.value for d in state.trials[0].derived}
    assert values == pytest.approx(
        {
            "ring_sum": 5.05,
            "backlash_mean": 0.08,
            "backlash_smallest": 0.07,
            "backlash_largest": 0.09,
            "backlash_variation": 0.02,
        }
    )
    assert state.trials[0].verdict.answer is Answer.CONFORMS


def test_too_much_variation_does_not_conform_though_every_place_does(paper: Paper) -> None:
    job = paper(limits={"backlash_variation": Limit("backlash_variation", None, 0.02)}).preload()
    job.backlash_trial("2.52", "2.53", ["0.06", "0.06", "0.08", "0.08", "0.09", "0.08", "0.08", "0.06"])
    trial = job.stage("backlash").trials[0]
    assert {f.verdict.answer for f in trial.fields if f.entry.key == "backlash"} == {Answer.CONFORMS}
    assert trial.verdict.answer is Answer.DOES_NOT_CONFORM


# --- trials -----------------------------------------------------------------------------------------------------------


def test_a_stage_in_trials_shows_its_first_and_the_one_begun(paper: Paper) -> None:
    job = paper()
    assert [t.number for t in job.stage("preload").trials] == [1]
    assert [t.number for t in job.stage("preload", open_trial=3).trials] == [1, 3]
    job.preload_trial("2.50", "2.50", "0.05", "0.05", 1)
    assert [t.number for t in job.stage("preload", open_trial=2).trials] == [1, 2]
    assert job.stage("teardown").trials == ()
    assert job.stage("teardown").accepted is None


def test_a_trial_is_missing_until_complete_and_then_judged(paper: Paper) -> None:
    job = paper()
    job.read("preload", "ring_gear_side", "2.52", trial=1)
    job.read("preload", "opposite_side", "2.53", trial=1)
    job.read("preload", "torque_forward", "0.60", trial=1)
    assert job.stage("preload").trials[0].verdict.answer is Answer.MISSING
    job.read("preload", "torque_back", "0.65", trial=1)
    trial = job.stage("preload").trials[0]
    assert trial.verdict.answer is Answer.CONFORMS
    assert derived(job.stage("preload"), "torque_mean", 1).value == pytest.approx(0.625)


def test_a_trial_turned_down_is_no_fault(paper: Paper) -> None:
    job = paper()
    job.preload_trial("2.52", "2.53", "0.60", "0.65", 1)
    job.read("preload", "accepted", "no", trial=1)
    state = job.stage("preload")
    assert field(state, "accepted", trial=1).verdict is None
    assert state.accepted is None
    assert "an accepted trial" in state.missing


def test_the_last_accepted_trial_wins_until_its_acceptance_is_taken_back(paper: Paper) -> None:
    job = paper()
    for trial, (one, other) in enumerate((("2.50", "2.54"), ("2.52", "2.53")), start=1):
        job.preload_trial(one, other, "0.6", "0.6", trial)
        job.read("preload", "accepted", "yes", trial=trial)
    state = job.stage("preload")
    assert [(t.number, t.is_accepted) for t in state.trials] == [(1, False), (2, True)]
    assert state.accepted.number == 2
    job.withdraw("preload", "accepted", trial=2)
    assert job.stage("preload").accepted.number == 1
    job.read("preload", "accepted", "no", trial=1)
    assert job.stage("preload").accepted is None


def test_an_accepted_trial_is_what_the_stage_is_judged_by(paper: Paper) -> None:
    job = paper().preload(torque="1.20")
    state = job.stage("preload")
    assert state.verdict.answer is Answer.DOES_NOT_CONFORM
    assert state.verdict.reason == "Something here does not conform."
    job.preload_trial("2.52", "2.50", "0.70", "0.70", 2)
    job.read("preload", "accepted", "yes", trial=2)
    assert job.stage("preload").verdict.answer is Answer.CONFORMS


def test_a_reading_taken_back_from_an_accepted_trial_is_missing_again(paper: Paper) -> None:
    job = paper().preload()
    assert job.stage("preload").missing == ()
    job.withdraw("preload", "torque_back", trial=1)
    state = job.stage("preload")
    assert state.missing == ("Turning torque, back",)
    assert state.verdict.answer is Answer.MISSING
    assert state.next_thing == "Trial 1: Turn the carrier slowly back and read the running torque again."


# --- the stage and the job --------------------------------------------------------------------------------------------


def test_what_was_found_is_no_fault_of_the_stage(paper: Paper) -> None:
    job = paper().tell(upto="teardown")
    state = job.stage("teardown")
    assert derived(state, "backlash_mean_found").verdict.answer is Answer.DOES_NOT_CONFORM
    assert field(state, "seal_condition", "left").verdict.answer is Answer.DOES_NOT_CONFORM
    assert state.verdict.answer is Answer.CONFORMS
    assert state.verdict.reason == "Everything here conforms."
    assert state.next_thing == "This stage is complete."


def test_a_stage_names_everything_it_misses(paper: Paper) -> None:
    job = paper()
    job.read("housing_prep", "bearings_masked", "yes")
    state = job.stage("housing_prep")
    assert state.missing[:2] == ("Places that interfere", "Places relieved")
    assert "Seal bore" not in state.missing, "optional"
    assert state.verdict.answer is Answer.MISSING
    assert state.verdict.reason.startswith("Missing: Places that interfere, Places relieved, ")


def test_a_fault_outweighs_what_is_missing(paper: Paper) -> None:
    job = paper()
    job.read("housing_prep", "magnet_check", "particles")
    state = job.stage("housing_prep")
    assert state.missing
    assert state.verdict.answer is Answer.DOES_NOT_CONFORM


def test_one_uncertain_value_makes_a_complete_stage_uncertain(paper: Paper) -> None:
    job = paper(gauges=[DIAL]).tell(upto="backlash")
    job.read("backlash", "runout", "0.05", gauge=1)
    state = job.stage("backlash")
    assert state.verdict.answer is Answer.UNCERTAIN
    assert state.verdict.reason == "Something here is too close to its limit for the gauge used."


def test_a_stage_whose_card_judges_nothing_can_still_be_complete(paper: Paper) -> None:
    bare = Stage("paint", "Paint", (Entry("colour", "Colour", "text"),), ())
    job = paper()
    assert evaluate_stage(bare, job.context).verdict.answer is Answer.MISSING
    job.read("fill", "note", "grey")
    job.readings[0] = replace(job.readings[0], stage="paint", entry="colour")
    assert evaluate_stage(bare, job.context).verdict.answer is Answer.CONFORMS


def test_an_answer_of_another_version_is_uncertain(paper: Paper) -> None:
    answers = (Choice("smooth", "smooth", True), Choice("rough", "rough", False))
    brush = Stage("paint", "Paint", (Entry("finish", "Finish", "choice", choices=answers),), ())
    job = paper()
    job.read("fill", "note", "hammered")
    job.readings[0] = replace(job.readings[0], stage="paint", entry="finish")
    assert evaluate_stage(brush, job.context).verdict.answer is Answer.UNCERTAIN


@pytest.mark.parametrize(("course", "family"), [("orrin", "Orrin B"), ("kelda", "Kelda 3"), ("vask", "Vask T")])
def test_a_whole_job_conforms_in_every_stage(paper: Paper, course: str, family: str) -> None:
    state = paper(family, is_limited_slip=family != "Vask T").tell(course).state()
    assert [s.verdict.answer for s in state.stages] == [Answer.CONFORMS] * 6
    assert [s.missing for s in state.stages] == [()] * 6
    assert state.stage("preload").accepted.number == (3 if course == "orrin" else 2)
    with pytest.raises(KeyError):
        state.stage("paint")


def test_an_empty_job_is_missing_in_every_stage(paper: Paper) -> None:
    state = paper().state()
    assert [s.verdict.answer for s in state.stages] == [Answer.MISSING] * 6
    assert all(s.missing for s in state.stages)


def test_an_open_job_is_not_asked_about_clutch_plates(paper: Paper) -> None:
    labels = {f.entry.key for f in paper(is_limited_slip=False).stage("teardown").fields}
    assert "clutch_pack" not in labels
    assert "clutch_pack" in {f.entry.key for f in paper().stage("teardown").fields}


# --- adjuster nuts ----------------------------------------------------------------------------------------------------


def test_notches_of_a_nut_count_as_their_advance(paper: Paper) -> None:
    job = paper("Vask T", is_limited_slip=False).preload("13", "12", "1.6")
    # 25 notches of 1.5 mm / 36
    assert derived(job.stage("preload"), "ring_sum", 1).value == pytest.approx(25 * 1.5 / 36)
    job.backlash_trial("14", "11", "0.15")
    assert derived(job.stage("backlash"), "ring_sum", 1).value == pytest.approx(25 * 1.5 / 36)


@pytest.mark.parametrize("lacking", ["nut_thread_pitch", "nut_notches"])
def test_notches_mean_nothing_before_the_thread_is_known(paper: Paper, lacking: str) -> None:
    job = paper("Vask T", is_limited_slip=False, facts={lacking: None})
    job.preload_trial("13", "12", "1.6", "1.6", 1)
    assert derived(job.stage("preload"), "ring_sum", 1).value is None
