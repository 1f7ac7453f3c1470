"""Runs the migrations: all of a step happens, or nothing; what a step must not lose is counted."""

from __future__ import annotations

import threading
from importlib import resources
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, text

from core.records.backup import copy_logbook
from core.records.engine import make_engine
from core.records.tables import APPLICATION_ID, TRIGGERS

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


def migrate(path: Path, *, is_new: bool = False, backup: Path | None = None) -> None:
    """Run the migrations up to the newest, in one transaction: all of it happens, or nothing.

    Parameters
    ----------
    path : Path
        The file.
    is_new : bool
        Whether it is being made.
    backup : Path, optional
        Where to copy it first.
    """
    # Rebuilding a table with foreign keys on would empty its children, and inside a transaction they stay on.
    engine = make_engine(path, is_new=is_new, has_foreign_keys=False)
    try:
        with engine.connect().execution_options(is_writing=True) as connection, connection.begin():
            before = _counts(connection)
            # No other writer can come between the copy and the upgrade: the transaction has begun.
            if backup is not None:
                copy_logbook(path, backup)
            if is_new:
                connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
            _run(connection)
            _check(connection, before)
    finally:
        engine.dispose()


def _run(connection: Connection) -> None:
    settings = config()
    settings.attributes["connection"] = connection
    with _ONE_AT_A_TIME:
        command.upgrade(settings, "head")


def _counts(connection: Connection) -> dict[str, int]:
    """Return how many rows each table holds."""
    names = connection.execute(text("SELECT name FROM sqlite_master WHERE type = 'table'")).scalars()
    counts = {}
    for name in names.all():
        quoted = connection.dialect.identifier_preparer.quote(name)
        counts[name] = int(connection.exec_driver_sql(f"SELECT count(*) FROM {quoted}").scalar_one())  # noqa: S608
    return counts


def _check(connection: Connection, before: dict[str, int]) -> None:
    """Refuse to commit an upgrade that lost something; each of these would be a bug in a migration."""
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    if broken:
        raise RuntimeError(f"the upgrade left {len(broken)} rows that point nowhere, the first in {broken[0][0]}")
    after = _counts(connection)
    lost = sorted(name for name, count in before.items() if name in after and after[name] < count)
    if lost:
        raise RuntimeError(f"the upgrade lost rows of {', '.join(lost)}")
    stored = connection.execute(text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")).all()
    if {(row.name, row.sql) for row in stored} != set(TRIGGERS.items()):
        raise RuntimeError("the upgrade left other triggers than core.records.tables names")
