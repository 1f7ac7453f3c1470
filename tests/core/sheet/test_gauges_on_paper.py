"""The shop's copy says how each gauge stood when it was used, and what its zero checks found."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from core.facts import Calibration, ShopRules, ZeroCheck
from core.stages import evaluate_job
from core.stages.context import Context
from core.stages.state import JobState

RULES = {rule: ShopRules(rule, 3.0) for rule in ("mark", "widen", "withhold")}


def state(told: Any, rules: ShopRules, **dial: Any) -> JobState:
    """Return the short job judged by some rules, dial gauge 1 (due on 5 January 2032) changed."""
    gauges = {**told.gauges, 1: replace(told.gauges[1], **dial)}
    return evaluate_job(Context(told.job, tuple(told.readings), gauges, rules))


def section(words: str) -> str:
    """Return the words from the heading of the gauges on."""
    return words[words.rindex("Calibration when it was used") :]


def test_a_gauge_in_date_is_named_with_its_calibration_and_not_marked(told: Any, printed: Any, read: Any) -> None:
    words = read(printed(state(told, RULES["mark"])))
    assert "dial gauge 1 dial gauge 0.01 mm ± 0.005 mm 5 Jan 2031, every 12 months" in section(words)
    assert "beam wrench 2 torque wrench 0.05 N·m ± 0.05 N·m not on record" in section(words)
    assert "overdue" not in words
    assert "An overdue gauge" not in words
    assert "Zero check" not in words


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ("mark", "An overdue gauge: the reading is marked, its verdict stands."),
        ("widen", "An overdue gauge: the reading is marked, and the stated error counts 3 times."),
        ("withhold", "An overdue gauge: the reading is marked, and no verdict is given."),
    ],
)
def test_an_overdue_gauge_is_marked_where_it_was_used_and_the_rule_is_said(
    told: Any, printed: Any, read: Any, rule: str, said: str
) -> None:
    words = read(printed(state(told, RULES[rule], calibrated_on=date(2030, 4, 5))))
    assert "dial gauge 1 ± 0.005 mm, calibration overdue by 30 days · Tam Ollerby" in words
    assert "5 Apr 2030, every 12 months; calibration overdue by 30 days" in section(words)
    assert said in section(words)
    reason = {
        "mark": "limit (0.060 to 0.100 mm); the gauge is uncertain",
        "widen": "Its stated error counts 3 times.",
        "withhold": "No verdict is given. dial gauge 1: calibration overdue by 30 days.",
    }[rule]
    assert reason in words


def test_a_gauge_that_failed_later_is_marked_with_the_day(told: Any, printed: Any, read: Any) -> None:
    found = (Calibration(date(2031, 1, 5)), Calibration(date(2031, 5, 10), is_good=False))
    words = read(printed(state(told, RULES["widen"], calibrations=found)))
    assert "dial gauge 1 ± 0.005 mm, found not good later, on 2031-05-10 · Tam Ollerby" in words
    assert "found not good later, on 2031-05-10" in section(words)
    assert "counts 3 times" not in words  # the rule on overdue gauges is about those known to be when it was read


def test_the_zero_checks_of_the_jobs_day_are_listed(told: Any, printed: Any, read: Any) -> None:
    opened = told.readings[0].taken_at
    zeros = (
        ZeroCheck(opened - timedelta(days=1), 0.005, True, "Jory Pell"),
        ZeroCheck(opened - timedelta(minutes=5), 0.0, True, "Tam Ollerby"),
        ZeroCheck(opened + timedelta(hours=3), -0.02, False, "Tam Ollerby", "fell off the bench"),
    )
    words = section(read(printed(state(told, RULES["mark"], zeros=zeros))))
    assert "Zero check When Showed Found By" in words
    assert "dial gauge 1 5 May 2031 07:56 0 mm good Tam Ollerby" in words
    assert "dial gauge 1 5 May 2031 11:01 -0.02 mm off Tam Ollerby · fell off the bench" in words
    assert "Jory Pell" not in words


def test_places_read_with_one_gauge_say_it_again_where_its_standing_changed(told: Any, printed: Any, read: Any) -> None:
    """From one place to the next the calibration ran out: the second place must not pass for the first."""
    first = next(r for r in told.readings if (r.entry, r.position) == ("backlash", "at_000"))
    ran_out = {"calibrated_on": (first.taken_at - timedelta(days=365)).date(), "interval_months": 12}
    at = [
        r.taken_at + timedelta(days=1) if r.entry == "backlash" and r.id > first.id else r.taken_at
        for r in told.readings
    ]
    told.readings = [replace(r, taken_at=moment) for r, moment in zip(told.readings, at, strict=True)]
    words = read(printed(state(told, RULES["mark"], **ran_out)))
    assert words.count("calibration overdue by 1 day · Tam Ollerby") == 1


def test_the_customers_page_carries_the_verdict_as_the_rule_has_it(told: Any, printed: Any, read: Any) -> None:
    late = {"calibrated_on": date(2030, 4, 5)}
    plain = read(printed(state(told, RULES["mark"], **late), copy="customer"))
    withheld = read(printed(state(told, RULES["withhold"], **late), copy="customer"))
    assert withheld.count("uncertain") > plain.count("uncertain")
    assert "overdue" not in withheld


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_long_names_and_notes_find_room(told: Any, printed: Any, read: Any, page: str) -> None:
    zero = ZeroCheck(told.readings[0].taken_at, 0.02, False, "T" * 150, "n" * 3000)
    words = read(printed(state(told, RULES["widen"], name="G" * 200, zeros=(zero,)), page=page))
    assert words.count("n" * 60) >= 20
