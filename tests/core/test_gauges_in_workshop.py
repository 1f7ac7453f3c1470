"""Gauges and the shop's rules as a person works with them: typed in, judged, signed, changed."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from told import course

from core.errors import AccessError, ConflictError, InputError, NotFoundError, RuleError
from core.facts import Gauge, ShopRules
from core.gauges import Why, standing
from core.verdict import Answer
from core.workshop.gauges import marked_words

TAM, OWNER = "Tam Ollerby", "Wren Hask"


def named(workshop: Any, name: str) -> Gauge:
    return next(gauge for gauge in workshop.gauges() if gauge.name == name)


@pytest.fixture
def dial(workshop: Any) -> Gauge:
    """Return dial gauge 1 of the demo, calibrated on 5 January 2026, every 12 months."""
    return named(workshop, "dial gauge 1")


def finish(workshop: Any, job: Any) -> None:
    """Tell the demo's course of a whole job."""
    for (stage, entry, position, trial), text in course("orrin").items():
        workshop.record(job.id, stage, entry, text, position=position, trial=trial, person=TAM)


def runout(workshop: Any, job: Any, text: str = "", **details: Any) -> Any:
    """Return the field of the run-out, after typing it."""
    if text:
        workshop.record(job.id, "backlash", "runout", text, person=TAM, **details)
    fields = workshop.state(job.id).stage("backlash").fields
    return next(field for field in fields if field.entry.key == "runout")


# -- adding ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("use", ["sundial", "", "Dial", "a\nb"])
def test_a_use_nobody_knows_is_refused_with_those_that_are(workshop: Any, use: str) -> None:
    before = workshop.gauges()
    with pytest.raises(InputError, match=r"no use of a gauge known here.* dial, torque, micrometer"):
        workshop.add_gauge("new one", use, "0.01", "0.01")
    assert workshop.gauges() == before


# -- calibrations ------------------------------------------------------------------------------------------------------


def test_a_calibration_is_noted_as_typed(workshop: Any, dial: Gauge) -> None:
    found = workshop.calibrate(
        dial.id, " 2026-03-01 ", True, found_text="± 0.0001 in", certificate=" FL-26-031 ", person=TAM
    )
    noted = found.calibrations[-1]
    assert (noted.day, noted.is_good, noted.note, noted.person) == (date(2026, 3, 1), True, "FL-26-031", TAM)
    assert noted.found_error == pytest.approx(0.00254)
    assert standing(found, date(2026, 3, 2)).due_on == date(2027, 3, 1)


@pytest.mark.parametrize(
    ("day", "found", "error", "told"),
    [
        ("", "", InputError, "day of the calibration is missing"),
        ("last week", "", InputError, "not a date"),
        ("2026-03-09", "", InputError, "future"),
        ("2026-03-01", "three", InputError, "three"),
        ("2026-03-01", "-0.01", InputError, "less than nothing"),
        ("2026-03-01", "1 N·m", InputError, "N·m"),
        ("2026-03-01", "0.02 mm", RuleError, "more than its stated error of 0.005 mm"),
    ],
)
def test_a_calibration_that_cannot_be_is_refused(
    workshop: Any, dial: Gauge, day: str, found: str, error: type[Exception], told: str
) -> None:
    with pytest.raises(error, match=told):
        workshop.calibrate(dial.id, day, True, found_text=found)
    assert named(workshop, dial.name) == dial


def test_a_later_failure_marks_what_was_read_since_the_last_good_one(workshop: Any, job: Any, dial: Gauge) -> None:
    assert runout(workshop, job, "0.03", gauge_id=dial.id).doubts == ()
    workshop.calibrate(dial.id, "2026-03-02", False, found_text="0.02 mm")
    assert [doubt.why for doubt in runout(workshop, job).doubts] == [Why.FOUND_BAD]
    workshop.calibrate(dial.id, "2026-03-02", True)  # adjusted the same day
    field = runout(workshop, job)
    assert [doubt.why for doubt in field.doubts] == [Why.LATER_FOUND_BAD]
    assert field.verdict.answer is Answer.CONFORMS


# -- zero checks -------------------------------------------------------------------------------------------------------


def test_a_good_zero_is_noted_and_marks_nothing(workshop: Any, job: Any, dial: Gauge) -> None:
    runout(workshop, job, "0.03", gauge_id=dial.id)
    outcome = workshop.zero_check(dial.id, "-0,01", TAM, " before the ring gear ")
    assert (outcome.check.value, outcome.check.is_good, outcome.marked) == (-0.01, True, {})
    assert (outcome.check.person, outcome.check.note) == (TAM, "before the ring gear")
    assert outcome.words() == "dial gauge 1: zero good, -0.01 mm."
    assert named(workshop, dial.name).zeros == (outcome.check,)


def test_a_bad_zero_says_which_readings_it_marks_and_what_to_do(workshop: Any, job: Any, dial: Gauge) -> None:
    runout(workshop, job, "0.02", gauge_id=dial.id)
    workshop.zero_check(dial.id, "0", TAM)
    runout(workshop, job, "0.03", gauge_id=dial.id, reason="again")
    outcome = workshop.zero_check(dial.id, "0.02 mm", TAM)
    assert (outcome.check.is_good, outcome.marked) == (False, {"2407": 1})
    assert outcome.words() == (
        "dial gauge 1: zero off by 0.02 mm, more than 0.01 mm. Set it, and check again. "
        "Marked are the readings since the last good check: job 2407 (1); take them again."
    )
    assert "0.000787 in, more than 0.000394 in" in outcome.words("inch")
    field = runout(workshop, job)
    assert [doubt.why for doubt in field.doubts] == [Why.BAD_ZERO]
    assert field.superseded[0].value == 0.02
    assert runout(workshop, job, "0.03", gauge_id=dial.id, reason="still not set").doubts != ()
    workshop.zero_check(dial.id, "0", TAM)
    assert runout(workshop, job, "0.03", gauge_id=dial.id, reason="zero set").doubts == ()


def test_a_bad_zero_marks_nothing_of_yesterday(workshop: Any, job: Any, dial: Gauge, clock: Any) -> None:
    runout(workshop, job, "0.03", gauge_id=dial.id)
    clock.now += timedelta(days=1)
    outcome = workshop.zero_check(dial.id, "0.5 thou", TAM)
    assert outcome.check.is_good is False
    assert outcome.marked == {}
    assert outcome.words().endswith("Set it, and check again.")
    assert runout(workshop, job).doubts == ()


def test_jobs_that_are_marked_are_counted_in_words() -> None:
    assert marked_words({}) == ""
    assert "job 2407 (3), job 2408 (1)" in marked_words({"2407": 3, "2408": 1})


def test_a_thermometers_zero_is_a_difference(workshop: Any) -> None:
    thermometer = named(workshop, "contact thermometer")
    outcome = workshop.zero_check(thermometer.id, "2 °F", TAM)
    assert outcome.check.value == pytest.approx(2 / 1.8)
    assert outcome.check.is_good is True


@pytest.mark.parametrize("typed", ["", "nought", "1 N·m", "1e400"])
def test_a_zero_that_cannot_be_read_is_refused(workshop: Any, dial: Gauge, typed: str) -> None:
    with pytest.raises(InputError):
        workshop.zero_check(dial.id, typed, TAM)
    assert named(workshop, dial.name).zeros == ()


def test_a_gauge_without_a_zero_and_one_that_is_not_there(workshop: Any) -> None:
    with pytest.raises(RuleError, match="feeler set has no zero"):
        workshop.zero_check(named(workshop, "feeler set").id, "0", TAM)
    with pytest.raises(NotFoundError):
        workshop.zero_check(10**6, "0", TAM)


# -- retiring, intervals -----------------------------------------------------------------------------------------------


def test_only_the_owner_retires_a_gauge_and_what_was_read_with_it_stays(workshop: Any, job: Any, dial: Gauge) -> None:
    runout(workshop, job, "0.03", gauge_id=dial.id)
    for act in (workshop.retire_gauge, workshop.bring_back_gauge):
        with pytest.raises(AccessError):
            act(dial.id, TAM)
    retired = workshop.retire_gauge(dial.id, OWNER, dial.version)
    assert retired.is_retired
    assert runout(workshop, job).gauge.name == "dial gauge 1"
    with pytest.raises(ConflictError):
        workshop.bring_back_gauge(dial.id, OWNER, dial.version)
    assert workshop.bring_back_gauge(dial.id, OWNER, retired.version).is_retired is False


def test_an_interval_changed_today_does_not_make_yesterdays_readings_overdue(
    workshop: Any, job: Any, dial: Gauge, clock: Any
) -> None:
    runout(workshop, job, "0.03", gauge_id=dial.id)
    clock.now += timedelta(days=1)
    changed = workshop.change_interval(dial.id, "1", TAM, dial.version)
    assert changed.interval_months == 1
    assert runout(workshop, job).doubts == ()
    assert [doubt.days for doubt in runout(workshop, job, "0.03", gauge_id=dial.id, reason="again").doubts] == [26]
    assert workshop.change_interval(dial.id, " ", TAM).interval_months is None
    with pytest.raises(ConflictError):
        workshop.change_interval(dial.id, "6", TAM, dial.version)
    for wrong in ("0", "six", "1.5"):
        with pytest.raises(InputError):
            workshop.change_interval(dial.id, wrong, TAM)


# -- what an overdue gauge does ----------------------------------------------------------------------------------------


@pytest.fixture
def late(workshop: Any) -> Gauge:
    """Return a dial gauge that is overdue."""
    return workshop.add_gauge("dial gauge 7", "dial", "0.01", "0.005", "2025-02-01", "12", TAM)


def test_only_the_owner_settles_the_rules(workshop: Any) -> None:
    assert workshop.rules() == ShopRules()
    with pytest.raises(AccessError):
        workshop.save_rules("widen", "3", TAM)
    assert workshop.rules() == ShopRules()
    assert workshop.save_rules("widen", "3", OWNER) == workshop.rules() == ShopRules("widen", 3.0)


@pytest.mark.parametrize(("rule", "factor"), [("forget", "2"), ("widen", "0.5"), ("widen", "11"), ("widen", "many")])
def test_a_rule_that_cannot_be_is_refused(workshop: Any, rule: str, factor: str) -> None:
    with pytest.raises(InputError):
        workshop.save_rules(rule, factor, OWNER)
    assert workshop.rules() == ShopRules()


def test_an_open_job_is_judged_by_the_rules_of_now(workshop: Any, job: Any, late: Gauge) -> None:
    answers = [runout(workshop, job, "0.04", gauge_id=late.id).verdict.answer]
    for rule in ("widen", "withhold", "mark"):
        workshop.save_rules(rule, "4", OWNER)
        answers.append(runout(workshop, job).verdict.answer)
    assert answers == [Answer.CONFORMS, Answer.UNCERTAIN, Answer.UNCERTAIN, Answer.CONFORMS]


def test_a_signed_job_is_judged_by_the_rules_of_its_signing(workshop: Any, job: Any, late: Gauge) -> None:
    finish(workshop, job)
    runout(workshop, job, "0.04", gauge_id=late.id, reason="another gauge")
    workshop.sign(job.id, TAM)
    workshop.save_rules("withhold", "2", OWNER)
    assert runout(workshop, job).verdict.answer is Answer.CONFORMS
    (row,) = workshop.find_jobs()
    assert Answer.UNCERTAIN not in row.marks
    workshop.reopen(job.id, TAM, "whines")
    assert runout(workshop, job).verdict.answer is Answer.UNCERTAIN
    (row,) = workshop.find_jobs()
    assert row.marks[3] is Answer.UNCERTAIN
    workshop.sign(job.id, TAM)
    workshop.save_rules("mark", "2", OWNER)
    assert runout(workshop, job).verdict.reason.startswith("No verdict is given.")


def test_in_a_shop_without_an_owner_anybody_settles(empty_workshop: Any) -> None:
    empty_workshop.add_person("Tam Ollerby")
    gauge = empty_workshop.add_gauge("dial 1", "dial", "0.01", "0.005")
    assert empty_workshop.save_rules("withhold", "2", TAM).overdue == "withhold"
    assert empty_workshop.retire_gauge(gauge.id, TAM).is_retired


def test_the_trail_says_who_did_what_to_a_gauge(workshop: Any, dial: Gauge) -> None:
    workshop.calibrate(dial.id, "2026-03-01", True, person=TAM)
    workshop.zero_check(dial.id, "0", TAM)
    workshop.change_interval(dial.id, "6", TAM)
    workshop.retire_gauge(dial.id, OWNER)
    workshop.save_rules("widen", "2", OWNER)
    with workshop._logbook.look() as work:
        told = [(entry.person, entry.doing) for entry in reversed(work.trail(5))]
    assert told == [
        (TAM, "calibrate"),
        (TAM, "zero_check"),
        (TAM, "change_interval"),
        (OWNER, "retire_gauge"),
        (OWNER, "save_rules"),
    ]


def test_midnight_is_the_shops_own(workshop: Any, dial: Gauge, clock: Any) -> None:
    """A reading before local midnight is none of today's, wherever the shop is."""
    midnight = datetime(2026, 3, 3, 12, 0, tzinfo=UTC).astimezone().replace(hour=0, minute=0)
    clock.now = midnight + timedelta(hours=9)
    outcome = workshop.zero_check(dial.id, "0.02", TAM)
    assert outcome.marked == {}
