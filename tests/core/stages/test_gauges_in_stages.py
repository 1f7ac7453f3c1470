"""A stage judged by the gauges as they were when its readings were taken, and by the shop's rules."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from core.facts import Calibration, Gauge, ShopRules, ZeroCheck
from core.gauges import Why
from core.verdict import Answer

Paper = Callable[..., Any]
GOOD = Gauge(1, "dial gauge 1", "dial", "length", 0.01, 0.005, date(2026, 1, 5), 12)
LATE = Gauge(2, "dial gauge 2", "dial", "length", 0.01, 0.005, date(2025, 1, 5), 12)
COARSE = Gauge(3, "dial gauge 3", "dial", "length", 0.01, 0.008, date(2026, 1, 5), 12)
RULES = {rule: ShopRules(rule, 3.0) for rule in ("mark", "widen", "withhold")}


def runout(job: Any) -> Any:
    return next(f for f in job.stage("backlash").fields if f.entry.key == "runout")


def result(job: Any, key: str = "backlash_mean", trial: int = 1) -> Any:
    derived = next(t for t in job.stage("backlash").trials if t.number == trial).derived
    return next(d for d in derived if d.derived.key == key)


@pytest.mark.parametrize(
    ("rule", "answer"), [("mark", Answer.CONFORMS), ("widen", Answer.UNCERTAIN), ("withhold", Answer.UNCERTAIN)]
)
def test_a_reading_with_an_overdue_gauge_is_taken_marked_and_judged_by_the_rule(
    paper: Paper, rule: str, answer: Answer
) -> None:
    job = paper(gauges=[GOOD, LATE])
    job.rules = RULES[rule]
    job.read("backlash", "runout", "0.04", gauge=2)
    field = runout(job)
    assert field.reading.value == 0.04
    assert [doubt.why for doubt in field.doubts] == [Why.OVERDUE]
    assert field.verdict.answer is answer
    assert "dial gauge 2: calibration overdue by 56 days." in field.verdict.reason
    assert field.gauge == LATE


@pytest.mark.parametrize("rule", RULES)
def test_a_reading_with_a_gauge_in_date_or_with_none_is_not_marked(paper: Paper, rule: str) -> None:
    job = paper(gauges=[GOOD, LATE])
    job.rules = RULES[rule]
    for gauge in (1, None):
        job.read("backlash", "runout", "0.04", gauge=gauge)
        assert (runout(job).doubts, runout(job).verdict.answer) == ((), Answer.CONFORMS)


def test_a_reading_without_a_limit_is_marked_too(paper: Paper) -> None:
    job = paper(gauges=[replace(LATE, use="caliper")])
    job.read("fill", "groove_position", "8.5", gauge=2)
    field = next(f for f in job.stage("fill").fields if f.entry.key == "groove_position")
    assert field.verdict is None
    assert [doubt.why for doubt in field.doubts] == [Why.OVERDUE]


def test_a_computed_value_carries_the_doubts_of_the_readings_it_comes_from(paper: Paper) -> None:
    job = paper(gauges=[GOOD, LATE, COARSE]).preload().bolt_on()
    job.backlash_trial("2.52", "2.53", "0.08")
    assert result(job).doubts == ()
    for gauge, texts in ((1, ["0.08"] * 4), (3, ["0.08"] * 3)):
        job.read_all("backlash", "backlash", texts, 1, gauge)
    job.read("backlash", "backlash", "0.08", "at_315", 1, 2)
    plain = result(job)
    assert [doubt.gauge for doubt in plain.doubts] == ["dial gauge 2"]
    job.rules = RULES["widen"]
    # The overdue gauge, three times its stated error, is now coarser than the one that was coarsest before.
    assert plain.trust.gauge == COARSE
    assert (result(job).trust.gauge, result(job).trust.error) == (LATE, pytest.approx(0.015))
    job.rules = RULES["withhold"]
    assert result(job).verdict.answer is Answer.UNCERTAIN
    assert result(job).verdict.reason.startswith("No verdict is given.")


def test_a_value_that_cannot_be_worked_out_is_not_marked(paper: Paper) -> None:
    job = paper(gauges=[LATE]).preload().bolt_on()
    job.read("backlash", "backlash", "0.08", "at_000", 1, 2)
    assert result(job).value is None
    assert result(job).doubts == ()


def test_a_stage_whose_verdict_is_withheld_says_so_and_what_to_do(paper: Paper) -> None:
    job = paper(gauges=[LATE]).tell("orrin", "backlash")
    job.rules = RULES["withhold"]
    state = job.stage("backlash")
    assert state.verdict.answer is Answer.CONFORMS
    job.read("backlash", "runout", "0.02", gauge=2)
    state = job.stage("backlash")
    assert state.verdict.answer is Answer.UNCERTAIN
    assert state.verdict.reason == "Something here was read with a gauge whose calibration had run out."
    assert state.next_thing == (
        "All is entered; one value was read with a gauge out of calibration: read it again with another."
    )
    job.rules = RULES["mark"]
    assert job.stage("backlash").verdict.answer is Answer.CONFORMS


def test_a_value_too_near_its_limit_is_not_blamed_on_calibration(paper: Paper) -> None:
    job = paper(gauges=[GOOD, LATE]).tell("orrin", "backlash")
    job.rules = RULES["withhold"]
    job.read("teardown", "runout_found", "0.03", gauge=2)  # what was found is no fault
    job.read("backlash", "runout", "0.05", gauge=1)
    state = job.stage("backlash")
    assert state.verdict.reason == "Something here is too close to its limit for the gauge used."
    assert "finer gauge" in state.next_thing


def test_a_trial_read_out_of_calibration_asks_for_another_gauge(paper: Paper) -> None:
    wrench = Gauge(4, "wrench", "torque", "torque", 0.01, 0.01, date(2025, 1, 5), 12)
    job = paper(gauges=[wrench])
    for key in ("pairs_kept", "out_of_mesh"):
        job.read("preload", key, "yes")
    job.preload_trial("2.52", "2.53", "0.60", "0.60", 1)
    job.read("preload", "torque_forward", "0.60", trial=1, gauge=4)
    assert job.stage("preload").next_thing == "Trial 1 conforms: accept it if it is to stay."
    job.rules = RULES["withhold"]
    assert job.stage("preload").next_thing == (
        "Trial 1 was read with a gauge out of calibration: read it with another."
    )


def test_calibrated_again_later_changes_nothing_about_what_was_read_before(paper: Paper) -> None:
    again = replace(LATE, calibrations=(Calibration(date(2025, 1, 5)), Calibration(date(2026, 3, 3))))
    job = paper(gauges=[again])
    job.read("backlash", "runout", "0.04", gauge=2)
    assert [doubt.why for doubt in runout(job).doubts] == [Why.OVERDUE]


def test_a_zero_found_off_marks_the_reading_before_it(paper: Paper) -> None:
    off = ZeroCheck(datetime(2026, 3, 2, 9, 0, tzinfo=UTC), 0.02, is_good=False)
    job = paper(gauges=[replace(GOOD, zeros=(off,))])
    job.read("backlash", "runout", "0.04", gauge=1)
    assert runout(job).verdict.answer is Answer.CONFORMS
    assert runout(job).verdict.reason.endswith("dial gauge 1: zero was off.")
