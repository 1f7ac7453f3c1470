"""Values of signed jobs in time order, and who or what they were read with."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace
from typing import Any

import pytest

from core.charts import BY_GAUGE, BY_PERSON, QUANTITIES, Measured, Point, family_chart, grouped, measured, quantity
from core.facts import Gauge, JobLine, Limit
from core.stages import stage

BEGUN = datetime(2025, 1, 1, 9, 0, tzinfo=UTC)
DIAL = Gauge(1, "dial gauge 1", "dial", "length", 0.01, 0.005, date(2024, 1, 1), 12)
OTHER = Gauge(2, "dial gauge 2", "dial", "length", 0.01, 0.005)


def line(number: int, **changes: Any) -> JobLine:
    given: dict[str, Any] = {
        "id": number,
        "uid": f"u{number}",
        "number": str(number),
        "serial": f"K-{number}",
        "unit_id": number,
        "family": "Orrin B",
        "opened_at": BEGUN,
        "first_signed_at": BEGUN + timedelta(days=1),
        "signed_at": BEGUN + timedelta(days=1),
        "sealed": number,
    }
    return JobLine(**(given | changes))


def reading(at: int, entry: str, person: str = "Tam", gauge_id: int | None = 1) -> Any:
    read = SimpleNamespace(id=at, person=person, gauge_id=gauge_id, taken_at=BEGUN + timedelta(minutes=at))
    return SimpleNamespace(entry=SimpleNamespace(key=entry), reading=read)


def trial(fields: list[Any], value: float | None, limit: Limit | None = None, key: str = "backlash_mean") -> Any:
    computed = SimpleNamespace(derived=SimpleNamespace(key=key), value=value, limit=limit)
    return SimpleNamespace(fields=fields, derived=(computed,))


@pytest.mark.parametrize("wanted", QUANTITIES, ids=lambda q: q.key)
def test_every_quantity_is_declared_by_its_stage_and_read_by_some_of_its_entries(wanted: Any) -> None:
    assert wanted.label
    assert wanted.derived.is_trial
    assert any(wanted.is_read_by(entry.key) for entry in stage(wanted.stage).entries if entry.is_trial)
    assert not wanted.is_read_by(stage(wanted.stage).accept)
    assert quantity(wanted.key) is wanted


def test_there_is_no_other_quantity() -> None:
    with pytest.raises(KeyError):
        quantity("oil_volume")


def test_a_value_comes_with_its_limits_its_reader_and_its_gauges() -> None:
    fields = [
        reading(3, "backlash", "Jory", 2),
        reading(1, "backlash"),
        reading(2, "backlash"),
        reading(9, "accepted", "Wren", None),
        SimpleNamespace(entry=SimpleNamespace(key="backlash"), reading=None),
    ]
    found = measured(quantity("backlash"), trial(fields, 0.08, Limit("backlash", 0.06, 0.10)))
    assert found == Measured(0.08, 0.06, 0.10, "Tam", (1, 2), BEGUN + timedelta(minutes=3))


def test_where_two_read_as_much_the_last_one_counts() -> None:
    fields = [reading(1, "torque_forward", "Tam"), reading(2, "torque_back", "Jory")]
    found = measured(quantity("turning_torque"), trial(fields, 0.6, key="torque_mean"))
    assert (found.person, found.low, found.high) == ("Jory", None, None)


def test_without_an_accepted_trial_or_a_value_there_is_nothing() -> None:
    assert measured(quantity("backlash"), None) == Measured()
    assert measured(quantity("backlash"), trial([reading(1, "backlash")], None)) == Measured()
    assert measured(quantity("backlash"), trial([], 0.1, key="something_else")) == Measured()


def test_points_stand_in_the_order_they_were_read_in() -> None:
    late, early = BEGUN + timedelta(days=9), BEGUN + timedelta(days=2)
    jobs = [
        (line(1), Measured(0.08, taken_at=late)),
        (line(2), Measured(0.09, taken_at=early)),
        (line(3, signed_at=BEGUN + timedelta(days=5)), Measured()),
    ]
    chart = family_chart("Orrin B", quantity("backlash"), jobs, {})
    assert [point.number for point in chart.points] == ["2", "3", "1"]
    assert chart.chart.values == (0.09, None, 0.08)
    assert chart.chart.count == 2


def test_the_last_bit_of_a_sum_is_no_difference() -> None:
    sums = (0.1 + 0.2 + 0.3, 0.3 + 0.2 + 0.1)
    assert sums[0] != sums[1]
    jobs = [(line(at), Measured(value, taken_at=BEGUN)) for at, value in enumerate(sums * 5)]
    chart = family_chart("Orrin B", quantity("ring_sum"), jobs, {}).chart
    assert set(chart.values) == {0.6}
    assert not chart.signalled


def test_a_point_names_its_gauges_and_what_speaks_against_them() -> None:
    jobs = [(line(1), Measured(0.08, gauge_ids=(1, 2, 77), taken_at=datetime(2025, 6, 1, tzinfo=UTC)))]
    (point,) = family_chart("Orrin B", quantity("backlash"), jobs, {1: DIAL, 2: OTHER}).points
    assert point.gauges == ("dial gauge 1", "dial gauge 2")
    assert [(doubt.gauge, doubt.why) for doubt in point.doubts] == [("dial gauge 1", "overdue")]


def point(at: int, value: float | None, person: str = "", gauges: tuple[str, ...] = ()) -> Point:
    return Point(at, str(at), "K", BEGUN, value, person=person, gauges=gauges)


def test_letters_go_by_who_appears_first() -> None:
    points = [point(0, 1.0, "Tam"), point(1, None, "Wren"), point(2, 2.0, "Jory"), point(3, 4.0, "Tam")]
    groups = grouped(points, BY_PERSON)
    assert [(g.letter, g.name, g.points, g.mean) for g in groups] == [
        ("A", "Tam", (0, 3), 2.5),
        ("B", "Jory", (2,), 2.0),
    ]


def test_several_gauges_together_are_a_group_of_their_own() -> None:
    points = [point(0, 1.0, gauges=("one",)), point(1, 2.0, gauges=("one", "two")), point(2, 3.0)]
    assert [g.name for g in grouped(points, BY_GAUGE)] == ["one", "one, two", "no gauge named"]
    assert [g.name for g in grouped(points, BY_PERSON)] == ["nobody named"]


def test_letters_do_not_run_out() -> None:
    groups = grouped([point(at, 1.0, f"Hand {at}") for at in range(60)], BY_PERSON)
    letters = [group.letter for group in groups]
    assert letters[:2] + letters[25:28] == ["A", "B", "Z", "AA", "AB"]
    assert len(set(letters)) == 60


def test_nobody_to_group() -> None:
    assert grouped([], BY_PERSON) == ()
