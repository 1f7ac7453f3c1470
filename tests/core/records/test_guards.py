"""What another program, or a slip in this one, cannot do to the file: everything here goes by raw SQL."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing

import pytest

from core.records import Logbook
from core.records.tables import APPEND_ONLY, metadata

from .conftest import FACTS, LIMITS, NOW, new_job, new_reading

PLACE = "job_id, stage, entry, position, trial"
READING = f"INSERT INTO reading ({PLACE}, value, text, unit, person, taken_at, source, replaces, reason)"
REPLACED = READING.replace("INSERT", "REPLACE")


@pytest.fixture
def raw(logbook: Logbook) -> Iterator[sqlite3.Connection]:
    """Yield a plain connection to a logbook with one signed job, two readings at one place and one at another."""
    with logbook.work() as work:
        job = new_job(work, work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam"))
        new_reading(work, job, 0.9)
        new_reading(work, job, 0.09)
        new_reading(work, job, 0.08, position="at_045")
        work.sign(job.id, "Tam", NOW)
        work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam")
        work.commit()
    with closing(sqlite3.connect(logbook.location, isolation_level=None)) as connection:
        connection.execute("PRAGMA foreign_keys = ON")
        yield connection


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
        f"{REPLACED} VALUES (1, 'backlash', 'backlash', 'at_000', 1, 1, '', '', '', '', '', 1, '')",
        f"{REPLACED} VALUES (1, 'backlash', 'backlash', 'at_045', 1, 1, '', '', '', '', '', NULL, '')",
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
        ("1, 'backlash', 'backlash', 'at_000', 1", "NULL", "only grows"),  # a second beginning
        ("1, 'backlash', 'backlash', 'at_000', 1", "1", "only grows"),  # replaced already
        ("1, 'backlash', 'backlash', 'at_045', 1", "2", "FOREIGN KEY"),  # of another position
        ("1, 'backlash', 'backlash', 'at_000', 2", "2", "FOREIGN KEY"),  # of another trial
        ("1, 'preload', 'backlash', 'at_000', 1", "2", "FOREIGN KEY"),  # of another stage
        ("1, 'backlash', 'backlash', 'at_090', 1", "4", "ck_reading_replaces"),  # itself
        ("1, 'backlash', 'backlash', 'at_090', 1", "99", "ck_reading_replaces"),  # one to come
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
        "INSERT INTO ring (place, nominal_mm, count) VALUES ('', -2.5, 1)",
        "INSERT INTO ring (place, nominal_mm, count) VALUES ('', 2.5, -1)",
        "INSERT INTO ring (place, nominal_mm, measured_mm, count) VALUES ('', 2.5, 0, 1)",
        "INSERT INTO shop (id, name, address, units) VALUES (2, '', '', 'metric')",
        "INSERT INTO shop (id, name, address, units) VALUES (1, '', '', 'cubits')",
        "INSERT INTO person (name, name_key, role) VALUES ('a', 'a', 'king')",
        "INSERT INTO gauge (name, name_key, use, kind, resolution, stated_error) VALUES ('a', 'a', '', '', -1, 0)",
        "INSERT INTO gauge (name, name_key, use, kind, resolution, stated_error, interval_months)"
        " VALUES ('a', 'a', '', '', 0, 0, 0)",
        "INSERT INTO unit (serial, serial_key) VALUES ('-', '')",
        "INSERT INTO unit (serial, serial_key) VALUES ('k1183', 'k1183')",
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
