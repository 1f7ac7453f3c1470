"""Freezes a logbook of the newest step: run it once after adding a step, and commit what it writes.

It takes the newest frozen logbook, upgrades it, and writes it down as SQL. What is frozen is never written again.
"""

from __future__ import annotations

import re
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from core.records import open_logbook
from core.records.tables import APPLICATION_ID, REVISION

OLD = Path(__file__).parent / "old"
HEADING = (
    "-- A small logbook as step {step} left it. Frozen: it stands for the files of people who never upgraded since."
)


def freeze(dump: Path, target: Path) -> None:
    """Upgrade the logbook of a dump and write it down as the newest step left it."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "logbook.db"
        with closing(sqlite3.connect(path)) as connection:
            connection.executescript(dump.read_text(encoding="utf-8"))
        open_logbook(path).close()
        with closing(sqlite3.connect(path)) as connection:
            statements = "\n".join(dumped(connection))
    mark = f"PRAGMA application_id = {APPLICATION_ID};"
    with target.open("x", encoding="utf-8") as file:
        file.write(f"{HEADING.format(step=REVISION)}\n{mark}\n{statements}\n")


def dumped(connection: sqlite3.Connection) -> Iterator[str]:
    """Go through the statements that make a logbook; what SQLite keeps behind a search it makes itself."""
    behind = re.compile(
        r"""(CREATE TABLE|INSERT INTO) ['"]job_search|INSERT INTO sqlite_master|PRAGMA writable_schema"""
    )
    for statement in connection.iterdump():
        if statement == "COMMIT;":
            yield from _search(connection)
        if not behind.match(statement):
            yield statement


def _search(connection: sqlite3.Connection) -> Iterator[str]:
    for (made,) in connection.execute("SELECT sql FROM sqlite_master WHERE name = 'job_search'").fetchall():
        yield f"{made};"
        for row in connection.execute("SELECT rowid, quote(words) FROM job_search ORDER BY rowid"):
            yield "INSERT INTO job_search (rowid, words) VALUES({}, {});".format(*row)


if __name__ == "__main__":
    freeze(max(OLD.glob("*.sql")), OLD / f"{REVISION}.sql")
