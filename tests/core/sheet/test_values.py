"""Values on the sheet: the shop's unit, the other system's beside it, and never coarser than they were typed."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest

from core.facts import Gauge, Limit
from core.sheet.values import (
    Written,
    day,
    day_and_time,
    short_day,
    written,
    written_gauge,
    written_limit,
    written_reading,
)
from core.stages import stage


@pytest.mark.parametrize(
    ("typed", "system", "expected"),
    [
        ("0.08", "metric", Written("0.080 mm", "0.0031 in")),
        ("0.08", "inch", Written("0.0031 in", "0.080 mm")),
        ("3 thou", "metric", Written("0.076 mm", "0.0030 in", "3 thou")),
        ("0.08125", "metric", Written("0.08125 mm", "0.0032 in")),
        ('.00315"', "inch", Written("0.00315 in", "0.080 mm")),
        ("80 µm", "metric", Written("0.080 mm", "0.0031 in", "80 µm")),
    ],
)
def test_readings(bench: Any, typed: str, system: str, expected: Written) -> None:
    reading = bench.take("teardown", "backlash_found@at_000", 0, typed)
    assert written_reading(stage("teardown").entry("backlash_found"), reading, system) == expected


def test_words_are_written_as_their_labels(bench: Any) -> None:
    oil = bench.take("teardown", "oil_found", 0, "milky")
    assert written_reading(stage("teardown").entry("oil_found"), oil, "metric") == Written("milky: water in it")
    washed = bench.take("housing_prep", "washed", 0, "yes")
    assert written_reading(stage("housing_prep").entry("washed"), washed, "metric") == Written("yes")


def test_kinds_with_one_unit_are_written_once() -> None:
    assert written("ratio", 0.46, "percent", "inch") == Written("46.0 %")
    assert written("count", 3.0, "", "metric") == Written("3")


@pytest.mark.parametrize(
    ("low", "high", "own", "other"),
    [
        (0.06, 0.10, "0.060 – 0.100 mm", "0.0024 – 0.0039 in"),
        (None, 0.04, "at most 0.040 mm", "at most 0.0016 in"),
        (0.8, None, "at least 0.800 mm", "at least 0.0315 in"),
        (None, None, "", ""),
    ],
)
def test_limits(low: float | None, high: float | None, own: str, other: str) -> None:
    assert written_limit(Limit("backlash", low, high), "length", "mm", "metric") == Written(own, other)


def test_gauges_show_their_error_in_the_shops_unit() -> None:
    gauge = Gauge(1, "dial", "dial", "length", 0.01, 0.005)
    assert written_gauge(gauge, "metric") == "± 0.005 mm"
    assert written_gauge(gauge, "inch") == "± 0.0002 in"


def test_dates_are_in_words() -> None:
    moment = datetime(2031, 5, 12, 7, 4)
    assert day(moment) == "12 May 2031"
    assert day(date(2031, 9, 1)) == "1 September 2031"
    assert short_day(date(2031, 9, 1)) == "1 Sep 2031"
    assert day_and_time(moment) == "12 May 2031 07:04"
    aware = datetime(2031, 5, 12, 7, 4, tzinfo=UTC)
    assert day_and_time(aware) == day_and_time(aware.astimezone().replace(tzinfo=None))
