"""What a logbook knows, told without any id of its own: rows are named by stable id, by name or by their number.

The same logbook tells the same every time, and so does another that took all of it in. What each column is called in
an archive, and which rows of a table belong to what, is declared here once and used in both directions.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import Row, Table, select

from core.language import tr
from core.records import tables
from core.records.find_verbs import FindVerbs
from core.records.unit_of_work import no_such

Told = dict[str, Any]

FIELDS: dict[Table, tuple[str, ...]] = {
    tables.shop: ("name", "address", "units"),
    tables.shop_rule: ("key", "value", "at", "person"),
    tables.person: ("uid", "name", "role", "is_active"),
    tables.gauge: (
        "uid", "name", "use", "kind", "resolution", "stated_error", "interval_months", "is_retired",
    ),
    tables.gauge_check: ("what", "at", "value", "is_good", "person", "note"),
    tables.spec_revision: ("revision", "made_at", "made_by"),
    tables.spec_value: (
        "what", "key", "low", "high", "value", "low_text", "high_text", "text", "unit", "source",
    ),
    tables.customer: ("uid", "name", "contact"),
    tables.unit: ("uid", "serial"),
    tables.job: (
        "uid", "number", "vehicle", "asked_for", "ring_gear_teeth", "pinion_teeth", "tag_ratio", "is_limited_slip",
    ),
    tables.job_event: ("what", "at", "person"),
    tables.reading: (
        "stage", "entry", "position", "trial", "value", "text", "unit", "person", "taken_at", "source", "reason",
    ),
    tables.advised: (
        "stage", "trial", "ring_gear_side_mm", "opposite_side_mm", "places", "chance", "expected", "low", "high",
        "person", "at",
    ),
    tables.photo: (
        "uid", "stage", "entry", "position", "trial", "caption", "digest", "width", "height", "person", "at",
    ),
    tables.photo_strike: ("person", "at", "reason"),
    tables.part: ("uid", "kind", "name", "place", "nominal_mm", "count", "reorder_level", "is_retired", "fits"),
    tables.part_measure: ("round", "place", "mm", "person", "at"),
    tables.part_move: ("what", "pieces", "stage", "entry", "trial", "person", "at", "reason"),
}  # fmt: skip
"""What is told of a row as it stands; what it points at is told beside it."""


def told(table: Table, row: Row[Any]) -> Told:
    """Return what is told of one row: flags as such, everything else as it stands."""
    columns = row._mapping
    return {name: bool(columns[name]) if name.startswith("is_") else columns[name] for name in FIELDS[table]}


def stored(table: Table, said: Mapping[str, Any]) -> Told:
    """Return the columns of a row that `told` would tell so."""
    return {name: int(said[name]) if name.startswith("is_") else said[name] for name in FIELDS[table]}


class ExchangeOut(FindVerbs):
    """Tells jobs, or the whole logbook."""

    def exported(self, job_ids: Collection[int] | None = None) -> Told:
        """Return some jobs with all they rest on, or the whole logbook.

        Parameters
        ----------
        job_ids : collection of int, optional
            Which jobs; None for everything.

        Returns
        -------
        dict
            As an archive's ``logbook.json`` holds it, without its scope.
        """
        jobs = self.exported_jobs(job_ids)
        found: Told = {
            "shop": self._told_shop() if job_ids is None else None,
            "rules": self._told_rows(tables.shop_rule) if job_ids is None else [],
            "people": self._told_rows(tables.person),
            "gauges": self._told_gauges(),
            "spec_cards": self._told_cards(),
            "customers": sorted(self._told_rows(tables.customer), key=_uid),
            "units": sorted(self._told_rows(tables.unit), key=_uid),
            "jobs": jobs,
            "parts": self._told_parts(),
            "moves": self._told_moves(),
        }
        return found if job_ids is None else needed(found)

    def exported_jobs(self, job_ids: Collection[int] | None = None) -> list[Told]:
        """Return jobs with everything that happened in them, in the order they were opened."""
        job, unit, customer = tables.job, tables.unit, tables.customer
        revision, card = tables.spec_revision, tables.spec_card
        query = (
            select(job, unit.c.uid.label("unit"), customer.c.uid.label("customer"), card.c.family)
            .add_columns(revision.c.revision.label("card_revision"))
            .join(unit, unit.c.id == job.c.unit_id)
            .join(customer, customer.c.id == job.c.customer_id)
            .join(revision, revision.c.id == job.c.revision_id)
            .join(card, card.c.id == revision.c.card_id)
            .order_by(job.c.id)
        )
        rows = self._rows(query if job_ids is None else query.where(job.c.id.in_(job_ids)))
        events = self._of_jobs(tables.job_event, job_ids)
        readings = self._of_jobs(tables.reading, job_ids)
        advised = self._of_jobs(tables.advised, job_ids)
        photos = self._of_jobs(tables.photo, job_ids)
        gauges = self._uids(tables.gauge)
        strikes = {row.photo_id: told(tables.photo_strike, row) for row in self._strikes()}
        found = []
        for row in rows:
            numbers = {reading.id: at for at, reading in enumerate(readings[row.id], 1)}
            points = {name: row._mapping[name] for name in ("unit", "customer", "family", "card_revision")}
            found.append(
                told(tables.job, row)
                | points
                | {
                    "events": [_event(event) for event in events[row.id]],
                    "readings": [_reading(reading, gauges, numbers) for reading in readings[row.id]],
                    "advised": [told(tables.advised, one) for one in advised[row.id]],
                    "photos": [_photo(photo, numbers, strikes) for photo in photos[row.id]],
                }
            )
        return found

    def exported_photo(self, uid: str) -> bytes:
        """Return the bytes of a photo, by its stable id.

        Raises
        ------
        NotFoundError
            There is no such photo.
        """
        row = self._row(select(tables.photo.c.image).where(tables.photo.c.uid == uid))
        if row is None:
            raise no_such(tr("There is no such photo in this logbook."))
        return bytes(row.image)

    # -- tables ----------------------------------------------------------------------------------------------------

    def _of_jobs(self, table: Table, job_ids: Collection[int] | None) -> dict[int, list[Row[Any]]]:
        # The pictures themselves are fetched one at a time.
        columns = [column for column in table.c if column.name not in ("image", "thumbnail")]
        query = select(*columns).order_by(table.c.id)
        return _by("job_id", self._rows(query if job_ids is None else query.where(table.c.job_id.in_(job_ids))))

    def _strikes(self) -> Sequence[Row[Any]]:
        return self._rows(select(tables.photo_strike))

    def _uids(self, table: Table) -> dict[int, str]:
        return {row.id: row.uid for row in self._rows(select(table.c.id, table.c.uid))}

    def _told_rows(self, table: Table) -> list[Told]:
        return [told(table, row) for row in self._rows(select(table).order_by(table.c.id))]

    def _told_shop(self) -> Told | None:
        rows = self._told_rows(tables.shop)
        return rows[0] if rows else None

    def _told_gauges(self) -> list[Told]:
        checks = self._under(tables.gauge_check, "gauge_id")
        rows = self._rows(select(tables.gauge).order_by(tables.gauge.c.id))
        return [
            told(tables.gauge, row) | {"checks": [told(tables.gauge_check, check) for check in checks[row.id]]}
            for row in rows
        ]

    def _told_cards(self) -> list[Told]:
        card, revision = tables.spec_card, tables.spec_revision
        values = self._under(tables.spec_value, "revision_id")
        revisions = _by("card_id", self._rows(select(revision).order_by(revision.c.revision)))
        return [
            {"family": row.family, "revisions": [told_revision(one, values[one.id]) for one in revisions[row.id]]}
            for row in self._rows(select(card).order_by(card.c.family_key))
        ]

    def _told_parts(self) -> list[Told]:
        gauges, measures = self._uids(tables.gauge), self._under(tables.part_measure, "part_id")
        return [
            told(tables.part, row)
            | {
                "measures": [
                    told(tables.part_measure, one) | {"gauge": gauges.get(one.gauge_id)} for one in measures[row.id]
                ]
            }
            for row in self._rows(select(tables.part).order_by(tables.part.c.id))
        ]

    def _told_moves(self) -> list[Told]:
        parts, jobs, move = self._uids(tables.part), self._uids(tables.job), tables.part_move
        return [
            told(move, row) | {"part": parts[row.part_id], "job": jobs.get(row.job_id)}
            for row in self._rows(select(move).order_by(move.c.id))
        ]

    def _under(self, table: Table, key: str) -> dict[int, list[Row[Any]]]:
        return _by(key, self._rows(select(table).order_by(table.c.id)))


def needed(found: Told) -> Told:
    """Return jobs with only what they point at; of the drawer, only what they did to its pieces."""
    jobs = found["jobs"]
    uids = {job["uid"] for job in jobs}
    moves = [move for move in found["moves"] if move["job"] in uids]
    parts = [part for part in found["parts"] if part["uid"] in {move["part"] for move in moves}]
    gauges = {reading["gauge"] for job in jobs for reading in job["readings"]}
    gauges |= {measure["gauge"] for part in parts for measure in part["measures"]}
    names = {name for job in jobs for name in people_of(job)}
    cards = {(job["family"], job["card_revision"]) for job in jobs}
    return found | {
        "people": [person for person in found["people"] if person["name"] in names],
        "gauges": [gauge for gauge in found["gauges"] if gauge["uid"] in gauges],
        "spec_cards": [
            card | {"revisions": revisions}
            for card in found["spec_cards"]
            if (revisions := [one for one in card["revisions"] if (card["family"], one["revision"]) in cards])
        ],
        "customers": [one for one in found["customers"] if one["uid"] in {job["customer"] for job in jobs}],
        "units": [one for one in found["units"] if one["uid"] in {job["unit"] for job in jobs}],
        "parts": parts,
        "moves": moves,
    }


def people_of(job: Mapping[str, Any]) -> set[str]:
    """Return the names of everybody who did something in a job."""
    everything = (*job["events"], *job["readings"], *job["advised"], *job["photos"])
    struck = (photo["strike"] for photo in job["photos"] if photo["strike"])
    return {one["person"] for one in (*everything, *struck)}


def told_revision(row: Row[Any], values: Iterable[Row[Any]]) -> Told:
    """Return what is told of one revision of a spec card."""
    said = [told(tables.spec_value, value) for value in values]
    return told(tables.spec_revision, row) | {"values": said}


def _uid(row: Mapping[str, Any]) -> str:
    return str(row["uid"])


def _by(key: str, rows: Iterable[Row[Any]]) -> dict[int, list[Row[Any]]]:
    found: dict[int, list[Row[Any]]] = defaultdict(list)
    for row in rows:
        found[row._mapping[key]].append(row)
    return found


def _event(row: Row[Any]) -> Told:
    return told(tables.job_event, row) | {"detail": json.loads(row.detail)}


def _reading(row: Row[Any], gauges: Mapping[int, str], numbers: Mapping[int, int]) -> Told:
    points = {"gauge": gauges.get(row.gauge_id), "replaces": numbers.get(row.replaces)}
    return told(tables.reading, row) | points


def _photo(row: Row[Any], numbers: Mapping[int, int], strikes: Mapping[int, Told]) -> Told:
    points = {"reading": numbers.get(row.reading_id), "strike": strikes.get(row.id)}
    return told(tables.photo, row) | points
