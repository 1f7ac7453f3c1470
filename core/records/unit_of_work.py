"""What every verb stands on: one connection, one transaction, one clock, and the trail of what was done."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, Executable, Row, Table, insert, select, update
from sqlalchemy.sql.dml import ReturningInsert

from core.errors import ConflictError, NotFoundError, RuleError
from core.language import tr
from core.records import tables
from core.records.engine import CHANNEL
from core.records.texts import CLOCK_SKEW, from_time_text, to_time_text
from core.records.trail import BEGINNING, chained, content_of

LARGEST_ID = 2**63 - 1


@dataclass(frozen=True)
class Hand:
    """Who writes: at which bench, by name, and doing what (the verb)."""

    bench: str = ""
    person: str = ""
    doing: str = ""


@cache
def _adding(table: Table) -> ReturningInsert[Any]:
    # Making a statement takes longer than the engine takes to add the row.
    return insert(table).returning(*table.c)


class UnitOfWork:
    """A transaction on the logbook; what was not committed when it ends never happened.

    Nobody else writes while one that may write lasts, on either engine, so what it has read stays so until it ends.
    """

    def __init__(
        self, connection: Connection, clock: Callable[[], datetime], *, may_write: bool, hand: Hand | None = None
    ) -> None:
        self._connection = connection
        self._clock = clock
        self._may_write = may_write
        self._hand = hand or Hand()
        self._chain: tuple[int, str] | None = None

    def commit(self) -> None:
        """Keep what was written; when this returns, it is on the disk."""
        if self._chain is not None and self._connection.dialect.name == "postgresql":
            # Sent by the server when, and only when, the transaction is kept.
            self._connection.exec_driver_sql(f"NOTIFY {CHANNEL}")
        self._connection.commit()

    # -- reading ---------------------------------------------------------------------------------------------------

    def _rows(self, statement: Executable) -> Sequence[Row[Any]]:
        return self._connection.execute(statement).all()

    def _row(self, statement: Executable) -> Row[Any] | None:
        return self._connection.execute(statement).first()

    # -- writing ---------------------------------------------------------------------------------------------------

    def _add(self, table: Table, **values: Any) -> int:
        """Add one row and return its id; a stable id and the first version are filled in."""
        return int(self._add_row(table, **values).id)

    def _add_row(self, table: Table, **values: Any) -> Row[Any]:
        """Add one row as `_add` does, and return it as it was written."""
        self._need_writing()
        if "uid" in table.c:
            values.setdefault("uid", str(uuid4()))
        if "version" in table.c:
            values.setdefault("version", 1)
        row = self._connection.execute(_adding(table), values).one()
        self._note("added", table, row._asdict())
        return row

    def _change(self, table: Table, row_id: int, *, seen: int | None = None, **values: Any) -> None:
        """Change one row.

        Parameters
        ----------
        table : Table
            One whose rows may change.
        row_id : int
            Which row.
        seen : int, optional
            The version the person had before his eyes; None where what he saw does not matter.
        values : mapping
            The new values.

        Raises
        ------
        ConflictError
            Somebody changed the row meanwhile.
        """
        self._need_writing()
        if "version" in table.c:
            now = self._connection.execute(select(table.c.version).where(table.c.id == row_id)).scalar_one()
            if seen is not None and seen != now:
                raise self._changed_meanwhile(table, row_id)
            values["version"] = now + 1
        changed = update(table).where(table.c.id == row_id).values(**values).returning(*table.c)
        self._note("changed", table, self._connection.execute(changed).one()._asdict())

    def _changed_meanwhile(self, table: Table, row_id: int) -> ConflictError:
        trail = tables.trail
        last = self._row(
            select(trail.c.person)
            .where(trail.c.in_table == table.name, trail.c.row_id == row_id)
            .order_by(trail.c.id.desc())
            .limit(1)
        )
        who = last.person if last is not None and last.person else tr("Somebody else")
        return ConflictError(
            tr("{name} changed this meanwhile.", name=who), tr("Look at what stands there now, then change it again.")
        )

    def _note(self, what: str, table: Table, row: Mapping[str, Any]) -> None:
        """Write a change into the trail."""
        before_id, before = self._chain or self._last_of_trail()
        now = self._clock()
        entry = {
            "id": before_id + 1,
            "at": to_time_text(now, now),
            "bench": self._hand.bench,
            "person": self._hand.person,
            "doing": self._hand.doing,
            "job_id": row["id"] if table is tables.job else row.get("job_id"),
            "what": what,
            "in_table": table.name,
            "row_id": row["id"],
            "content": content_of(table, row),
        }
        entry["chain"] = chained(before, entry)
        self._connection.execute(insert(tables.trail), entry)
        self._chain = entry["id"], entry["chain"]

    def _last_of_trail(self) -> tuple[int, str]:
        trail = tables.trail
        last = self._row(select(trail.c.id, trail.c.at, trail.c.chain).order_by(trail.c.id.desc()).limit(1))
        if last is None:
            return 0, BEGINNING
        self._need_clock_after(from_time_text(last.at))
        return last.id, last.chain

    def _need_clock_after(self, last: datetime) -> None:
        """Refuse to write before what is written already: times that run backwards prove nothing."""
        now = self._clock()
        if now < last - CLOCK_SKEW:
            raise RuleError(
                tr(
                    "The clock of this machine says {now}, but the last entry in the logbook is from {last}.",
                    now=now.strftime("%Y-%m-%d %H:%M"),
                    last=last.strftime("%Y-%m-%d %H:%M"),
                ),
                tr("Set the clock of the machine right, then enter it again; nothing was written."),
            )

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
