"""Runs the migrations: all of a step happens, or nothing; what a step must not lose is counted."""

from __future__ import annotations

import threading
from importlib import resources
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, inspect

from core.records.backup import copy_logbook
from core.records.engine import make_engine
from core.records.guards import expected_guards, guards_of
from core.records.location import Place
from core.records.tables import APPLICATION_ID

# Alembic keeps the connection it works on in a place all threads of the program share.
_ONE_AT_A_TIME = threading.Lock()


def config() -> Config:
    """Return the configuration of the migrations, wherever the package is installed."""
    made = Config()
    # In a configuration file % begins a substitution; in a folder's name it is only a sign.
    made.set_main_option("script_location", str(resources.files("migrations")).replace("%", "%%"))
    return made


def known_revisions() -> set[str]:
    """Return the revision of every step this program knows."""
    return {step.revision for step in ScriptDirectory.from_config(config()).walk_revisions()}


def migrate(place: Place, *, is_new: bool = False, backup: Path | None = None, to: str = "head") -> None:
    """Run the migrations up to the newest, in one transaction: all of it happens, or nothing.

    Parameters
    ----------
    place : Path or URL
        The file, or the database.
    is_new : bool
        Whether it is being made.
    backup : Path, optional
        Where to copy it first.
    to : str
        The step to stop at.
    """
    # Rebuilding a table with foreign keys on would empty its children, and inside a transaction they stay on.
    engine = make_engine(place, is_new=is_new, has_foreign_keys=False)
    try:
        with engine.connect().execution_options(is_writing=True, is_patient=True) as connection, connection.begin():
            before = _counts(connection)
            # No other writer can come between the copy and the upgrade: the transaction has begun.
            if backup is not None:
                _copy_aside(place, backup, connection)
            if is_new and isinstance(place, Path):
                connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
            _run(connection, to)
            if to == "head":
                _make_search_anew(connection)
            _check(connection, before, is_newest=to == "head")
    finally:
        engine.dispose()


def _copy_aside(place: Place, backup: Path, connection: Connection) -> None:
    if isinstance(place, Path):
        copy_logbook(place, backup)
    else:
        from core.records.move import copy_to_file

        copy_to_file(connection, backup)


def _run(connection: Connection, to: str) -> None:
    settings = config()
    settings.attributes["connection"] = connection
    with _ONE_AT_A_TIME:
        command.upgrade(settings, to)


def _make_search_anew(connection: Connection) -> None:
    from core.records.logbook import utc_now
    from core.records.work import Work

    Work(connection, utc_now, may_write=True).rebuild_search()


def _counts(connection: Connection) -> dict[str, int]:
    """Return how many rows each table holds."""
    quote = connection.dialect.identifier_preparer.quote
    return {
        name: int(connection.exec_driver_sql(f"SELECT count(*) FROM {quote(name)}").scalar_one())  # noqa: S608
        for name in inspect(connection).get_table_names()
    }


def _check(connection: Connection, before: dict[str, int], *, is_newest: bool) -> None:
    """Refuse to commit an upgrade that lost something; each of these would be a bug in a migration."""
    is_file = connection.dialect.name == "sqlite"
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all() if is_file else []
    if broken:
        raise RuntimeError(f"the upgrade left {len(broken)} rows that point nowhere, the first in {broken[0][0]}")
    after = _counts(connection)
    lost = sorted(name for name, count in before.items() if name in after and after[name] < count)
    if lost:
        raise RuntimeError(f"the upgrade lost rows of {', '.join(lost)}")
    if is_newest and guards_of(connection) != expected_guards(connection):
        raise RuntimeError("the upgrade left other guards than core.records.guards names")
