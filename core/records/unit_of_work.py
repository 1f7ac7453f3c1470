"""What every verb stands on: one connection, one transaction, one clock."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Executable, Insert, Row, Update

from core.errors import NotFoundError
from core.language import tr

LARGEST_ID = 2**63 - 1


class UnitOfWork:
    """A transaction on the logbook; what was not committed when it ends never happened."""

    def __init__(self, connection: Connection, clock: Callable[[], datetime], *, may_write: bool) -> None:
        self._connection = connection
        self._clock = clock
        self._may_write = may_write

    def commit(self) -> None:
        """Keep what was written; when this returns, it is on the disk."""
        self._connection.commit()

    def _rows(self, statement: Executable) -> Sequence[Row[Any]]:
        return self._connection.execute(statement).all()

    def _row(self, statement: Executable) -> Row[Any] | None:
        return self._connection.execute(statement).first()

    def _insert(self, statement: Insert) -> int:
        """Add one row and return its id."""
        self._need_writing()
        key = self._connection.execute(statement).inserted_primary_key
        return int(key[0]) if key else 0

    def _update(self, statement: Update) -> None:
        self._need_writing()
        self._connection.execute(statement)

    def _need_writing(self) -> None:
        if not self._may_write:
            raise RuntimeError("this unit of work only looks; use Logbook.work() to write")


def checked_id(value: int, missing: str) -> int:
    """Return an id that a row may have; `missing` is the translated sentence for one that cannot be."""
    if not 0 < value <= LARGEST_ID:
        raise no_such(missing)
    return value


def no_such(missing: str) -> NotFoundError:
    """Return the error for a row that is not there."""
    return NotFoundError(missing, tr("It may belong to another logbook; open the list anew and choose again."))
