"""Gauges on a day: calibration, zero, and what an overdue one does to a verdict.

The intervals and the looking back after a failed calibration follow the ideas of ISO/IEC 17025 and ILAC-G24, from
memory; the widened verdict is the budget of the GUM and the decision rule of ISO 14253-1 with a larger stated error,
worked by hand in `tests/published/test_gum_iso14253.py`.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.facts import Calibration, Gauge, Limit, ShopRules, ZeroCheck
from core.gauges import (
    Doubt,
    Standing,
    State,
    Trust,
    Why,
    by_urgency,
    combined,
    doubts,
    doubts_words,
    due_on,
    interval_on,
    is_zero_good,
    last_zero,
    months_words,
    rules_words,
    standing,
    standing_words,
    trust_words,
    trusted,
    width_words,
    zero_words,
    zeros_on,
)
from core.verdict import Answer, judge, judge_trusted

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
TODAY = date(2026, 3, 2)
LIMIT = Limit("backlash", 0.06, 0.10)


def gauge(*found: tuple[str, bool], months: int | None = 12, **changes: Any) -> Gauge:
    """Return a dial gauge with calibrations given as a day and whether it was good."""
    calibrations = tuple(Calibration(date.fromisoformat(day), is_good) for day, is_good in found)
    good = max((c.day for c in calibrations if c.is_good), default=None)
    made = Gauge(1, "dial 1", "dial", "length", 0.01, 0.005, good, months, calibrations=calibrations)
    return replace(made, **changes)


def zero(hour: int, value: float = 0.0, day: int = 2, *, is_good: bool = True) -> ZeroCheck:
    return ZeroCheck(datetime(2026, 3, day, hour, 0, tzinfo=UTC), value, is_good)


def whys(one: Gauge, at: datetime = NOON) -> list[Why]:
    return [doubt.why for doubt in doubts(one, at)]


# -- when a calibration runs out ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("calibrated", "months", "due"),
    [
        ("2026-01-05", 12, "2027-01-05"),
        ("2024-01-31", 1, "2024-02-29"),
        ("2025-01-31", 1, "2025-02-28"),
        ("2024-02-29", 12, "2025-02-28"),
        ("2025-11-30", 1, "2025-12-30"),
        ("2025-12-31", 2, "2026-02-28"),
        ("2025-01-15", 1200, "2125-01-15"),
    ],
)
def test_a_calibration_runs_out_on_the_same_day_of_a_later_month(calibrated: str, months: int, due: str) -> None:
    assert due_on(date.fromisoformat(calibrated), months) == date.fromisoformat(due)


def test_what_is_not_followed_never_runs_out() -> None:
    assert due_on(None, 12) is None
    assert due_on(TODAY, None) is None
    assert due_on(date(9990, 12, 5), 1200) is None


@given(st.dates(date(1990, 1, 1), date(2100, 1, 1)), st.integers(1, 240))
def test_a_calibration_lasts_whole_months(day: date, months: int) -> None:
    due = due_on(day, months)
    assert due is not None
    assert (due.year - day.year) * 12 + due.month - day.month == months
    assert due.day == day.day or (due.day < day.day and (due + timedelta(days=1)).month != due.month)


@pytest.mark.parametrize(
    ("one", "expected"),
    [
        (gauge(("2026-01-05", True)), Standing(State.IN_DATE, date(2026, 1, 5), date(2027, 1, 5))),
        (gauge(("2025-03-02", True)), Standing(State.IN_DATE, date(2025, 3, 2), TODAY)),
        (gauge(("2025-03-01", True)), Standing(State.OVERDUE, date(2025, 3, 1), date(2026, 3, 1), 1)),
        (gauge(), Standing(State.NEVER)),
        (gauge(("2026-03-03", True)), Standing(State.NEVER)),
        (gauge(months=None), Standing(State.NOT_FOLLOWED)),
        (gauge(("2020-01-05", True), months=None), Standing(State.NOT_FOLLOWED, date(2020, 1, 5))),
        (
            gauge(("2025-06-01", True), ("2026-03-02", False)),
            Standing(State.FOUND_BAD, date(2025, 6, 1), date(2026, 6, 1), found_bad_on=TODAY),
        ),
        (gauge(("2026-03-02", False), months=None), Standing(State.FOUND_BAD, found_bad_on=TODAY)),
        (
            gauge(("2026-03-01", False), ("2026-03-01", True)),
            Standing(State.IN_DATE, date(2026, 3, 1), date(2027, 3, 1)),
        ),
        (
            gauge(calibrated_on=date(2026, 1, 5)),  # only the day is known
            Standing(State.IN_DATE, date(2026, 1, 5), date(2027, 1, 5)),
        ),
        (gauge(calibrated_on=date(2026, 1, 5), months=10**5), Standing(State.IN_DATE, date(2026, 1, 5))),
    ],
)
def test_how_a_gauge_stands_on_a_day(one: Gauge, expected: Standing) -> None:
    assert standing(one, TODAY) == expected


def test_an_interval_counts_from_the_day_it_was_settled() -> None:
    noted = (datetime(2025, 1, 5, 9, 0, tzinfo=UTC), 12), (datetime(2026, 3, 2, 9, 0, tzinfo=UTC), 6)
    one = gauge(("2025-06-01", True), months=6, intervals=noted)
    assert [interval_on(one, date(2024, 1, 1)), interval_on(one, date(2026, 3, 1)), interval_on(one, TODAY)] == [
        12,
        12,
        6,
    ]
    assert standing(one, date(2026, 3, 1)).state is State.IN_DATE  # what was read yesterday was read in date
    assert standing(one, TODAY).overdue_days == 91


def test_what_wants_calibrating_first_stands_first() -> None:
    ones = [
        gauge(("2026-02-01", True), name="in date"),
        gauge(("2025-02-01", True), name="overdue"),
        gauge(("2026-01-01", True), name="in date, sooner due"),
        gauge(months=None, name="not followed"),
        gauge(("2020-01-01", True), name="retired", is_retired=True),
        gauge(("2020-01-01", True), name="long overdue"),
        gauge(name="never"),
        gauge(("2026-01-01", False), name="failed"),
    ]
    names = [one.name for one in by_urgency(ones, TODAY)]
    assert names == [
        "failed",
        "never",
        "long overdue",
        "overdue",
        "in date, sooner due",
        "in date",
        "not followed",
        "retired",
    ]


# -- why a reading is marked -------------------------------------------------------------------------------------------


def test_a_reading_is_marked_by_the_gauge_as_it_was_then() -> None:
    one = gauge(("2024-01-05", True), ("2026-01-05", True))
    assert whys(one) == []
    assert doubts(one, datetime(2025, 2, 4, 12, 0, tzinfo=UTC)) == (Doubt(Why.OVERDUE, "dial 1", 30, date(2025, 1, 5)),)
    assert whys(one, datetime(2023, 2, 4, 12, 0, tzinfo=UTC)) == [Why.NEVER]


def test_a_failed_calibration_casts_doubt_back_to_the_last_good_one() -> None:
    one = gauge(("2025-06-01", True), ("2025-12-01", True), ("2026-03-10", False), ("2026-03-11", True))
    at = {day: whys(one, datetime.fromisoformat(f"{day}T12:00:00+00:00")) for day in (
        "2025-11-30", "2025-12-01", "2026-03-02", "2026-03-10", "2026-03-11", "2026-03-12"
    )}  # fmt: skip
    assert at == {
        "2025-11-30": [],
        "2025-12-01": [Why.LATER_FOUND_BAD],
        "2026-03-02": [Why.LATER_FOUND_BAD],
        "2026-03-10": [Why.FOUND_BAD],
        "2026-03-11": [],
        "2026-03-12": [],
    }


def test_a_gauge_adjusted_on_the_day_it_failed_was_off_that_morning() -> None:
    one = gauge(("2025-12-01", True), ("2026-03-02", False), ("2026-03-02", True))
    assert whys(one) == [Why.LATER_FOUND_BAD]
    assert whys(one, NOON + timedelta(days=1)) == []


@pytest.mark.parametrize(
    ("checks", "is_marked"),
    [
        ([], False),
        ([zero(8)], False),
        ([zero(8), zero(14)], False),
        ([zero(8), zero(14, is_good=False)], True),  # off when it was looked at again
        ([zero(8, is_good=False)], True),  # nobody set it
        ([zero(8, is_good=False), zero(9)], False),  # set and checked before the reading
        ([zero(8), zero(13), zero(14, is_good=False)], False),  # a good check lies between
        ([zero(8, day=1, is_good=False), zero(14, day=3, is_good=False)], False),  # other days
        ([zero(12, is_good=False), zero(13)], True),  # the check at that very moment
    ],
)
def test_a_bad_zero_marks_the_readings_between_the_good_ones(checks: list[ZeroCheck], is_marked: bool) -> None:
    one = gauge(("2026-01-05", True), zeros=tuple(checks))
    assert whys(one) == ([Why.BAD_ZERO] if is_marked else [])


@given(st.lists(st.tuples(st.integers(1, 3), st.integers(0, 23), st.booleans()), unique_by=lambda c: c[:2]))
def test_a_zero_marks_a_reading_only_from_its_own_day(found: list[tuple[int, int, bool]]) -> None:
    checks = tuple(zero(hour, day=day, is_good=is_good) for day, hour, is_good in sorted(found))
    one = gauge(("2026-01-05", True), zeros=checks)
    of_today = tuple(check for check in zeros_on(one, [TODAY]))
    assert whys(one) == whys(replace(one, zeros=of_today))
    assert all(check.is_good for check in of_today) <= (whys(one) == [])


@pytest.mark.parametrize(
    ("resolution", "stated_error", "value", "is_good"),
    [
        (0.01, 0.005, 0.01, True),  # one step cannot be told from zero
        (0.01, 0.005, -0.01, True),
        (0.01, 0.005, 0.0101, False),
        (0.001, 0.003, 0.003, True),  # within the stated error, which every verdict counts
        (0.001, 0.003, -0.004, False),
        (0.01, 0.0, 0.0004 * 25.4, False),
        (0.0005 * 25.4, 0.0, 0.0127, True),  # the same half thou, typed in inches
    ],
)
def test_a_zero_is_good_within_a_step_or_the_stated_error(
    resolution: float, stated_error: float, value: float, is_good: bool
) -> None:
    assert is_zero_good(gauge(resolution=resolution, stated_error=stated_error), value) is is_good


def test_the_last_zero_is_that_of_the_day_or_before() -> None:
    one = gauge(zeros=(zero(8, day=1), zero(8, 0.02, is_good=False)))
    assert last_zero(one, date(2026, 2, 28)) is None
    assert last_zero(one, date(2026, 3, 1)) == one.zeros[0]
    assert last_zero(one, date(2026, 3, 9)) == one.zeros[1]


# -- what it does to a verdict -----------------------------------------------------------------------------------------

OVERDUE = gauge(("2025-02-01", True))
VALUE = 0.07
"""Inside the limits by more than the guard of the dial gauge, but not by that of twice its stated error."""


@pytest.mark.parametrize(
    ("rules", "answer", "told"),
    [
        (ShopRules("mark"), Answer.CONFORMS, "dial 1: calibration overdue by 29 days."),
        (ShopRules("widen", 3.0), Answer.UNCERTAIN, "overdue by 29 days. Its stated error counts 3 times."),
        (ShopRules("withhold"), Answer.UNCERTAIN, "No verdict is given. dial 1: calibration overdue by 29 days."),
    ],
)
def test_the_owner_says_what_an_overdue_gauge_does(rules: ShopRules, answer: Answer, told: str) -> None:
    verdict = judge_trusted(VALUE, LIMIT, trusted(OVERDUE, NOON, rules), "length", "mm")
    assert verdict.answer is answer
    assert told in verdict.reason


@pytest.mark.parametrize("rules", [ShopRules("mark"), ShopRules("widen", 3.0), ShopRules("withhold")])
def test_a_gauge_in_date_is_judged_alike_under_every_rule(rules: ShopRules) -> None:
    one = gauge(("2026-01-05", True))
    assert judge_trusted(VALUE, LIMIT, trusted(one, NOON, rules), "length", "mm") == judge(
        VALUE, LIMIT, one, "length", "mm"
    )
    assert judge_trusted(VALUE, LIMIT, None, "length", "mm") == judge(VALUE, LIMIT, None, "length", "mm")


@pytest.mark.parametrize("rules", [ShopRules("widen", 3.0), ShopRules("withhold")])
@pytest.mark.parametrize("why", [Why.LATER_FOUND_BAD, Why.BAD_ZERO])
def test_a_doubt_that_came_up_later_only_marks(rules: ShopRules, why: Why) -> None:
    one = {
        Why.LATER_FOUND_BAD: gauge(("2026-01-05", True), ("2026-04-05", False)),
        Why.BAD_ZERO: gauge(("2026-01-05", True), zeros=(zero(13, 0.02, is_good=False),)),
    }[why]
    trust = trusted(one, NOON, rules)
    verdict = judge_trusted(VALUE, LIMIT, trust, "length", "mm")
    assert [doubt.why for doubt in trust.doubts] == [why]
    assert verdict.answer is Answer.CONFORMS
    assert verdict.reason.endswith(trust_words(trust))


@pytest.mark.parametrize(
    "one", [gauge(), gauge(("2025-06-01", True), ("2026-01-05", False))], ids=["never calibrated", "failed"]
)
def test_a_gauge_nothing_vouches_for_is_as_good_as_overdue(one: Gauge) -> None:
    assert trusted(one, NOON, ShopRules("withhold")).is_withheld
    assert trusted(one, NOON, ShopRules("widen", 4.0)).error == 4.0 * one.stated_error


def test_nothing_is_withheld_where_there_is_nothing_to_judge() -> None:
    trust = trusted(OVERDUE, NOON, ShopRules("withhold"))
    assert judge_trusted(None, LIMIT, trust, "length", "mm").answer is Answer.MISSING
    assert judge_trusted(0.08, Limit("any", None, None), trust, "length", "mm").answer is Answer.MISSING


GAUGES = st.builds(
    lambda resolution, error: replace(OVERDUE, resolution=resolution, stated_error=error),
    st.floats(0.0, 0.2),
    st.floats(0.0, 0.2),
)
FACTORS = st.floats(1.0, 10.0)
VALUES = st.floats(-0.5, 1.5)
LIMITS = st.tuples(st.none() | st.floats(0.0, 0.5), st.none() | st.floats(0.5, 1.0)).filter(any)


@given(VALUES, LIMITS, GAUGES, FACTORS)
def test_widening_never_makes_proof_out_of_doubt(
    value: float, edges: tuple[float | None, float | None], one: Gauge, factor: float
) -> None:
    """The widened answer is the plain one, or uncertain; never conforms where it did not."""
    limit = Limit("any", *edges)
    plain = judge(value, limit, one, "length", "mm").answer
    widened = judge_trusted(value, limit, trusted(one, NOON, ShopRules("widen", factor)), "length", "mm").answer
    assert widened in (plain, Answer.UNCERTAIN)


@given(VALUES, LIMITS, GAUGES, FACTORS, FACTORS)
def test_a_larger_factor_only_adds_doubt(
    value: float, edges: tuple[float | None, float | None], one: Gauge, factor: float, other: float
) -> None:
    limit = Limit("any", *edges)
    less, more = (
        judge_trusted(value, limit, trusted(one, NOON, ShopRules("widen", f)), "length", "mm")
        for f in sorted((factor, other))
    )
    assert more.answer in (less.answer, Answer.UNCERTAIN)
    assert less.guard is not None
    assert more.guard is not None
    assert less.guard <= more.guard


@given(VALUES, LIMITS, GAUGES)
def test_withholding_leaves_nothing_but_doubt(
    value: float, edges: tuple[float | None, float | None], one: Gauge
) -> None:
    trust = trusted(one, NOON, ShopRules("withhold"))
    assert judge_trusted(value, Limit("any", *edges), trust, "length", "mm").answer is Answer.UNCERTAIN


@given(
    st.lists(st.tuples(st.dates(date(2023, 1, 1), date(2026, 2, 28)), st.booleans()), max_size=6),
    st.none() | st.integers(1, 60),
)
def test_a_good_calibration_that_day_ends_every_lapse(found: list[tuple[date, bool]], months: int | None) -> None:
    before = tuple(Calibration(day, is_good) for day, is_good in found)
    one = gauge(months=months, calibrations=(*before, Calibration(TODAY)), calibrated_on=TODAY)
    assert standing(one, TODAY).is_lapsed is False
    assert trusted(one, NOON, ShopRules("withhold")) == Trust(one)


# -- several readings --------------------------------------------------------------------------------------------------


def test_several_readings_are_worth_their_coarsest_gauge_and_carry_every_doubt_once() -> None:
    rules = ShopRules("widen", 2.0)
    fine = trusted(gauge(("2026-01-05", True), stated_error=0.004), NOON, rules)
    late = trusted(OVERDUE, NOON - timedelta(days=1), rules)
    later = trusted(OVERDUE, NOON, rules)
    off = trusted(gauge(("2026-01-05", True), name="dial 2", zeros=(zero(9, 0.02, is_good=False),)), NOON, rules)
    together = combined([off, fine, later, late])
    assert together is not None
    assert (together.gauge, together.error, together.factor) == (OVERDUE, 0.01, 2.0)
    assert [(doubt.why, doubt.gauge, doubt.days) for doubt in together.doubts] == [
        (Why.OVERDUE, "dial 1", 29),
        (Why.BAD_ZERO, "dial 2", 0),
    ]
    assert together.is_withheld is False
    assert combined([]) is None


def test_one_withheld_reading_withholds_the_mean() -> None:
    rules = ShopRules("withhold")
    coarse = trusted(gauge(("2026-01-05", True), stated_error=0.1), NOON, rules)
    together = combined([coarse, trusted(OVERDUE, NOON, rules)])
    assert together is not None
    assert (together.gauge.stated_error, together.is_withheld) == (0.1, True)


# -- in words ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (gauge(("2026-01-05", True)), "good until 2027-01-05"),
        (gauge(("2026-01-05", True), months=10**5), "calibrated on 2026-01-05"),
        (gauge(("2025-03-01", True)), "overdue by 1 day"),
        (gauge(("2025-02-01", True)), "overdue by 29 days"),
        (gauge(), "never calibrated"),
        (gauge(months=None), "not followed"),
        (gauge(("2026-01-05", True), months=None), "not followed, last on 2026-01-05"),
        (gauge(("2026-01-05", False)), "found not good on 2026-01-05"),
    ],
)
def test_a_standing_is_said_in_words(one: Gauge, words: str) -> None:
    assert standing_words(standing(one, TODAY)) == words


def test_doubts_are_said_in_words() -> None:
    day = date(2026, 1, 5)
    assert doubts_words(()) == ""
    assert doubts_words(Doubt(why, "dial 1", 29, day) for why in Why) == (
        "calibration overdue by 29 days, never calibrated, found not good on 2026-01-05, "
        "found not good later, on 2026-01-05, zero was off"
    )
    two = Trust(gauge(), (Doubt(Why.NEVER, "dial 1"), Doubt(Why.BAD_ZERO, "dial 2"), Doubt(Why.BAD_ZERO, "dial 1")))
    assert trust_words(two) == "dial 1: never calibrated, zero was off. dial 2: zero was off."
    assert trust_words(Trust(gauge())) == ""


def test_intervals_are_said_in_words() -> None:
    assert [months_words(months) for months in (None, 1, 12)] == [
        "calibration is not followed",
        "every month",
        "every 12 months",
    ]


def test_the_rule_is_said_in_words() -> None:
    assert rules_words(ShopRules("mark")) == "An overdue gauge: the reading is marked, its verdict stands."
    assert "counts 2.5 times" in rules_words(ShopRules("widen", 2.5))
    assert "no verdict is given" in rules_words(ShopRules("withhold"))


def test_widths_are_said_in_the_shops_units() -> None:
    assert width_words(gauge(), 0.01) == "0.01 mm"
    assert width_words(gauge(), 0.0127, "inch") == "0.0005 in"
    assert width_words(gauge(), -0.02) == "-0.02 mm"
    assert width_words(gauge(), 0.0) == "0 mm"
    thermometer = Gauge(2, "thermometer", "thermometer", "temperature", 1.0, 2.0)
    assert width_words(thermometer, 1.0) == "1 °C"
    assert width_words(thermometer, 1.0, "inch") == "1.8 °F"
    assert zero_words(gauge(), zero(8, 0.01)) == "zero good, 0.01 mm"
    assert zero_words(gauge(), zero(8, -0.02, is_good=False)) == "zero off, -0.02 mm"
