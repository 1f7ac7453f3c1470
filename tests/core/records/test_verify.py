"""Whatever is altered, taken away or slipped in behind the program's back is found and named, in every column."""

from __future__ import annotations

import json
import shutil
import sqlite3
import struct
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, Table, select, text

from core.records import Logbook, open_logbook
from core.records.engine import make_engine
from core.records.tables import metadata
from core.records.trail import canonical, chained, content_of, digest
from core.records.verify import _read_whatever, check

from .lived_in import NOW, ROWS, live_in

EVERY = [table for table in metadata.sorted_tables if table.name != "trail"]


@pytest.fixture
def lived_in(logbook: Logbook) -> Logbook:
    """Return a logbook with a row in every table."""
    with logbook.work(by="Tam", doing="live in") as work:
        live_in(work)
        work.commit()
    return logbook


@pytest.fixture
def behind(lived_in: Logbook) -> Iterator[Connection]:
    """Yield a connection of somebody who goes behind the program's back: no guard, no key, no check holds him."""
    engine = make_engine(lived_in.place, has_foreign_keys=False)
    with engine.connect().execution_options(is_writing=True) as connection:
        if connection.dialect.name == "sqlite":
            raw: Any = connection.connection.dbapi_connection
            raw.execute("PRAGMA ignore_check_constraints = ON")
        connection.begin()
        _read_whatever(connection)
        unguard(connection)
        yield connection
    engine.dispose()


def unguard(connection: Connection) -> None:
    """Take triggers and checks away; the transaction is never committed."""
    if connection.dialect.name == "sqlite":
        for (name,) in connection.execute(text("SELECT name FROM sqlite_master WHERE type = 'trigger'")).all():
            connection.exec_driver_sql(f"DROP TRIGGER {name}")
        return
    connection.exec_driver_sql("SET LOCAL session_replication_role = replica")
    checks = "SELECT conrelid::regclass::text, conname FROM pg_constraint WHERE contype = 'c' AND conrelid <> 0"
    for table, name in connection.execute(text(checks)).all():
        if table in metadata.tables:
            connection.exec_driver_sql(f"ALTER TABLE {table} DROP CONSTRAINT {name}")


def altered(value: Any, column: Any, engine: str) -> Any:
    """Return a value with one bit flipped, or something where there was nothing."""
    if value is None:
        kind = column.type.python_type
        return {int: 7, float: 0.5, str: "x", bytes: b"x"}[kind]
    if isinstance(value, float):
        (bits,) = struct.unpack("<q", struct.pack("<d", value))
        return struct.unpack("<d", struct.pack("<q", bits ^ 1))[0]
    if isinstance(value, int):
        return value ^ 1
    data = bytearray(value if isinstance(value, bytes) else value.encode())
    if not data:
        return "x" if isinstance(value, str) else b"x"
    # The low bit keeps a text in ASCII a text, which a server insists on.
    data[-1] ^= 1
    return bytes(data) if isinstance(value, bytes) else data.decode()


def found(connection: Connection, table: str) -> list[Any]:
    return [finding for finding in check(connection).findings if finding.table == table]


def test_a_logbook_as_the_program_left_it_agrees(lived_in: Logbook) -> None:
    checked = lived_in.verify()
    assert checked.findings == ()
    assert checked.rows == checked.entries == len(ROWS)
    with lived_in.look() as work:
        assert work.head() == checked.head


def test_no_table_is_left_out() -> None:
    assert set(ROWS) == {table.name for table in EVERY}


@pytest.mark.parametrize("table", EVERY, ids=lambda table: table.name)
def test_one_flipped_bit_in_any_column_is_found_and_named(behind: Connection, table: Table) -> None:
    for column in table.columns:
        with behind.begin_nested() as undo:
            value = behind.execute(select(column)).scalar_one()
            new = altered(value, column, behind.dialect.name)
            behind.execute(table.update().values({column.name: new}))
            findings = found(behind, table.name)
            if column.name == "id":
                assert {finding.row_id for finding in findings} == {value, new}, column
            else:
                (finding,) = findings
                assert finding.columns == (column.name,), column
                assert f"{table.name} 1 was altered: {column.name} says" in finding.sentence
            undo.rollback()


@pytest.mark.parametrize("table", EVERY, ids=lambda table: table.name)
def test_a_row_that_is_gone_is_named(behind: Connection, table: Table) -> None:
    behind.execute(table.delete())
    (finding,) = found(behind, table.name)
    assert finding.sentence == f"{table.name} 1 is missing: the trail says it was written."


@pytest.mark.parametrize("table", EVERY, ids=lambda table: table.name)
def test_a_row_slipped_in_is_named(behind: Connection, table: Table) -> None:
    row = dict(behind.execute(select(table)).mappings().one())
    unique = {column: f"{row[column]}x" for column in row if isinstance(row[column], str)}
    counted = {column: row[column] + 1 for column in ("round", "revision", "photo_id") if column in row}
    behind.execute(table.insert().values(row | unique | counted | {"id": 99, "replaces": 1} if "replaces" in row
                                         else row | unique | counted | {"id": 99}))  # fmt: skip
    (finding,) = found(behind, table.name)
    assert finding.sentence == f"{table.name} 99 was slipped in: the trail knows nothing of it."


def test_one_flipped_bit_in_any_column_of_the_trail_is_found(behind: Connection) -> None:
    trail = metadata.tables["trail"]
    for column in trail.columns:
        with behind.begin_nested() as undo:
            value = behind.execute(select(column).where(trail.c.id == 3)).scalar_one()
            new = 1000 if column.name == "id" else altered(value, column, behind.dialect.name)
            behind.execute(trail.update().where(trail.c.id == 3).values({column.name: new}))
            assert found(behind, "trail"), column
            undo.rollback()


@pytest.mark.parametrize("gone", [1, 5])
def test_an_entry_of_the_trail_that_is_gone_is_found(behind: Connection, gone: int) -> None:
    behind.execute(text(f"DELETE FROM trail WHERE id = {gone}"))
    (finding,) = found(behind, "trail")
    assert "what was between is gone" in finding.sentence


def test_the_last_entry_and_its_row_gone_together_are_told_by_the_head(behind: Connection) -> None:
    entry, chain = check(behind).head
    behind.execute(text(f"DELETE FROM trail WHERE id = {entry}"))
    behind.execute(text("DELETE FROM photo_strike"))
    assert check(behind).head != (entry, chain), "what was printed on a sheet no longer leads anywhere"


def test_a_guard_that_is_gone_is_named(lived_in: Logbook) -> None:
    engine = make_engine(lived_in.place)
    with engine.connect().execution_options(is_writing=True) as connection, connection.begin() as undo:
        is_file = connection.dialect.name == "sqlite"
        name = "tr_reading_no_update" if is_file else "tr_reading_no_change"
        connection.exec_driver_sql(f"DROP TRIGGER {name}" + ("" if is_file else " ON reading"))
        assert [f.sentence for f in check(connection).findings] == [f"The guard {name} was removed or changed."]
        undo.rollback()
    engine.dispose()


def test_a_guard_that_was_switched_off_or_made_to_do_nothing_is_named(lived_in: Logbook) -> None:
    orders = {
        "tr_job_event_no_delete": (
            "DROP TRIGGER tr_job_event_no_delete",
            "CREATE TRIGGER tr_job_event_no_delete BEFORE DELETE ON job_event BEGIN SELECT 1; END",
        )
    }
    if lived_in.location.startswith("postgresql"):
        empty = "CREATE OR REPLACE FUNCTION {}() RETURNS trigger LANGUAGE plpgsql AS $$BEGIN RETURN NEW; END$$"
        orders = {name: (empty.format(name),) for name in ("only_grows", "spec_value_pinned")}
        orders["tr_reading_no_change"] = ("ALTER TABLE reading DISABLE TRIGGER tr_reading_no_change",)
    engine = make_engine(lived_in.place)
    for name, done in orders.items():
        with engine.connect().execution_options(is_writing=True) as connection, connection.begin() as undo:
            for order in done:
                connection.exec_driver_sql(order)
            assert [f.sentence for f in check(connection).findings] == [f"The guard {name} was removed or changed."]
            undo.rollback()
    engine.dispose()


def test_what_was_changed_by_a_verb_agrees(lived_in: Logbook) -> None:
    with lived_in.work(by="Tam", doing="change_job") as work:
        work.change_job(1, "customer", "Somebody Else", "Tam", "sold", NOW)
        work.commit()
    assert lived_in.verify().findings == ()


# -- the bytes of a file -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("marker", ["Brackwater Hill", "0.08\u2009mm", "Łucja", "came in", "wrong unit"])
def test_a_flipped_byte_in_the_file_itself_is_found(made_once: Path, tmp_path: Path, marker: str) -> None:
    path = shutil.copyfile(made_once, tmp_path / "logbook.db")
    with open_logbook(path, clock=lambda: NOW) as logbook, logbook.work() as work:
        live_in(work)
        work.record(1, "backlash", "backlash", "at_045", 1, amount("0.08\u2009mm"), None, "Tam", NOW)
        work.commit()
    with open_logbook(path) as logbook:
        assert logbook.verify().findings == ()
    before = every_row(path)
    whole, wanted = path.read_bytes(), marker.encode()
    places = [at for at in range(len(whole)) if whole.startswith(wanted, at)]
    changed = 0
    for at in places:
        for offset in (0, len(wanted) - 1):
            data = bytearray(whole)
            data[at + offset] ^= 1
            path.write_bytes(data)
            if every_row(path) != before:
                changed += 1
                with open_logbook(path) as logbook:
                    assert logbook.verify().findings, f"byte {at + offset}"
    assert changed >= 2, "the row itself and the trail"


def every_row(path: Path) -> list[list[tuple[object, ...]]]:
    """Return all that is written; what is left are indexes, the search, and room that is not in use."""
    with closing(sqlite3.connect(path)) as connection:
        connection.text_factory = bytes
        return [connection.execute(f"SELECT * FROM {table} ORDER BY id").fetchall() for table in metadata.tables]


def amount(typed: str) -> Any:
    from core.quantities import Amount

    return Amount("length", 0.08, typed, "mm")


# -- the form ----------------------------------------------------------------------------------------------------------


def test_the_form_of_the_trail_is_written_down_for_ever() -> None:
    """Change this only with another form number: every logbook in the world depends on it."""
    assert canonical({"b": 1, "a": [0.1, None, "é"]}) == '{"a":[0.1,null,"é"],"b":1}'
    assert digest("a") == "ca978112ca1bbdcafac231b39a23dc4da786eff8147c4e72b9807785afee48bb"
    person = metadata.tables["person"]
    row = {"id": 1, "uid": "u", "version": 1, **ROWS["person"]}
    assert json.loads(content_of(person, row))["pin"] == digest("scrypt$1$x")
    entry = {
        "id": 1, "at": "t", "bench": "b", "person": "p", "doing": "d", "job_id": None, "what": "added",
        "in_table": "shop", "row_id": 1, "content": "{}",
    }  # fmt: skip
    assert chained("pinionbook trail 1", entry) == digest(
        'pinionbook trail 1[1,"t","b","p","d",null,"added","shop",1,"{}"]'
    )


def test_a_plain_connection_sees_the_same_rows(lived_in: Logbook) -> None:
    if lived_in.location.startswith("postgresql"):
        return
    raw = sqlite3.connect(lived_in.location)
    assert raw.execute("SELECT count(*) FROM trail").fetchone() == (len(ROWS),)
    raw.close()
