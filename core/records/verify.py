"""Whether anything in a logbook was changed, taken away or slipped in behind the program's back, and which row."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Connection, Table, select

from core.language import tr
from core.records import tables
from core.records.engine import make_engine
from core.records.faults import faults_told
from core.records.guards import expected_guards, guards_of
from core.records.location import Place, in_words
from core.records.trail import BEGINNING, chained, content_of

AT_ONCE = 200
"""How many rows are held at a time: a photo is a few megabytes."""


Kind = Literal["gap", "rewritten", "altered", "slipped_in", "missing", "guard", "file"]
"""A gap in the trail, an entry of it rewritten; a row altered, slipped in, missing; a guard gone; the file spoiled."""


@dataclass(frozen=True)
class Finding:
    """Something that does not agree: of what kind, the row, the columns concerned, and a sentence."""

    kind: Kind
    table: str
    row_id: int
    sentence: str
    columns: tuple[str, ...] = ()

    def __str__(self) -> str:
        return self.sentence


@dataclass(frozen=True)
class Checked:
    """What a check of the whole logbook came to; `head` is the last entry of the trail and its chain."""

    findings: tuple[Finding, ...]
    rows: int
    entries: int
    head: tuple[int, str]


def verify(place: Place) -> Checked:
    """Compare every row of a logbook with the trail, and the trail with itself.

    Raises
    ------
    LogbookError
        It cannot be read.
    """
    engine = make_engine(place)
    try:
        with faults_told(in_words(place)), engine.connect() as connection, connection.begin():
            _read_whatever(connection)
            return check(connection)
    finally:
        engine.dispose()


def check(connection: Connection) -> Checked:
    """Check the logbook a connection is to, as `verify` does."""
    standing: dict[tuple[str, int], str] = {}
    head, entries, found = (0, BEGINNING), 0, []
    for entry in _every(connection, tables.trail):
        found += _of_entry(entry, head)
        head, entries = (entry["id"], entry["chain"]), entries + 1
        standing[entry["in_table"], entry["row_id"]] = entry["content"]
    rows = 0
    for table in tables.metadata.sorted_tables:
        if table is tables.trail:
            continue
        for row in _every(connection, table):
            rows += 1
            found += _of_row(table, row, standing.pop((table.name, row["id"]), None))
    found += [
        Finding(
            "missing",
            name,
            row_id,
            tr("{table} {id} is missing: the trail says it was written.", table=name, id=row_id),
        )
        for name, row_id in standing
    ]
    found += [*_of_guards(connection), *_of_file(connection)]
    return Checked(tuple(found), rows, entries, head)


def _read_whatever(connection: Connection) -> None:
    """Let a text be read that a flipped byte made none: it is told apart like any other."""
    if connection.dialect.name == "sqlite":
        raw: Any = connection.connection.dbapi_connection
        raw.text_factory = lambda data: data.decode("utf-8", "surrogateescape")


def _every(connection: Connection, table: Table) -> Iterator[Any]:
    wanted = select(table).order_by(table.c.id).execution_options(yield_per=AT_ONCE)
    yield from connection.execute(wanted).mappings()


def _of_entry(entry: Any, before: tuple[int, str]) -> list[Finding]:
    last_id, chain = before
    number = entry["id"]
    if number != last_id + 1:
        told = tr("The trail jumps from entry {last} to {next}: what was between is gone.", last=last_id, next=number)
        return [Finding("gap", "trail", number, told)]
    if chained(chain, entry) != entry["chain"]:
        told = tr("Entry {number} of the trail is not as it was written.", number=number)
        return [Finding("rewritten", "trail", number, told)]
    return []


def _of_row(table: Table, row: Any, written: str | None) -> list[Finding]:
    now = content_of(table, row)
    if written == now:
        return []
    name, row_id = table.name, row["id"]
    if written is None:
        told = tr("{table} {id} was slipped in: the trail knows nothing of it.", table=name, id=row_id)
        return [Finding("slipped_in", name, row_id, told)]
    columns = _at_odds(written, now)
    told = tr(
        "{table} {id} was altered: {columns}.",
        table=name,
        id=row_id,
        columns="; ".join(
            tr("{column} says {now}, the trail {before}", column=column, now=_short(is_now), before=_short(was))
            for column, was, is_now in columns
        ),
    )
    return [Finding("altered", name, row_id, told, tuple(column for column, _, _ in columns))]


def _at_odds(written: str, now: str) -> list[tuple[str, object, object]]:
    """Return column, value in the trail and value in the row, where the two differ."""
    is_now = json.loads(now)
    try:
        was = json.loads(written)
        was = was if isinstance(was, dict) else {}
    except json.JSONDecodeError:
        was = {}
    return [(name, was.get(name), is_now.get(name)) for name in sorted({*was, *is_now}) if _differ(was, is_now, name)]


def _differ(was: dict[str, object], is_now: dict[str, object], name: str) -> bool:
    return name not in was or name not in is_now or repr(was[name]) != repr(is_now[name])


def _short(value: object) -> str:
    longest = 60
    text = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in str(value))
    return f"“{text}”" if len(text) <= longest else f"“{text[:longest]}…”"


def _of_file(connection: Connection) -> list[Finding]:
    """Ask SQLite itself: an index that lost step with its table shows other rows to a search than to a list."""
    if connection.dialect.name != "sqlite":
        return []
    answers = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
    return [Finding("file", "", 0, tr("The file is damaged: {what}.", what=what)) for what in answers if what != "ok"]


def _of_guards(connection: Connection) -> list[Finding]:
    wanted, there = expected_guards(connection), guards_of(connection)
    return [
        Finding("guard", "", 0, tr("The guard {name} was removed or changed.", name=name))
        for name in sorted({*wanted, *there})
        if wanted.get(name) != there.get(name)
    ]
