"""A whole logbook carried from a file to a server or back, and the proof that it arrived."""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL, Connection, MetaData, Table, func, inspect, select, text

from core.errors import LogbookError
from core.language import tr
from core.records import tables
from core.records.backup import put_in_place
from core.records.engine import make_engine
from core.records.faults import faults_told
from core.records.location import Place, in_words, place_of
from core.records.opening import make_ready, table_names
from core.records.trail import content_of
from core.records.verify import AT_ONCE, check


@dataclass(frozen=True)
class Moved:
    """What was carried over: rows by table, and the digest of all of them, the same on both sides."""

    rows: dict[str, int]
    digest: str


def move(source: str | Path, target: str | Path) -> Moved:
    """Copy a whole logbook to a place where there is none yet, and prove that both are equal; the source stays.

    Parameters
    ----------
    source, target : str or Path
        Paths or addresses; nothing may be at the target but an empty database.

    Raises
    ------
    LogbookError
        The source is damaged or was tampered with, something is at the target already, or the two differ.
    """
    start, end = place_of(source), place_of(target)
    if isinstance(start, Path) and not start.exists():
        raise LogbookError(tr("There is no logbook {path}.", path=start), tr("Check how it is written."))
    make_ready(start)
    _need_empty(end)
    engine = make_engine(start)
    try:
        # Whoever would write waits: what is copied is of one moment, and stays so until it was compared.
        with faults_told(in_words(start)), engine.connect().execution_options(is_writing=True) as connection:
            connection.begin()
            _need_sound(connection, start)
            return copy_to_file(connection, end) if isinstance(end, Path) else _copy_to_server(connection, end)
    finally:
        engine.dispose()


def copy_to_file(connection: Connection, target: Path) -> Moved:
    """Copy the logbook of a connection into a new file; it appears complete and compared, or not at all."""
    from core.records.upgrade import migrate

    target.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=target.parent, prefix=".new-logbook-") as folder:
        made = Path(folder) / target.name
        revision = str(connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one())
        migrate(made, is_new=True, to=revision)
        engine = make_engine(made)
        try:
            with engine.connect().execution_options(is_writing=True) as copy:
                copy.begin()
                moved = copy_rows(connection, copy)
                copy.commit()
            with engine.connect() as copy:
                copy.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
        finally:
            engine.dispose()
        put_in_place(made, target)
    return moved


def _copy_to_server(connection: Connection, target: URL) -> Moved:
    make_ready(target)
    engine = make_engine(target)
    try:
        with faults_told(in_words(target)), engine.connect().execution_options(is_writing=True) as copy:
            copy.begin()
            moved = copy_rows(connection, copy)
            copy.commit()
        return moved
    finally:
        engine.dispose()


def copy_rows(source: Connection, target: Connection, progress: Callable[[str, int], None] | None = None) -> Moved:
    """Copy every row into empty tables of the same step, and compare; the caller commits.

    Parameters
    ----------
    source, target : Connection
        Inside transactions of their own.
    progress : callable, optional
        Is told the table and how many of its rows were copied.

    Raises
    ------
    LogbookError
        What arrived is not what was sent.
    """
    carried = _carried(source)
    rows = {table.name: _copy_table(source, target, table, progress) for table in carried}
    _set_sequences(target, carried)
    _rebuild_search(target)
    sent, arrived = digest_of(source, carried), digest_of(target, carried)
    if sent != arrived:
        raise LogbookError(tr("What arrived is not what was sent."), tr("Check the disk and try again."))
    return Moved(rows, sent)


def _carried(connection: Connection) -> list[Table]:
    """Return the tables of a logbook, those that others point at first, as they are at its step."""
    described = MetaData()
    described.reflect(connection, only=lambda name, _: name in tables.metadata.tables)
    # A card may not be added to once a job is pinned to it, so its values go first.
    first = [tables.spec_card, tables.spec_revision, tables.spec_value]
    order = first + [table for table in tables.metadata.sorted_tables if table not in first]
    # The program's own description where it is of this step: it knows what a column holds.
    return [
        table if set(table.c.keys()) == set(described.tables[table.name].c.keys()) else described.tables[table.name]
        for table in order
        if table.name in described.tables
    ]


def _copy_table(
    source: Connection, target: Connection, table: Table, progress: Callable[[str, int], None] | None
) -> int:
    count = 0
    found = source.execute(select(table).order_by(table.c.id).execution_options(yield_per=AT_ONCE))
    for some in found.mappings().partitions():
        target.execute(table.insert(), [dict(row) for row in some])
        count += len(some)
        if progress is not None:
            progress(table.name, count)
    return count


def _set_sequences(connection: Connection, carried: Sequence[Table]) -> None:
    """Let a server count on after the rows that were copied."""
    if connection.dialect.name != "postgresql":
        return
    for table in carried:
        last = connection.execute(select(func.max(table.c.id))).scalar_one()
        if last is not None:
            connection.execute(
                text("SELECT setval(pg_get_serial_sequence(:name, 'id'), :last)"), {"name": table.name, "last": last}
            )


def _rebuild_search(connection: Connection) -> None:
    if not inspect(connection).has_table("job_search"):
        return
    from core.records.logbook import utc_now
    from core.records.work import Work

    Work(connection, utc_now, may_write=True).rebuild_search()


def digest_of(connection: Connection, carried: Sequence[Table] | None = None) -> str:
    """Return one SHA-256 over every row of a logbook, table by table, pictures included; engines agree on it."""
    seal = hashlib.sha256()
    for table in carried or _carried(connection):
        found = connection.execute(select(table).order_by(table.c.id).execution_options(yield_per=AT_ONCE))
        for row in found:
            seal.update(f"{table.name} {content_of(table, row._asdict())}\n".encode("utf-8", "surrogatepass"))
    return seal.hexdigest()


def _need_sound(connection: Connection, place: Place) -> None:
    findings = check(connection).findings
    if findings:
        raise LogbookError(
            tr("The logbook {path} does not agree with its trail: {first}", path=in_words(place), first=findings[0]),
            tr("Settle that first; 'pinionbook verify' lists all of it."),
        )


def _need_empty(place: Place) -> None:
    if isinstance(place, Path):
        if place.exists():
            raise LogbookError(
                tr("There is something at {path} already.", path=place), tr("Give a name that is free yet.")
            )
        return
    with faults_told(in_words(place)):
        names = table_names(place)
        if not names:
            return
        engine = make_engine(place)
        try:
            with engine.connect() as connection:
                known = "trail" in names and connection.execute(select(func.count()).select_from(tables.trail)).scalar()
        finally:
            engine.dispose()
    if "trail" not in names or known:
        raise LogbookError(
            tr("The database {path} is not empty.", path=in_words(place)), tr("Give an empty database to the logbook.")
        )
