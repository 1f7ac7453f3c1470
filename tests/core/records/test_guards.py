"""What another program, or a slip in this one, cannot do to the file: everything here goes by raw SQL."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import psycopg
import pytest

from core.records import Work, open_logbook
from core.records.guards import APPEND_ONLY
from core.records.tables import metadata

from .conftest import FACTS, LIMITS, NOW, new_reading
from .lived_in import live_in

PLACE = "job_id, stage, entry, position, trial"
READING = f"INSERT INTO reading ({PLACE}, value, text, unit, person, taken_at, source, replaces, reason)"
ADVISED = (
    "INSERT INTO advised (job_id, stage, trial, ring_gear_side_mm, opposite_side_mm, places, chance,"
    " expected, low, high, person, at)"
)
REPLACED = READING.replace("INSERT", "REPLACE")


@pytest.fixture
def raw(made_once: Path, tmp_path: Path) -> Iterator[sqlite3.Connection]:
    """Yield a plain connection to a file with one signed job, two readings at one place and one at another."""
    path = shutil.copyfile(made_once, tmp_path / "logbook.db")
    with open_logbook(path, clock=lambda: NOW) as logbook, logbook.work() as work:
        tell(work)
        work.commit()
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA foreign_keys = ON")
        yield connection


@pytest.fixture
def on_server(server: Any) -> Iterator[psycopg.Connection[Any]]:
    """Yield a plain connection to the same on a server."""
    address = server.logbook()
    with open_logbook(address, clock=lambda: NOW) as logbook, logbook.work() as work:
        tell(work)
        work.commit()
    with psycopg.connect(address, autocommit=True) as connection:
        yield connection
    server.drop(address)


def tell(work: Work) -> None:
    live_in(work)
    job = work.job(1)
    new_reading(work, job, 0.9, position="at_045")
    new_reading(work, job, 0.09, position="at_045")
    new_reading(work, job, 0.08, position="at_090")
    work.sign(job.id, "Tam", NOW)
    work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam")


def dump(connection: sqlite3.Connection) -> list[str]:
    return list(connection.iterdump())


def columns(table: str) -> list[str]:
    return [column.name for column in metadata.tables[table].columns]


@pytest.mark.parametrize(("table", "column"), [(table, column) for table in APPEND_ONLY for column in columns(table)])
def test_no_column_of_a_fact_can_be_changed(raw: sqlite3.Connection, table: str, column: str) -> None:
    before = dump(raw)
    with pytest.raises(sqlite3.IntegrityError, match=f"{table} only grows"):
        raw.execute(f'UPDATE {table} SET "{column}" = "{column}"')
    assert dump(raw) == before


@pytest.mark.parametrize("table", APPEND_ONLY)
@pytest.mark.parametrize("recursive", [0, 1])
def test_no_fact_can_be_deleted_or_pushed_out(raw: sqlite3.Connection, table: str, recursive: int) -> None:
    raw.execute(f"PRAGMA recursive_triggers = {recursive}")
    before = dump(raw)
    for statement in (
        f"DELETE FROM {table}",
        f"DELETE FROM {table} WHERE id = 1",
        f"REPLACE INTO {table} SELECT * FROM {table} WHERE id = 1",
        f"INSERT OR IGNORE INTO {table} SELECT * FROM {table} WHERE id = 1",
        f"UPDATE OR REPLACE {table} SET id = 2 WHERE id = 1",
    ):
        with pytest.raises(sqlite3.IntegrityError, match=r"only grows|pinned"):
            raw.execute(statement)
    assert dump(raw) == before


@pytest.mark.parametrize(
    "statement",
    [
        f"{REPLACED} VALUES (1, 'backlash', 'backlash', 'at_045', 1, 1, '', '', '', '', '', 2, '')",
        f"{REPLACED} VALUES (1, 'backlash', 'backlash', 'at_090', 1, 1, '', '', '', '', '', NULL, '')",
        "REPLACE INTO spec_revision (card_id, revision, made_at, made_by) VALUES (1, 2, '', '')",
        "REPLACE INTO spec_value (revision_id, what, key, low_text, high_text, text, unit, source)"
        " VALUES (2, 'limit', 'backlash', '', '', '', '', '')",
    ],
)
def test_a_fact_cannot_be_pushed_out_by_its_other_keys(raw: sqlite3.Connection, statement: str) -> None:
    before = dump(raw)
    with pytest.raises(sqlite3.IntegrityError, match="only grows"):
        raw.execute(statement)
    assert dump(raw) == before


def test_a_card_a_job_is_pinned_to_gets_no_further_limit(raw: sqlite3.Connection) -> None:
    values = "'runout', 'limit', 0.05, '', '', '', 'mm', 'shop practice'"
    insert = "INSERT INTO spec_value (revision_id, key, what, high, low_text, high_text, text, unit, source)"
    with pytest.raises(sqlite3.IntegrityError, match="pinned"):
        raw.execute(f"{insert} VALUES (1, {values})")
    raw.execute(f"{insert} VALUES (2, {values})")


@pytest.mark.parametrize(
    ("place", "replaces", "why"),
    [
        ("1, 'backlash', 'backlash', 'at_045', 1", "NULL", "only grows"),  # a second beginning
        ("1, 'backlash', 'backlash', 'at_045', 1", "2", "only grows"),  # replaced already
        ("1, 'backlash', 'backlash', 'at_090', 1", "3", "FOREIGN KEY"),  # of another position
        ("1, 'backlash', 'backlash', 'at_045', 2", "3", "FOREIGN KEY"),  # of another trial
        ("1, 'preload', 'backlash', 'at_045', 1", "3", "FOREIGN KEY"),  # of another stage
        ("1, 'backlash', 'backlash', 'at_135', 1", "5", "ck_reading_replaces"),  # itself
        ("1, 'backlash', 'backlash', 'at_135', 1", "99", "ck_reading_replaces"),  # one to come
        ("9, 'backlash', 'backlash', 'at_000', 1", "NULL", "FOREIGN KEY"),  # no such job
    ],
)
def test_the_readings_of_a_place_are_one_chain(raw: sqlite3.Connection, place: str, replaces: str, why: str) -> None:
    with pytest.raises(sqlite3.IntegrityError, match=why):
        raw.execute(f"{READING} VALUES ({place}, 0.08, '0.08', 'mm', '', '', 'typed', {replaces}, '')")


@pytest.mark.parametrize(
    "statement",
    [
        f"{READING} VALUES (1, 's', 'e', '', 0, 'abc', '', '', '', '', '', NULL, '')",
        f"{READING} VALUES (1, 's', 'e', '', 0, 9e999, '', '', '', '', '', NULL, '')",
        f"{READING} VALUES (1, 's', 'e', '', -1, 1, '', '', '', '', '', NULL, '')",
        f"{READING} VALUES (1, 's', 'e', '', 0, 1, NULL, '', '', '', '', NULL, '')",
        f"{READING} VALUES (1, 's', 'e', '', 0, 1, x'00', '', '', '', '', NULL, '')",
        "INSERT INTO job_event (job_id, what, at, person, detail) VALUES (1, 'erased', '', '', '{}')",
        f"{ADVISED} VALUES (1, 's', 0, 1, 1, '', 0.5, 2, 1, 3, '', '')",
        f"{ADVISED} VALUES (1, 's', 1, -1, 1, '', 0.5, 2, 1, 3, '', '')",
        f"{ADVISED} VALUES (1, 's', 1, 1, 9e999, '', 0.5, 2, 1, 3, '', '')",
        f"{ADVISED} VALUES (1, 's', 1, 1, 1, '', 1.1, 2, 1, 3, '', '')",
        f"{ADVISED} VALUES (1, 's', 1, 1, 1, '', 0.5, 4, 1, 3, '', '')",
        f"{ADVISED} VALUES (1, 's', 1, 1, 1, '', 0.5, 2, 3, 1, '', '')",
        f"{ADVISED} VALUES (1, 's', 1, 1, 1, '', 0.5, 2, 1, 9e999, '', '')",
        f"{ADVISED} VALUES (9, 's', 1, 1, 1, '', 0.5, 2, 1, 3, '', '')",
        "UPDATE part SET nominal_mm = -2.5",
        "UPDATE part SET nominal_mm = NULL",
        "UPDATE part SET count = -1",
        "UPDATE part SET reorder_level = -1",
        "UPDATE part SET kind = 'gasket'",
        "INSERT INTO part_measure (part_id, round, place, mm, person, at) VALUES (1, 2, 1, 0, '', '')",
        "INSERT INTO part_move (part_id, what, pieces, stage, entry, trial, person, at, reason)"
        " VALUES (1, 'lost', 1, '', '', 0, '', '', '')",
        "INSERT INTO shop (id, name, address, units, version) VALUES (2, '', '', 'metric', 1)",
        "UPDATE shop SET units = 'cubits'",
        "UPDATE person SET role = 'king'",
        "UPDATE person SET is_active = 2",
        "UPDATE person SET pin_failures = -1",
        "UPDATE gauge SET resolution = -1",
        "UPDATE gauge SET interval_months = 0",
        "UPDATE gauge SET is_retired = 2",
        "INSERT INTO gauge_check (gauge_id, what, at, is_good, person, note) VALUES (1, 'guess', '', 1, '', '')",
        "UPDATE unit SET serial_key = ''",
        "INSERT INTO unit (uid, serial, serial_key, look_key) VALUES ('u', 'k1183', 'k1183', 'k1183')",
        "INSERT INTO trail (at, bench, person, doing, what, in_table, row_id, content, chain)"
        " VALUES ('', '', '', '', 'erased', 'job', 1, '{}', '')",
        "UPDATE job SET is_limited_slip = 2",
        "UPDATE job SET pinion_teeth = 0",
        "UPDATE job SET tag_ratio = -1",
        "UPDATE job SET unit_id = 99",
        "DELETE FROM job",
        "DELETE FROM unit",
        "DELETE FROM customer",
        "DELETE FROM spec_card",
        "INSERT INTO spec_revision (card_id, revision, made_at, made_by) VALUES (1, 0, '', '')",
        "INSERT INTO spec_value (revision_id, key, what, low, high, low_text, high_text, text, unit, source)"
        " VALUES (2, 'k', 'limit', 2, 1, '', '', '', '', '')",
        "INSERT INTO spec_value (revision_id, key, what, value, low_text, high_text, text, unit, source)"
        " VALUES (2, 'k', 'fact', 1e10, '', '', '', '', '')",
        "INSERT INTO spec_value (revision_id, key, what, low_text, high_text, text, unit, source)"
        " VALUES (2, 'k', 'rumour', '', '', '', '', '')",
    ],
)
def test_what_cannot_be_is_refused_by_the_file_itself(raw: sqlite3.Connection, statement: str) -> None:
    before = dump(raw)
    with pytest.raises(sqlite3.IntegrityError):
        raw.execute(statement)
    assert dump(raw) == before


# -- on a server -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("table", APPEND_ONLY)
def test_a_server_lets_no_fact_be_changed_or_taken_away(on_server: psycopg.Connection[Any], table: str) -> None:
    before = on_server.execute(f"SELECT * FROM {table} ORDER BY id").fetchall()
    assert before
    for statement in (
        *(f"UPDATE {table} SET {column} = {column}" for column in columns(table)),
        f"DELETE FROM {table}",
        f"TRUNCATE {table} CASCADE",
        f"INSERT INTO {table} SELECT * FROM {table} WHERE id = 1 ON CONFLICT (id) DO UPDATE SET id = 1",
    ):
        with pytest.raises(psycopg.Error, match=r"only grows|pinned"):
            on_server.execute(statement)
    assert on_server.execute(f"SELECT * FROM {table} ORDER BY id").fetchall() == before


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE part SET count = -1",
        "UPDATE person SET role = 'king'",
        "UPDATE job SET pinion_teeth = 0",
        "DELETE FROM unit",
        f"{ADVISED} VALUES (1, 's', 0, 1, 1, '', 0.5, 2, 1, 3, '', '')",
        f"{ADVISED} VALUES (1, 's', 1, 1, 1, '', 'NaN', 2, 1, 3, '', '')",
        f"{ADVISED} VALUES (1, 's', 1, 1, 1, '', 0.5, 'NaN', 'NaN', 'NaN', '', '')",
        f"{READING} VALUES (1, 's', 'e', '', 0, 'Infinity', '', '', '', '', '', NULL, '')",
        f"{READING} VALUES (1, 'backlash', 'backlash', 'at_045', 1, 0.08, '', 'mm', '', '', '', NULL, '')",
        f"{READING} VALUES (1, 'backlash', 'backlash', 'at_090', 1, 0.08, '', 'mm', '', '', '', 3, '')",
        "INSERT INTO spec_value (revision_id, key, what, high, low_text, high_text, text, unit, source)"
        " VALUES (1, 'runout', 'limit', 0.05, '', '', '', 'mm', 'shop practice')",
    ],
)
def test_what_cannot_be_is_refused_by_the_server_itself(on_server: psycopg.Connection[Any], statement: str) -> None:
    with pytest.raises((psycopg.errors.IntegrityError, psycopg.errors.RaiseException)):
        on_server.execute(statement)
