"""Where backups lie, what they are called, when the next is due, and which are kept."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import URL

from core.errors import BackupError
from core.records import Logbook, open_logbook
from core.records.backups import DAYS, MONTHS, WEEKS, backups_in, kept, make_backup, state_of, stem_of, usual_folder

from .conftest import NOW

DAY = timedelta(days=1)
MOMENTS = st.datetimes(datetime(2022, 1, 1), datetime(2027, 1, 1)).map(lambda at: at.replace(tzinfo=UTC))
NOWS = st.datetimes(datetime(2025, 1, 1), datetime(2026, 12, 31)).map(lambda at: at.replace(tzinfo=UTC))


# -- the rule ----------------------------------------------------------------------------------------------------------


@given(st.lists(MOMENTS), NOWS)
def test_the_newest_is_never_dropped_and_nothing_is_made_up(times: list[datetime], now: datetime) -> None:
    keep = kept(times, now)
    assert keep <= set(times)
    if times:
        assert max(times) in keep


@given(st.lists(MOMENTS), NOWS)
def test_keeping_twice_is_keeping_once(times: list[datetime], now: datetime) -> None:
    keep = kept(times, now)
    assert kept(keep, now) == keep


@given(st.lists(MOMENTS, max_size=300), NOWS)
def test_never_more_are_kept_than_the_rule_counts(times: list[datetime], now: datetime) -> None:
    older = {moment for moment in kept(times, now) if moment <= now - DAY}
    # The newest, however old, is the one more.
    assert len(older) <= DAYS + WEEKS + MONTHS + 1


@given(st.lists(MOMENTS), NOWS)
def test_all_of_the_last_day_and_of_a_future_that_cannot_be_stay(times: list[datetime], now: datetime) -> None:
    assert {moment for moment in times if moment > now - DAY} <= kept(times, now)


@given(st.lists(MOMENTS), NOWS, st.timedeltas(timedelta(0), timedelta(days=400)))
def test_what_was_dropped_once_would_not_be_wanted_later(
    times: list[datetime], now: datetime, later: timedelta
) -> None:
    assert kept(times, now + later) <= kept(times, now)


def test_two_years_of_every_three_hours_leave_days_weeks_and_months() -> None:
    now, there = datetime(2024, 1, 1, 8, 0, tzinfo=UTC), set()
    for _ in range(2 * 365 * 8):
        now += timedelta(hours=3)
        there = kept({*there, now}, now)
        assert len(there) <= 8 + DAYS + WEEKS + MONTHS
    ages = [now - moment for moment in there]
    assert sum(age < DAY for age in ages) == 8
    assert {moment.date() for moment in there} >= {(now - n * DAY).date() for n in range(DAYS)}
    weeks = {moment.isocalendar()[:2] for moment in there}
    assert weeks >= {(now - timedelta(weeks=n)).isocalendar()[:2] for n in range(WEEKS)}
    months = {(moment.year, moment.month) for moment in there}
    assert len(months) == MONTHS
    assert max(ages) > timedelta(days=330)


def test_a_fixed_case() -> None:
    now = datetime(2026, 3, 18, 12, 0, tzinfo=UTC)  # a Wednesday
    times = {
        "this morning": now - timedelta(hours=4),
        "just before": now - timedelta(hours=5),
        "two days ago, late": datetime(2026, 3, 16, 17, 0, tzinfo=UTC),
        "two days ago, early": datetime(2026, 3, 16, 8, 0, tzinfo=UTC),
        "last Sunday": datetime(2026, 3, 8, 9, 0, tzinfo=UTC),
        "the Saturday before it": datetime(2026, 3, 7, 9, 0, tzinfo=UTC),
        "the end of January": datetime(2026, 1, 30, 9, 0, tzinfo=UTC),
        "its middle": datetime(2026, 1, 15, 9, 0, tzinfo=UTC),
        "a year and more ago": datetime(2025, 3, 1, 9, 0, tzinfo=UTC),
    }
    keep = kept(times.values(), now)
    assert [name for name, at in times.items() if at not in keep] == [
        "two days ago, early",
        "the Saturday before it",
        "its middle",
        "a year and more ago",
    ]


# -- in a folder -------------------------------------------------------------------------------------------------------


def add(logbook: Logbook, name: str) -> None:
    with logbook.work() as work:
        work.add_person(name)
        work.commit()


@pytest.fixture
def in_file(made_once: Path, tmp_path: Path) -> Iterator[Logbook]:
    """Yield an empty logbook in a file."""
    with open_logbook(shutil.copyfile(made_once, tmp_path / "logbook.db"), clock=lambda: NOW) as opened:
        yield opened


def at(moment: datetime) -> Callable[[], datetime]:
    return lambda: moment


def test_a_backup_lies_beside_the_logbook_under_a_name_that_sorts(in_file: Logbook, tmp_path: Path) -> None:
    add(in_file, "Tam")
    made = [make_backup(in_file, tmp_path, at(NOW + n * DAY)) for n in (0, 1, 2)]
    found = sorted(tmp_path.glob("*-2026*.db"))
    assert [one.path for one in made] == found
    assert [path.name.rsplit("-", 1)[1] for path in found] == [
        "20260302T080000Z.db",
        "20260303T080000Z.db",
        "20260304T080000Z.db",
    ]
    assert found[0].name.startswith(stem_of(in_file.place) + "-")
    assert made[0].made_at == NOW
    assert made[0].size == found[0].stat().st_size


def test_the_usual_folder() -> None:
    assert usual_folder(Path("/shop/logbook.db")) == Path("/shop/backups")
    server = URL.create("postgresql+psycopg", database="pinionbook")
    assert usual_folder(server).name == "backups"
    assert stem_of(server) == "pinionbook"
    assert stem_of(Path("/shop/logbook.db")) == "logbook"


def test_the_usual_folder_is_made_another_is_not(in_file: Logbook, tmp_path: Path) -> None:
    usual = usual_folder(in_file.place)
    made = make_backup(in_file, usual, at(NOW))
    assert made.path.parent == usual
    with pytest.raises(BackupError, match="is not there"):
        make_backup(in_file, tmp_path / "stick", at(NOW))
    assert not (tmp_path / "stick").exists()


def test_two_in_one_second_are_two(in_file: Logbook, tmp_path: Path) -> None:
    first, second = (make_backup(in_file, tmp_path, at(NOW)) for _ in range(2))
    assert first.path != second.path
    assert second.made_at - first.made_at == timedelta(seconds=1)


def test_what_grew_since_the_newest_is_counted(logbook: Logbook, tmp_path: Path) -> None:
    state = state_of(logbook, tmp_path)
    assert (state.newest, state.entries_since, state.is_there) == (None, 0, True)
    add(logbook, "Tam")
    assert state_of(logbook, tmp_path).entries_since == 1
    made = make_backup(logbook, tmp_path, at(NOW))
    assert made.head is not None and made.head.entry == 1
    assert state_of(logbook, tmp_path) == state.__class__(tmp_path, True, made, 0)
    add(logbook, "Jory")
    assert state_of(logbook, tmp_path).entries_since == 1
    assert state_of(logbook, tmp_path / "gone").is_there is False


def test_after_going_back_the_numbers_of_two_lines_are_not_compared(tmp_path: Path) -> None:
    with open_logbook(tmp_path / "logbook.db") as logbook:
        add(logbook, "Tam")
        old = make_backup(logbook, tmp_path, at(NOW))
        add(logbook, "Jory")
        make_backup(logbook, tmp_path, at(NOW + DAY))
    for leftover in tmp_path.glob("logbook.db*"):
        leftover.unlink()
    os.link(old.path, tmp_path / "logbook.db")
    with open_logbook(tmp_path / "logbook.db") as logbook:
        add(logbook, "Wren")
        assert state_of(logbook, tmp_path).entries_since is None


def test_files_of_others_are_never_deleted(in_file: Logbook, tmp_path: Path) -> None:
    add(in_file, "Tam")
    first = make_backup(in_file, tmp_path, at(NOW - 900 * DAY))
    mark = first.path.name.split("-")[-2]
    stem = stem_of(in_file.place)
    foreign = [
        f"{stem}-{mark}-20200101T080000Z.db.old",
        f"{stem}-{mark}-20200101T080000.db",
        f"{stem}-{mark}-20201301T080000Z.db",
        f"other-{mark}-20200101T080000Z.db",
        f"{stem}-00000000-20200101T080000Z.db",
        f"my {stem}-{mark}-20200101T080000Z.db",
        "photo.jpg",
    ]
    for name in foreign:
        (tmp_path / name).write_text("mine")
    (tmp_path / f"{stem}-{mark}-20200102T080000Z.db").symlink_to(tmp_path / "photo.jpg")
    (tmp_path / f"{stem}-{mark}-20200103T080000Z.db").mkdir()
    made = make_backup(in_file, tmp_path, at(NOW))
    assert not first.path.exists()
    assert made.path.exists()
    for name in foreign:
        assert (tmp_path / name).read_text() == "mine"
    assert (tmp_path / f"{stem}-{mark}-20200102T080000Z.db").is_symlink()
    assert (tmp_path / f"{stem}-{mark}-20200103T080000Z.db").is_dir()


def test_two_logbooks_of_one_name_share_a_drive(tmp_path: Path) -> None:
    made = []
    for bench in ("north", "south"):
        with open_logbook(tmp_path / bench / "logbook.db") as logbook:
            add(logbook, "Tam")
            made.append(make_backup(logbook, tmp_path, at(NOW - 900 * DAY)))
            made.append(make_backup(logbook, tmp_path, at(NOW)))
            assert state_of(logbook, tmp_path).newest == made[-1]
    assert [one.path.exists() for one in made] == [False, True, False, True]


def test_a_clock_that_went_backwards_costs_no_backup(tmp_path: Path) -> None:
    with open_logbook(tmp_path / "logbook.db") as logbook:
        add(logbook, "Tam")
        ahead = make_backup(logbook, tmp_path, at(NOW + 1000 * DAY))
        add(logbook, "Jory")
        back = make_backup(logbook, tmp_path, at(NOW))
        again = make_backup(logbook, tmp_path, at(NOW - 500 * DAY))
        assert ahead.path.exists() and back.path.exists() and again.path.exists()
        # The one that goes furthest, whatever its name says.
        newest = state_of(logbook, tmp_path).newest
        assert newest is not None and newest.path == back.path


def test_what_a_power_cut_left_goes_once_it_is_a_day_old(in_file: Logbook, tmp_path: Path) -> None:
    first = make_backup(in_file, tmp_path, at(NOW))
    old = first.path.with_name(first.path.name.replace("20260302", "20260228") + ".partial")
    young = first.path.with_name(first.path.name.replace("20260302T08", "20260302T09") + ".partial")
    for half in (old, young):
        half.write_text("half")
    assert [one.path for one in backups_in(tmp_path, in_file.place)] == [first.path]
    make_backup(in_file, tmp_path, at(NOW + timedelta(hours=2)))
    assert not old.exists()
    assert young.exists()


def test_a_backup_that_cannot_be_read_has_no_head_and_harms_nobody(in_file: Logbook, tmp_path: Path) -> None:
    add(in_file, "Tam")
    made = make_backup(in_file, tmp_path, at(NOW))
    os.truncate(made.path, 5000)
    (found,) = backups_in(tmp_path, in_file.place)
    assert found.head is None
    assert state_of(in_file, tmp_path).entries_since is None


def test_names_are_in_utc_whatever_the_clock_on_the_wall_shows(
    in_file: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    time.tzset()
    try:
        made = make_backup(in_file, tmp_path, lambda: NOW.astimezone())
    finally:
        monkeypatch.undo()
        time.tzset()
    assert made.path.name.endswith("-20260302T080000Z.db")
    assert made.made_at == NOW
