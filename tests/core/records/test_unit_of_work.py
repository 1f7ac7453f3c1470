"""Commit, roll back, look only, several threads, and the power cut."""

from __future__ import annotations

import signal
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from core.errors import InputError, RuleError
from core.facts import Shop
from core.records import Logbook, open_logbook, tables
from core.records.logbook import utc_now

from .conftest import FACTS, LIMITS, NOW, new_job, new_reading


def test_what_is_not_committed_never_happened(logbook: Logbook) -> None:
    with logbook.work() as work:
        work.add_person("Tam")
    with logbook.look() as work:
        assert work.people() == []


def test_an_error_rolls_back(logbook: Logbook) -> None:
    with pytest.raises(RuleError), logbook.work() as work:
        work.add_person("Tam")
        work.add_person("tam")
    with logbook.look() as work:
        assert work.people() == []


def test_what_is_committed_stays_and_what_follows_does_not(logbook: Logbook) -> None:
    with logbook.work() as work:
        work.add_person("Tam")
        work.commit()
        work.add_person("Ines")
    with logbook.look() as work:
        assert [person.name for person in work.people()] == ["Tam"]


def test_who_only_looks_cannot_write(logbook: Logbook) -> None:
    with logbook.look() as work, pytest.raises(RuntimeError, match="only looks"):
        work.add_person("Tam")
    with logbook.look() as work, pytest.raises(RuntimeError, match="only looks"):
        work.put_shop(Shop("Shop"))


def test_two_threads_write_one_after_the_other(logbook: Logbook) -> None:
    both = threading.Barrier(2)

    def add(name: str) -> None:
        both.wait()
        for count in range(20):
            with logbook.work() as work:
                work.add_person(f"{name} {count}")
                work.commit()

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(add, ["Tam", "Ines"]))
    with logbook.look() as work:
        assert len(work.people()) == 40


def test_a_correction_by_two_threads_makes_one_chain(logbook: Logbook) -> None:
    with logbook.work() as work:
        job = new_job(work, work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam"))
        work.commit()
    both = threading.Barrier(2)

    def correct(person: str) -> None:
        both.wait()
        for count in range(10):
            with logbook.work() as work:
                new_reading(work, job, 0.01 * (count + 1), person=person)
                work.commit()

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(correct, ["Tam", "Ines"]))
    with logbook.look() as work:
        readings = work.readings(job.id)
    assert [reading.replaces for reading in readings] == [None, *(reading.id for reading in readings[:-1])]


def test_opening_by_several_threads_at_once_makes_one_logbook(tmp_path: Path) -> None:
    path = tmp_path / "new" / "logbook.db"
    all_of_them = threading.Barrier(4)

    def begin(name: str) -> None:
        all_of_them.wait()
        with open_logbook(path) as logbook, logbook.work() as work:
            work.add_person(name)
            work.commit()

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(begin, ["Tam", "Ines", "Olu", "Mia"]))
    with open_logbook(path) as logbook, logbook.look() as work:
        assert {person.name for person in work.people()} == {"Tam", "Ines", "Olu", "Mia"}
    assert [entry.name for entry in path.parent.iterdir()] == ["logbook.db"]


KILLED = """
import os, signal, sys
from core.facts import CardFact, Limit
from core.quantities import Amount
from core.records import open_logbook
from core.records.logbook import utc_now

logbook = open_logbook(sys.argv[1])
with logbook.work() as work:
    card = work.add_card_revision("Orrin B", [Limit("backlash", 0.06, 0.1)], [], "Tam")
    job = work.add_job("2407", "K-1183", "club", "", "", "", 43, 11, None, False, card.id, "Tam", utc_now())
    work.record(job.id, "backlash", "backlash", "", 1, Amount("length", 0.08, "0.08", "mm"), None, "Tam", utc_now())
    work.commit()
    work.record(job.id, "backlash", "backlash", "", 2, Amount("length", 0.09, "0.09", "mm"), None, "Tam", utc_now())
    os.kill(os.getpid(), signal.SIGKILL)
"""


def test_a_reading_survives_the_program_being_killed_right_after_the_commit(tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    done = subprocess.run([sys.executable, "-c", KILLED, str(path)], cwd=Path(__file__).parents[3], check=False)
    assert done.returncode == -signal.SIGKILL
    with open_logbook(path) as logbook, logbook.look() as work:
        (job,) = work.jobs()
        (reading,) = work.readings(job.id)
    assert (reading.trial, reading.value, reading.text) == (1, 0.08, "0.08")


def test_without_a_clock_of_its_own_the_logbook_takes_the_present(tmp_path: Path) -> None:
    with open_logbook(tmp_path / "logbook.db") as logbook, logbook.work() as work:
        job = new_job(work, work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam"), at=utc_now())
        with pytest.raises(InputError, match="future"):
            new_reading(work, job, at=utc_now() + timedelta(hours=1))


def test_facts_outlive_the_unit_of_work_and_the_logbook(logbook: Logbook) -> None:
    with logbook.work() as work:
        card = work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam")
        job = new_job(work, card)
    logbook.close()
    assert job.card.limits["backlash"].high == 0.10
    assert job.card.ring_gear_side == "left"


# -- the clock ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("minutes", "is_taken"), [(0, True), (-4, True), (-6, False), (-60 * 24 * 365, False)])
def test_a_clock_that_went_backwards_writes_nothing(logbook: Logbook, minutes: int, is_taken: bool) -> None:
    with logbook.work(by="Tam") as work:
        work.add_person("Tam")
        work.commit()
    logbook._clock = lambda: NOW + timedelta(minutes=minutes)
    try:
        with logbook.work(by="Tam") as work:
            work.add_person("Jory")
            work.commit()
    except RuleError as error:
        assert not is_taken
        assert "but the last entry in the logbook is from 2026-03-02 08:00" in error.message
        assert "Set the clock" in error.remedy
    with logbook.look() as work:
        assert len(work.people()) == (2 if is_taken else 1)
    assert logbook.verify().findings == ()


def test_the_trail_says_who_did_what_at_which_bench(logbook: Logbook) -> None:
    with logbook.work(by="Tam Ollerby", doing="add_person") as work:
        work.add_person("Jory Pell")
        work.commit()
    with logbook.look() as work:
        (entry,) = work._rows(select(tables.trail))
    assert (entry.person, entry.doing, entry.bench) == ("Tam Ollerby", "add_person", logbook.bench)
    assert (entry.what, entry.in_table, entry.row_id) == ("added", "person", 1)
    assert '"name":"Jory Pell"' in entry.content


def test_two_openings_of_one_logbook_are_two_benches(logbook: Logbook) -> None:
    with open_logbook(logbook.place) as other:
        assert other.bench != logbook.bench
