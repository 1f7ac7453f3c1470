"""The shop, its people and its gauges."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from core.errors import InputError, RuleError
from core.facts import Calibration, Gauge, Person, Shop
from core.records import Work

DIAL: dict[str, Any] = {
    "name": "dial 1",
    "use": "dial",
    "kind": "length",
    "resolution": 0.01,
    "stated_error": 0.005,
    "calibrated_on": date(2026, 1, 5),
    "interval_months": 12,
}


def test_a_shop_is_nameless_until_it_is_put(work: Work) -> None:
    assert work.shop() == Shop()


def test_a_shop_is_kept_and_replaced(work: Work) -> None:
    work.put_shop(Shop("Shop", "Lane 1\nTown", "metric"))
    work.put_shop(Shop("Shop of Town", "Lane 2", "inch"))
    assert work.shop() == Shop("Shop of Town", "Lane 2", "inch", 2)


def test_a_shop_has_one_of_two_systems_of_units(work: Work) -> None:
    with pytest.raises(InputError, match="metric, inch"):
        work.put_shop(Shop("Shop", "", "cubits"))


def test_people_come_back_in_the_order_they_were_added(work: Work) -> None:
    work.add_person("Tam Ollerby", "owner")
    work.add_person(" Ines  Marr ")
    assert work.people() == [Person(1, "Tam Ollerby", "owner"), Person(2, "Ines Marr", "bench")]


@pytest.mark.parametrize("again", ["Tam Ollerby", "TAM OLLERBY", " tam  ollerby"])
def test_two_people_of_one_name_could_not_be_told_apart(work: Work, again: str) -> None:
    work.add_person("Tam Ollerby")
    with pytest.raises(RuleError, match="taken"):
        work.add_person(again)


@pytest.mark.parametrize(
    ("name", "role"), [("", "bench"), ("  ", "bench"), ("Tam", "king"), ("x" * 300, "bench"), ("a\0b", "bench")]
)
def test_a_person_that_cannot_be_kept_is_refused(work: Work, name: str, role: str) -> None:
    with pytest.raises(InputError):
        work.add_person(name, role)
    assert work.people() == []


def test_a_gauge_comes_back_as_it_went_in(work: Work) -> None:
    added = work.add_gauge(**DIAL)
    wrench = work.add_gauge("wrench", "torque", "torque", 0.0, 0.05)
    assert replace(added, calibrations=(), intervals=()) == Gauge(1, *DIAL.values())
    assert added.calibrations == (Calibration(date(2026, 1, 5)),)
    assert replace(wrench, intervals=()) == Gauge(2, "wrench", "torque", "torque", 0.0, 0.05)
    assert [gauge.name for gauge in work.gauges()] == ["dial 1", "wrench"]


@pytest.mark.parametrize(
    "changes",
    [
        {"resolution": -0.01},
        {"stated_error": float("nan")},
        {"stated_error": float("inf")},
        {"name": ""},
        {"use": ""},
        {"kind": ""},
        {"calibrated_on": date(2026, 3, 9)},
        {"interval_months": 0},
        {"interval_months": 10**30},
    ],
)
def test_a_gauge_that_cannot_be_is_refused(work: Work, changes: dict[str, Any]) -> None:
    with pytest.raises(InputError):
        work.add_gauge(**(DIAL | changes))
    assert work.gauges() == []


def test_a_gauge_may_be_calibrated_on_the_day_it_is_already_in_the_east(work: Work) -> None:
    assert work.add_gauge(**(DIAL | {"calibrated_on": date(2026, 3, 3)})).calibrated_on == date(2026, 3, 3)


def test_two_gauges_of_one_name_could_not_be_told_apart(work: Work) -> None:
    work.add_gauge(**DIAL)
    with pytest.raises(RuleError):
        work.add_gauge(**(DIAL | {"name": "Dial 1"}))
