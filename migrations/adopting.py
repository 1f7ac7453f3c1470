"""Writes rows into the trail that a step of the migrations made or changed, as form 1 of the trail has them.

A step that changes a table calls `adopt` for it last, so that what stands there afterwards agrees with the trail.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa

BEGINNING = "pinionbook trail 1"
CHAINED = ("id", "at", "bench", "person", "doing", "job_id", "what", "in_table", "row_id", "content")


def adopt(
    connection: sa.Connection, names: Iterable[str], digested: Mapping[str, tuple[str, ...]], what: str = "added"
) -> None:
    """Write every row of some tables into the trail.

    Parameters
    ----------
    connection : Connection
        Inside the step's transaction.
    names : iterable of str
        The tables, those that others point at first.
    digested : mapping
        The columns of a table that are written as their digest.
    what : str
        ``added``, or ``changed`` for rows the trail knows already.
    """
    trail = sa.Table("trail", sa.MetaData(), autoload_with=connection)
    last = connection.execute(sa.select(trail.c.id, trail.c.chain).order_by(trail.c.id.desc()).limit(1)).first()
    count, chain = (0, BEGINNING) if last is None else (last.id, last.chain)
    at = datetime.now(UTC).isoformat(timespec="microseconds")
    for name in names:
        table = sa.Table(name, sa.MetaData(), autoload_with=connection)
        for row in connection.execute(sa.select(table).order_by(table.c.id)).mappings().all():
            count += 1
            entry = {
                "id": count,
                "at": at,
                "bench": "",
                "person": "",
                "doing": "upgrade",
                "job_id": row["id"] if name == "job" else row.get("job_id"),
                "what": what,
                "in_table": name,
                "row_id": row["id"],
                "content": _canonical({key: _plain(key in digested.get(name, ()), row[key]) for key in row}),
            }
            chain = _digest(chain + _canonical([entry[key] for key in CHAINED]))
            connection.execute(trail.insert().values(chain=chain, **entry))


def _canonical(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def _plain(is_digested: bool, value: Any) -> Any:
    if is_digested and value is not None:
        return _digest(value if isinstance(value, str) else bytes(value))
    return value


def _digest(data: bytes | str) -> str:
    return hashlib.sha256(data if isinstance(data, bytes) else data.encode("utf-8", "surrogatepass")).hexdigest()
