"""Gauges in the logbook: calibrations, zero checks, retiring, intervals, and the shop's rule on overdue ones."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from core.errors import ConflictError, InputError, NotFoundError, RuleError, UserError
from core.facts import Calibration, Gauge, Job, Reading, ShopRules, ZeroCheck
from core.records import Logbook, Work, tables

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
DIAL: dict[str, Any] = {
    "name": "dial 1",
    "use": "dial",
    "kind": "length",
    "resolution": 0.01,
    "stated_error": 0.005,
    "calibrated_on": date(2026, 1, 5),
    "interval_months": 12,
}


@pytest.fixture
def dial(work: Work) -> Gauge:
    """Return a dial gauge."""
    return work.add_gauge(**DIAL)


def rows(work: Work, table: Any) -> int:
    return len(work._rows(table.select()))


def test_every_calibration_stays_known_good_or_not(work: Work, dial: Gauge) -> None:
    work.calibrate(dial.id, date(2024, 1, 5), is_good=True, person="Tam", certificate="FL-24-011")
    found = work.calibrate(dial.id, date(2026, 3, 1), is_good=False, found_error=0.02, certificate="FL-26-007")
    assert found.calibrations == (
        Calibration(date(2024, 1, 5), True, None, "FL-24-011", "Tam"),
        Calibration(date(2026, 1, 5)),
        Calibration(date(2026, 3, 1), False, 0.02, "FL-26-007"),
    )
    assert found.calibrated_on == date(2026, 1, 5)
    assert work.calibrate(dial.id, date(2026, 3, 1), is_good=True).calibrated_on == date(2026, 3, 1)


def test_calibrations_of_one_day_keep_the_order_they_were_noted_in(work: Work, dial: Gauge) -> None:
    work.calibrate(dial.id, date(2026, 3, 1), is_good=False)
    found = work.calibrate(dial.id, date(2026, 3, 1), is_good=True)
    assert [c.is_good for c in found.calibrations] == [True, False, True]


def test_a_gauge_off_by_more_than_it_states_cannot_be_good(work: Work, dial: Gauge) -> None:
    with pytest.raises(RuleError, match=r"dial 1 was off by 0\.006 mm, more than its stated error of 0\.005 mm"):
        work.calibrate(dial.id, date(2026, 3, 1), is_good=True, found_error=0.006)
    assert work.calibrate(dial.id, date(2026, 3, 1), is_good=True, found_error=0.005).calibrated_on == date(2026, 3, 1)


@pytest.mark.parametrize(
    "changes",
    [
        {"day": date(2026, 3, 9)},
        {"found_error": -0.01},
        {"found_error": float("nan")},
        {"found_error": 1e9},
        {"certificate": "x" * 5000},
        {"certificate": "a\0b"},
        {"person": "x" * 300},
    ],
)
def test_a_calibration_that_cannot_be_is_refused(work: Work, dial: Gauge, changes: dict[str, Any]) -> None:
    before = rows(work, tables.gauge_check)
    with pytest.raises(InputError):
        work.calibrate(**({"gauge_id": dial.id, "day": date(2026, 3, 1), "is_good": False} | changes))
    assert rows(work, tables.gauge_check) == before


@pytest.mark.parametrize("gauge_id", [0, -1, 99, 10**30])
def test_what_is_done_to_no_gauge_is_refused(work: Work, dial: Gauge, gauge_id: int) -> None:
    for act in (
        lambda: work.gauge(gauge_id),
        lambda: work.calibrate(gauge_id, date(2026, 3, 1), is_good=True),
        lambda: work.check_zero(gauge_id, 0.0, NOW),
        lambda: work.retire_gauge(gauge_id),
        lambda: work.change_interval(gauge_id, 6),
    ):
        with pytest.raises(NotFoundError, match="no such gauge"):
            act()


def test_zero_checks_come_back_by_time_with_what_was_found(work: Work, dial: Gauge) -> None:
    earlier = NOW - timedelta(hours=1)
    work.check_zero(dial.id, 0.02, NOW, "Tam", "knocked off the bench")
    found = work.check_zero(dial.id, -0.01, earlier, "Jory")
    assert found.zeros == (
        ZeroCheck(earlier, -0.01, True, "Jory"),
        ZeroCheck(NOW, 0.02, False, "Tam", "knocked off the bench"),
    )
    assert found.calibrations == dial.calibrations


def test_only_the_zero_checks_asked_for_are_read(work: Work, dial: Gauge) -> None:
    for days in (400, 1, 0):
        work.check_zero(dial.id, 0.0, NOW - timedelta(days=days))
    found = work.gauges(NOW - timedelta(days=1))
    assert [check.at for check in found[0].zeros] == [NOW - timedelta(days=1), NOW]
    assert found[0].calibrations == dial.calibrations


@pytest.mark.parametrize("use", ["feeler", "radius_gauge", "vessel", "something newer"])
def test_a_gauge_without_a_zero_has_none_to_check(work: Work, use: str) -> None:
    gauge = work.add_gauge(**(DIAL | {"use": use}))
    with pytest.raises(RuleError, match="no zero"):
        work.check_zero(gauge.id, 0.0, NOW)


@pytest.mark.parametrize(
    ("value", "at"),
    [(float("nan"), NOW), (float("inf"), NOW), (-1e9, NOW), (0.0, NOW + timedelta(hours=1))],
)
def test_a_zero_that_cannot_be_is_refused(work: Work, dial: Gauge, value: float, at: datetime) -> None:
    with pytest.raises(InputError):
        work.check_zero(dial.id, value, at)
    assert work.gauge(dial.id).zeros == ()


def test_readings_of_a_gauge_are_counted_by_job(
    work: Work, dial: Gauge, record: Callable[..., Reading], add_job: Callable[..., Job]
) -> None:
    other = add_job("2408", "K-1184")
    for minutes in (30, 20, 10, 0):
        record(0.08, gauge_id=dial.id, at=NOW - timedelta(minutes=minutes))
    record(0.08, position="at_045", gauge_id=None)
    record(0.08, job_id=other.id, gauge_id=dial.id, at=NOW - timedelta(minutes=15))
    assert work.readings_by_job(dial.id, None, NOW) == {"2407": 4, "2408": 1}
    # After the one moment, up to and with the other.
    assert work.readings_by_job(dial.id, NOW - timedelta(minutes=20), NOW - timedelta(minutes=10)) == {
        "2407": 1,
        "2408": 1,
    }
    assert work.readings_by_job(dial.id + 1, None, NOW) == {}


def test_a_retired_gauge_stays_with_its_history_and_its_name(work: Work, dial: Gauge) -> None:
    retired = work.retire_gauge(dial.id, seen=dial.version)
    assert (retired.is_retired, retired.version) == (True, 2)
    assert retired.calibrations == dial.calibrations
    assert work.gauges() == [retired]
    with pytest.raises(RuleError, match="taken"):
        work.add_gauge(**DIAL)
    assert work.retire_gauge(dial.id, is_retired=False).is_retired is False


def test_two_who_change_one_gauge_hear_of_each_other(logbook: Logbook) -> None:
    with logbook.work(by="Tam Ollerby", doing="add_gauge") as work:
        dial = work.add_gauge(**DIAL)
        work.commit()
    with logbook.work(by="Wren Hask", doing="change_interval") as work:
        work.change_interval(dial.id, 6, seen=dial.version)
        work.commit()
    with logbook.work(by="Tam Ollerby", doing="retire_gauge") as work:
        with pytest.raises(ConflictError, match="Wren Hask"):
            work.retire_gauge(dial.id, seen=dial.version)
        with pytest.raises(ConflictError, match="Wren Hask"):
            work.change_interval(dial.id, 24, seen=dial.version)
        assert work.gauge(dial.id).interval_months == 6


def test_the_intervals_that_were_in_force_stay_known(work: Work, dial: Gauge) -> None:
    work.change_interval(dial.id, 6)
    work.retire_gauge(dial.id)
    found = work.change_interval(dial.id, None)
    assert found.interval_months is None
    assert [months for _, months in found.intervals] == [12, 6, None]
    assert {at for at, _ in found.intervals} == {NOW}


@pytest.mark.parametrize("months", [0, -1, 1201, 10**30])
def test_an_interval_that_cannot_be_is_refused(work: Work, dial: Gauge, months: int) -> None:
    with pytest.raises(InputError):
        work.change_interval(dial.id, months)
    assert work.gauge(dial.id) == dial


# -- the shop's rules --------------------------------------------------------------------------------------------------


def test_the_rules_are_mild_until_the_owner_settles_them(work: Work) -> None:
    assert work.rules() == ShopRules("mark", 2.0)


def test_what_was_in_force_before_stays_known(work: Work) -> None:
    for days, rules in ((20, ShopRules("widen", 3.0)), (10, ShopRules("withhold", 3.0)), (0, ShopRules("mark", 1.5))):
        work.put_rules(rules, "Wren", NOW - timedelta(days=days))
    assert work.rules(NOW - timedelta(days=21)) == ShopRules()
    assert work.rules(NOW - timedelta(days=20)) == ShopRules("widen", 3.0)
    assert work.rules(NOW - timedelta(days=5)) == ShopRules("withhold", 3.0)
    assert work.rules() == ShopRules("mark", 1.5)


def test_only_what_changed_is_noted(work: Work) -> None:
    work.put_rules(ShopRules("widen", 2.0), "Wren", NOW)
    work.put_rules(ShopRules("widen", 2.0), "Wren", NOW)
    assert rows(work, tables.shop_rule) == 1


@pytest.mark.parametrize(
    "rules",
    [ShopRules("forget"), ShopRules("widen", 0.5), ShopRules("widen", 11.0), ShopRules("widen", float("nan"))],
)
def test_a_rule_that_cannot_be_is_refused(work: Work, rules: ShopRules) -> None:
    with pytest.raises(UserError):
        work.put_rules(rules, "Wren", NOW)
    assert rows(work, tables.shop_rule) == 0
