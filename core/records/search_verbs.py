"""The search: an index of each job's words, kept in step with what it is made from.

FTS5 in a file, a tsvector on a server; both are handed the same words and asked for the same beginnings of words. The
index is made from the other tables and can be made anew at any time, so it is not in the trail.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from typing import Any

from sqlalchemy import ColumnElement, Connection, Table, bindparam, select, text, tuple_

from core.records import tables
from core.records.search_words import asked_words, words_of_job
from core.records.unit_of_work import UnitOfWork
from core.stages import registry

AT_ONCE = 200
"""Jobs indexed by one round of questions."""


class SearchVerbs(UnitOfWork):
    """Keeps the index and asks it."""

    def __init__(self, connection: Connection, *args: Any, **kwargs: Any) -> None:
        super().__init__(connection, *args, **kwargs)
        self._stale_jobs: set[int] = set()

    def commit(self) -> None:
        """Keep what was written, the index with it."""
        self._bring_search_up_to_date()
        super().commit()

    def rebuild_search(self) -> None:
        """Make the index anew from the whole logbook; who copied rows past the verbs calls this."""
        self._need_writing()
        self._connection.execute(text("DELETE FROM job_search"))
        ids = [row.id for row in self._rows(select(tables.job.c.id).order_by(tables.job.c.id))]
        for start in range(0, len(ids), AT_ONCE):
            self._put_in_search(ids[start : start + AT_ONCE])
        self._stale_jobs.clear()
        if not self._search_is_in_file:
            # A server that has not counted yet looks through everything instead of asking the index.
            self._connection.execute(text("ANALYZE job_search"))

    # -- keeping it ------------------------------------------------------------------------------------------------

    def _note(self, what: str, table: Table, row: Mapping[str, Any]) -> None:
        """Write a change into the trail, and remember whose words it may have changed."""
        super()._note(what, table, row)
        job_id = self._searched_job_in(table, row)
        if job_id is not None:
            self._stale_jobs.add(job_id)

    def _searched_job_in(self, table: Table, row: Mapping[str, Any]) -> int | None:
        if table is tables.job:
            return int(row["id"])
        if table in (tables.job_event, tables.photo) or (table is tables.reading and _has_words(row)):
            return int(row["job_id"])
        if table is tables.photo_strike:
            photo = self._row(select(tables.photo.c.job_id).where(tables.photo.c.id == row["photo_id"]))
            return None if photo is None else int(photo.job_id)
        return None

    def _bring_search_up_to_date(self) -> None:
        if self._stale_jobs:
            ids, self._stale_jobs = sorted(self._stale_jobs), set()
            self._connection.execute(
                _statement(self._search_is_in_file, "forget"), [{"job_id": job_id} for job_id in ids]
            )
            self._put_in_search(ids)

    def _put_in_search(self, ids: Collection[int]) -> None:
        words = self._words_by_job(ids)
        if words:
            rows = [{"job_id": job_id, "words": self._as_searched(found)} for job_id, found in words.items()]
            self._connection.execute(_statement(self._search_is_in_file, "keep"), rows)

    def _words_by_job(self, ids: Collection[int]) -> dict[int, list[str]]:
        """Return the words of some jobs by their ids."""
        job, unit, customer = tables.job, tables.unit, tables.customer
        heads = self._rows(
            select(job, unit.c.serial, customer.c.name, customer.c.contact)
            .join(unit, unit.c.id == job.c.unit_id)
            .join(customer, customer.c.id == job.c.customer_id)
            .where(job.c.id.in_(ids))
        )
        written = self._searched_texts(ids)
        return {
            row.id: words_of_job(
                row.number, row.serial, [row.name, row.contact, row.vehicle, row.asked_for, *written[row.id]]
            )
            for row in heads
        }

    def _searched_texts(self, ids: Collection[int]) -> dict[int, list[str]]:
        """Return the notes, reasons and captions of some jobs by their ids."""
        found: dict[int, list[str]] = defaultdict(list)
        for job_id, words in (*self._searched_notes(ids), *self._searched_reasons(ids), *self._searched_captions(ids)):
            found[job_id].append(words)
        return found

    def _searched_notes(self, ids: Collection[int]) -> Iterable[tuple[int, str]]:
        """Go through the free texts that stand; those replaced or taken back are found no more."""
        reading = tables.reading
        place = tuple_(reading.c.stage, reading.c.entry)
        after = reading.alias()
        is_replaced = select(after.c.id).where(after.c.replaces == reading.c.id).exists()
        rows = self._rows(
            select(reading.c.job_id, reading.c.text)
            .where(reading.c.job_id.in_(ids), place.in_(_free_texts()), reading.c.text != "", ~is_replaced)
            .order_by(reading.c.id)
        )
        return [(row.job_id, row.text) for row in rows]

    def _searched_reasons(self, ids: Collection[int]) -> Iterable[tuple[int, str]]:
        reading, event = tables.reading, tables.job_event
        of_readings = self._rows(
            select(reading.c.job_id, reading.c.reason)
            .where(reading.c.job_id.in_(ids), reading.c.reason != "")
            .order_by(reading.c.id)
        )
        of_events = self._rows(
            select(event.c.job_id, event.c.detail).where(event.c.job_id.in_(ids)).order_by(event.c.id)
        )
        return [
            *((row.job_id, row.reason) for row in of_readings),
            *((row.job_id, str(json.loads(row.detail).get("reason", ""))) for row in of_events),
        ]

    def _searched_captions(self, ids: Collection[int]) -> Iterable[tuple[int, str]]:
        photo, strike = tables.photo, tables.photo_strike
        is_struck = select(strike.c.id).where(strike.c.photo_id == photo.c.id).exists()
        rows = self._rows(
            select(photo.c.job_id, photo.c.caption).where(photo.c.job_id.in_(ids), ~is_struck).order_by(photo.c.id)
        )
        return [(row.job_id, row.caption) for row in rows]

    # -- asking it -------------------------------------------------------------------------------------------------

    def _is_found(self, typed: str) -> ColumnElement[bool] | None:
        """Return the condition a job that is found meets, or None where nothing to look for was typed."""
        asked = asked_words(typed)
        if not asked:
            return None
        self._bring_search_up_to_date()
        question = _for_file(asked) if self._search_is_in_file else _for_server(asked)
        wanted = text(_FOUND[self._search_is_in_file]).bindparams(bindparam("asked", question))
        return tables.job.c.id.in_(wanted)

    @property
    def _search_is_in_file(self) -> bool:
        return self._connection.dialect.name == "sqlite"

    def _as_searched(self, words: list[str]) -> object:
        return " ".join(words) if self._search_is_in_file else words


_FOUND = {
    True: "SELECT rowid FROM job_search WHERE job_search MATCH :asked",
    False: "SELECT job_id FROM job_search WHERE words @@ CAST(:asked AS tsquery)",
}
_STATEMENTS = {
    (True, "forget"): "DELETE FROM job_search WHERE rowid = :job_id",
    (True, "keep"): "INSERT INTO job_search (rowid, words) VALUES (:job_id, :words)",
    (False, "forget"): "DELETE FROM job_search WHERE job_id = :job_id",
    (False, "keep"): "INSERT INTO job_search (job_id, words)"
    " VALUES (:job_id, array_to_tsvector(CAST(:words AS text[])))",
}


def _statement(is_file: bool, what: str) -> Any:
    return text(_STATEMENTS[is_file, what])


def _for_file(asked: Iterable[tuple[str, str]]) -> str:
    # Words hold nothing but letters and digits, so there is nothing in them to be taken for an order.
    return " AND ".join(f'("{word}"* OR "{look}"*)' for word, look in asked)


def _for_server(asked: Iterable[tuple[str, str]]) -> str:
    return " & ".join(f"('{word}':* | '{look}':*)" for word, look in asked)


def _has_words(row: Mapping[str, Any]) -> bool:
    return bool(row["reason"]) or (row["stage"], row["entry"]) in _free_texts()


def _free_texts() -> set[tuple[str, str]]:
    """Return stage and entry of everything that is answered in words of one's own."""
    return {(stage.key, entry.key) for stage in registry.STAGES for entry in stage.entries if entry.kind == "text"}
