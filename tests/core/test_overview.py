"""Where the shop stands: on the demo, told once, and on facts made up for the purpose."""

from __future__ import annotations

import shutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from uuid import uuid4

import pytest

from core.charts import QUANTITIES, measured
from core.demo import LOGBOOK_NAME
from core.facts import Gauge, JobLine, Part, Person
from core.history import Visit, Worth
from core.mechanics.control_chart import BEYOND, TREND_RULE
from core.overview import (
    READY,
    SIGNED,
    BackupStanding,
    Overview,
    calibrations_due,
    comeback,
    comeback_pairs,
    longest_first,
    waiting_job,
    without_pin,
)
from core.records import open_logbook
from core.stages import STAGES, evaluate_accepted, evaluate_stage
from core.verdict import Answer
from core.workshop import Workshop

NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def demo(told_demo: Path) -> Iterator[Workshop]:
    workshop = Workshop(open_logbook(told_demo / LOGBOOK_NAME))
    yield workshop
    workshop.close()


@pytest.fixture
def own_demo(told_demo: Path, tmp_path: Path) -> Iterator[Workshop]:
    """Yield a copy of the demo that may be written to."""
    source, target = told_demo / LOGBOOK_NAME, tmp_path / "logbook.db"
    with closing(sqlite3.connect(source)) as told, closing(sqlite3.connect(target)) as copy:
        told.backup(copy)
    workshop = Workshop(open_logbook(target))
    yield workshop
    workshop.close()


# -- the demo ----------------------------------------------------------------------------------------------------------


def test_every_job_stands_somewhere(demo: Workshop) -> None:
    overview = demo.overview()
    assert overview.counts == {
        "teardown": 1,
        "housing_prep": 1,
        "preload": 2,
        "backlash": 1,
        "contact_pattern": 1,
        "fill": 0,
        READY: 0,
        SIGNED: 16,
    }
    assert [(line.job.number, line.stage) for line in overview.waiting] == [
        ("2603", "contact_pattern"),
        ("2611", "housing_prep"),
        ("2612", "backlash"),
        ("2613", "preload"),
        ("2614", "preload"),
        ("2615", "teardown"),
    ]
    days = [line.days for line in overview.waiting]
    assert days == sorted(days, reverse=True)


def test_the_waiting_agree_with_the_desk(demo: Workshop) -> None:
    touched = {row.job.number: row.touched_at for row in demo.find_jobs()}
    for line in demo.overview().waiting:
        assert line.since == touched[line.job.number]


def test_two_units_came_back_and_what_moved_is_named(demo: Workshop) -> None:
    last, first = demo.overview().comebacks
    assert (last.before.number, last.again.number) == ("2407", "2611")
    assert (first.before.number, first.again.number, first.again.asked_for) == (
        "2433",
        "2544",
        "Back: noise again, oil milky.",
    )
    moved = {move.label: (move.left, move.found) for move in last.moved}
    assert moved["Backlash, mean"] == (pytest.approx(0.08), pytest.approx(0.105))
    assert "Turning torque of the whole unit" in moved
    # Two percent of a tooth length, read by eye, is no move.
    assert "Contact on the drive side, along the tooth" not in moved


def test_one_gauge_is_due_and_nobody_has_a_pin(demo: Workshop) -> None:
    overview = demo.overview()
    assert [due.gauge.name for due in overview.calibrations] == ["bore gauge 50–100"]
    assert len(overview.without_pin) == len(demo.people())
    assert list(overview.orders) == demo.order_list()


def test_a_drift_is_seen_in_the_charts_of_one_family(demo: Workshop) -> None:
    assert demo.charted_families() == {"Kelda 3": 2, "Orrin B": 12, "Vask T": 2}
    charts = demo.family_charts("Orrin B")
    assert list(charts) == [wanted.key for wanted in QUANTITIES]
    backlash = charts["backlash"]
    (drift,) = [signal for signal in backlash.chart.signals if signal.rule == TREND_RULE]
    assert [backlash.points[at].number for at in drift.points] == ["2508", "2514", "2527", "2535", "2553", "2566"]
    (beyond,) = [signal for signal in charts["ring_sum"].chart.signals if signal.rule == BEYOND]
    assert [charts["ring_sum"].points[at].number for at in beyond.points] == ["2514"]
    assert {point.person for point in backlash.points} == {"Tam Ollerby", "Jory Pell"}
    assert {point.gauges for point in backlash.points} == {("dial gauge 1",)}
    assert {(point.low, point.high) for point in backlash.points} == {(0.06, 0.10)}


def test_nuts_are_charted_in_millimetres_like_rings(demo: Workshop) -> None:
    values = [point.value for point in demo.family_charts("Vask T")["ring_sum"].points]
    assert values == pytest.approx([1.0416667, 1.0416667])


def test_every_charted_value_is_what_the_whole_job_comes_to(demo: Workshop) -> None:
    for family in demo.charted_families():
        for key, chart in demo.family_charts(family).items():
            wanted = next(q for q in QUANTITIES if q.key == key)
            for point in chart.points:
                read = measured(wanted, demo.state(point.job_id).stage(wanted.stage).accepted)
                assert (point.low, point.high, point.person) == (read.low, read.high, read.person)
                assert point.value == pytest.approx(read.value, abs=1e-9)


def test_the_accepted_trial_by_itself_is_the_one_of_the_stage(demo: Workshop) -> None:
    for number in ("2407", "2433", "2502", "2613"):
        context = demo.state(demo.job(number).id).context
        for declared in STAGES:
            assert evaluate_accepted(declared, context) == evaluate_stage(declared, context).accepted


def test_a_family_nobody_knows_has_empty_charts(demo: Workshop) -> None:
    assert all(not chart.points for chart in demo.family_charts("Sollen 9").values())


# -- what is kept ------------------------------------------------------------------------------------------------------


def test_a_signed_job_is_judged_once_and_again_after_it_was_signed_anew(
    own_demo: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = own_demo.family_charts("Orrin B")["backlash"]
    asked: list[Any] = []
    from core.records import Work

    readings_of = Work.readings_of
    monkeypatch.setattr(Work, "readings_of", lambda *args: asked.append(args[1]) or readings_of(*args))
    assert own_demo.family_charts("Orrin B")["backlash"] == before
    assert asked == []
    job = own_demo.job("2566")
    own_demo.reopen(job.id, "Jory Pell", "The dial had slipped.")
    assert len(own_demo.family_charts("Orrin B")["backlash"].points) == 11
    for position in ("at_000", "at_045"):
        own_demo.record(
            job.id, "backlash", "backlash", "0.07", position=position, trial=1, person="Wren Hask", reason="slipped"
        )
    own_demo.sign(job.id, "Jory Pell")
    after = own_demo.family_charts("Orrin B")["backlash"]
    assert asked == [[job.id]]
    value = {point.number: point.value for point in after.points}["2566"]
    assert value == pytest.approx(0.0875 - 0.04 / 8)
    assert own_demo.overview().counts[SIGNED] == 16


def test_a_comeback_that_is_still_open_is_looked_at_each_time(own_demo: Workshop) -> None:
    job = own_demo.job("2611")
    assert "Turning torque of the whole unit" in [m.label for m in own_demo.overview().comebacks[0].moved]
    own_demo.record(job.id, "teardown", "torque_whole", "1.3", person="Tam Ollerby", reason="the pinion nut was loose")
    assert "Turning torque of the whole unit" not in [m.label for m in own_demo.overview().comebacks[0].moved]


def test_five_hundred_jobs_of_a_family_take_no_longer_than_one_waits(told_demo: Path, tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    shutil.copyfile(told_demo / LOGBOOK_NAME, path)
    with closing(sqlite3.connect(path)) as logbook:
        _multiply(logbook, "2566", 500)
    workshop = Workshop(open_logbook(path))
    # Loads what the first question of the day loads.
    workshop.family_charts("Kelda 3")
    began = time.process_time()
    chart = workshop.family_charts("Orrin B")["backlash"]
    cold = time.process_time() - began
    began = time.process_time()
    workshop.family_charts("Orrin B")
    warm = time.process_time() - began
    workshop.close()
    assert chart.chart.count == 512
    # About 1 s and 0.06 s on a quiet machine.
    assert cold < 6.0
    assert warm < cold / 4


def _multiply(logbook: sqlite3.Connection, number: str, times: int) -> None:
    """Copy a signed job many times, past the trail: only for reading."""
    (job_id,) = logbook.execute("SELECT id FROM job WHERE number = ?", (number,)).fetchone()

    def copy(table: str, where: str, **changed: str) -> int:
        columns = [row[1] for row in logbook.execute(f"PRAGMA table_info({table})") if row[1] != "id"]
        taken = ", ".join(changed.get(column, column) for column in columns)
        done = logbook.execute(f"INSERT INTO {table} ({', '.join(columns)}) SELECT {taken} FROM {table} WHERE {where}")
        return int(done.lastrowid or 0)

    for at in range(times):
        name = f"'X{at}'"
        new = copy("job", f"id = {job_id}", number=name, number_key=name, uid=f"'{uuid4()}'")
        copy("job_event", f"job_id = {job_id}", job_id=str(new))
        copy("reading", f"job_id = {job_id}", job_id=str(new), replaces="NULL")
    logbook.commit()


# -- an empty shop -----------------------------------------------------------------------------------------------------


def test_an_empty_shop(empty_workshop: Workshop) -> None:
    overview = empty_workshop.overview()
    assert set(overview.counts.values()) == {0}
    assert (overview.waiting, overview.comebacks, overview.orders) == ((), (), ())
    assert empty_workshop.charted_families() == {}
    assert overview.backup.made_at is None


def test_a_new_job_waits_in_its_first_stage(workshop: Workshop, job: Any) -> None:
    (line,) = workshop.overview().waiting
    assert (line.job, line.stage, line.days) == (job, STAGES[0].key, 0)
    assert line.wanted


def test_a_backup_made_is_known(workshop: Workshop, job: Any, tmp_path: Path) -> None:
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    made = workshop.back_up(str(folder))
    assert workshop.overview().backup.made_at is None
    assert workshop.overview(str(folder)).backup == BackupStanding(made.made_at, 0)


# -- made up -----------------------------------------------------------------------------------------------------------


def line(number: int, unit: int, opened: int, signed: int | None = None) -> JobLine:
    begun = datetime(2024, 1, 10, 9, 0, tzinfo=UTC)
    first = None if signed is None else begun + timedelta(days=signed)
    opened_at = begun + timedelta(days=opened)
    return JobLine(number, f"u{number}", str(number), "K", unit, "Orrin B", opened_at, first, first, number)


def numbers(pairs: list[tuple[JobLine, JobLine]]) -> list[tuple[str, str]]:
    return [(before.number, again.number) for before, again in pairs]


def test_a_comeback_follows_a_signed_job_of_the_same_unit_within_24_months() -> None:
    assert numbers(comeback_pairs([line(1, 1, 0, 1), line(2, 1, 100)])) == [("1", "2")]
    assert comeback_pairs([line(1, 1, 0, 1), line(2, 2, 100)]) == []
    # The day the months are over still counts: 2024-01-11 to 2026-01-11.
    assert numbers(comeback_pairs([line(1, 1, 0, 1), line(2, 1, 732)])) == [("1", "2")]
    assert comeback_pairs([line(1, 1, 0, 1), line(2, 1, 733)]) == []


def test_a_job_never_signed_is_nothing_to_come_back_from() -> None:
    assert comeback_pairs([line(1, 1, 0), line(2, 1, 100)]) == []
    assert numbers(comeback_pairs([line(1, 1, 0, 1), line(2, 1, 50), line(3, 1, 100)])) == [("1", "3"), ("1", "2")]


def test_of_several_visits_the_one_before_counts_and_the_newest_comes_first() -> None:
    visits = [line(3, 1, 800, 801), line(1, 1, 0, 1), line(2, 1, 400, 401)]
    assert numbers(comeback_pairs(visits)) == [("2", "3"), ("1", "2")]


def worth(value: float, doubt: float = 0.0, key: str = "backlash_mean") -> Worth:
    return Worth(key, "Backlash, mean", "length", "mm", value, doubt)


def visits(left: Worth, found: Worth) -> tuple[Visit, Visit]:
    def job(number: str, day: int) -> Any:
        return SimpleNamespace(number=number, opened_at=datetime(2026, 1, day, 12, tzinfo=UTC))

    return Visit(job("1", 1), {}, {left.key: left}), Visit(job("2", 31), {found.key: found}, {})


@pytest.mark.parametrize(
    ("found", "moves"), [(0.080, 0), (0.0849, 0), (0.085, 0), (0.0851, 1), (0.0749, 1), (0.120, 1)]
)
def test_a_value_moved_where_the_gauges_can_tell(found: float, moves: int) -> None:
    # √(0.003² + 0.004²) = 0.005.
    before, again = visits(worth(0.080, 0.003), worth(found, 0.004))
    told = comeback(before, again, datetime(2026, 1, 2, 12, tzinfo=UTC))
    assert len(told.moved) == moves
    assert told.days == 29


def test_what_was_not_measured_both_times_did_not_move() -> None:
    before, again = visits(worth(0.08), worth(0.5, key="ring_sum"))
    assert comeback(before, again, NOW).moved == ()


def state(*stages: tuple[str, tuple[str, ...], Answer]) -> Any:
    job = SimpleNamespace(id=1, number="1")
    made = [
        SimpleNamespace(stage=SimpleNamespace(key=key, label=key), missing=missing, verdict=SimpleNamespace(answer=a))
        for key, missing, a in stages
    ]
    return SimpleNamespace(context=SimpleNamespace(job=job), stages=made)


def test_a_job_stands_in_its_first_unfinished_stage_or_is_ready() -> None:
    since = NOW - timedelta(days=3)
    stuck = state(("teardown", (), Answer.CONFORMS), ("preload", ("a", "b"), Answer.MISSING))
    assert (waiting_job(stuck, since, NOW).stage, waiting_job(stuck, since, NOW).wanted) == ("preload", "a")
    done = state(("teardown", (), Answer.CONFORMS), ("preload", (), Answer.UNCERTAIN))
    ready = waiting_job(done, since, NOW)
    assert (ready.stage, ready.wanted, ready.days) == (READY, "", 3)
    bad = waiting_job(state(("preload", (), Answer.DOES_NOT_CONFORM)), since, NOW)
    assert bad.stage == READY
    assert "does not conform" in bad.wanted


def test_a_clock_that_ran_ahead_makes_nobody_wait_less_than_no_time() -> None:
    ahead = waiting_job(state(("preload", ("a",), Answer.MISSING)), NOW + timedelta(days=2), NOW)
    assert ahead.days == 0


def test_the_longest_untouched_comes_first() -> None:
    lines = [
        waiting_job(state(("preload", ("a",), Answer.MISSING)), NOW - timedelta(days=days), NOW) for days in (1, 9, 4)
    ]
    assert [line.days for line in longest_first(lines)] == [9, 4, 1]


def test_gauges_that_are_due_soon_are_named_and_retired_ones_are_not() -> None:
    def gauge(name: str, last: date | None, **more: Any) -> Gauge:
        return Gauge(1, name, "dial", "length", 0.01, 0.005, last, **({"interval_months": 12} | more))

    gauges = [
        gauge("good", date(2026, 2, 1)),
        gauge("soon", date(2025, 4, 1)),
        gauge("not so soon", date(2025, 4, 3)),
        gauge("late", date(2025, 1, 1)),
        gauge("never", None),
        gauge("not followed", None, interval_months=None),
        gauge("late and retired", date(2025, 1, 1), is_retired=True),
    ]
    assert [due.gauge.name for due in calibrations_due(gauges, date(2026, 3, 2))] == ["never", "late", "soon"]


def test_who_left_needs_no_pin() -> None:
    people = [Person(1, "Tam"), Person(2, "Jory", has_pin=True), Person(3, "Gone", is_active=False)]
    assert [person.name for person in without_pin(people)] == ["Tam"]


@pytest.mark.parametrize(
    ("made_at", "since", "is_late"),
    [
        (None, 0, False),
        (None, 5, True),
        (None, None, True),
        (NOW - timedelta(days=30), 0, False),
        (NOW - timedelta(days=1), 5, False),
        (NOW - timedelta(days=2), 5, True),
        (NOW - timedelta(days=2), None, True),
    ],
)
def test_a_backup_is_late_where_work_would_be_lost(made_at: Any, since: Any, is_late: bool) -> None:
    assert BackupStanding(made_at, since).is_late(NOW) == is_late


def test_nothing_of_an_overview_is_needed() -> None:
    assert Overview(NOW).counts[SIGNED] == 0
    assert Part(1, "ring", "", "A1", 2.5, 1, 3).to_order == 2
