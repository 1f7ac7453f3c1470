"""Taking an archive into the logbook: all of it or nothing, twice as good as once, and every row in the trail."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence

from sqlalchemy import func, select
from sqlalchemy.exc import DataError, IntegrityError

from core.exchange.answer import CONFLICTING, CONTINUED, NEW, JobTaken, Taken
from core.exchange.form import EVERYTHING, unusable
from core.exchange.history import Told
from core.language import tr
from core.records import tables
from core.records.exchange_match import ExchangeMatch, JobMatch, Match, said_by
from core.records.exchange_out import people_of, stored, told
from core.records.texts import fold, look_key, serial_key, to_time_text

IMPORT = "import"
"""What the trail says was being done."""

Pictures = Callable[[str], tuple[bytes, bytes]]
"""Returns a photo and its thumbnail, by the photo's stable id."""


class ExchangeVerbs(ExchangeMatch):
    """What can be done with archives."""

    def take_in(
        self,
        theirs: Told,
        pictures: Pictures,
        *,
        shop: str = "",
        renumber: bool = False,
        skip_conflicts: bool = False,
    ) -> Taken:
        """Write what an archive holds and this logbook does not; the caller commits, or looks and lets it go.

        Where something contradicts this logbook, nothing at all is written, unless `skip_conflicts` leaves just that
        out. Original moments and names are kept; the trail says who took it in, and when.

        Parameters
        ----------
        theirs : dict
            What ``logbook.json`` of an archive holds; looked through before (`core.exchange.read`).
        pictures : callable
            Returns a photo and its thumbnail, by the photo's stable id.
        shop : str
            Name of the shop it comes from.
        renumber : bool
            Give a job the next free number where its own is taken.
        skip_conflicts : bool
            Take in the rest where something contradicts this logbook.

        Raises
        ------
        InputError
            What it says contradicts itself.
        """
        self._need_writing()
        before = self._trail_length()
        match = self.matched(theirs, renumber=renumber)
        jobs = tuple(_told_of(job, match.jobs[job["uid"]], theirs) for job in theirs["jobs"])
        if match.conflicts and not skip_conflicts:
            return Taken(shop, jobs, tuple(match.conflicts), is_held_up=True)
        try:
            notes = self._write(theirs, match, pictures)
        except (IntegrityError, DataError) as error:
            raise unusable(tr("The archive contradicts itself; the logbook refused it.")) from error
        changes = self._changes_since(before)
        return Taken(shop, jobs, tuple(match.conflicts), tuple(notes) if changes else (), changes)

    def jobs_known_as(self, uids: Iterable[str]) -> list[int]:
        """Return the ids of the jobs of these stable ids that are here."""
        wanted = set(uids)
        rows = self._rows(select(tables.job.c.uid, tables.job.c.id).order_by(tables.job.c.id))
        return [row.id for row in rows if row.uid in wanted]

    def was_taken_in(self, job_id: int, fingerprint: str) -> bool:
        """Tell whether a sheet was not issued here, but came with its job from another shop."""
        trail = tables.trail
        noted = (trail.c.doing == IMPORT) & (trail.c.in_table == tables.job_event.name) & (trail.c.job_id == job_id)
        holding = trail.c.content.contains(fingerprint, autoescape=True)
        return bool(fingerprint) and self._row(select(trail.c.id).where(noted, holding).limit(1)) is not None

    def _trail_length(self) -> int:
        last = self._row(select(func.max(tables.trail.c.id)))
        return int(last[0] or 0) if last else 0

    def _changes_since(self, before: int) -> dict[str, int]:
        """Return how many rows were written since, by table; nobody else writes meanwhile."""
        trail = tables.trail
        counted = select(trail.c.in_table, func.count().label("rows")).where(trail.c.id > before)
        rows = self._rows(counted.group_by(trail.c.in_table).order_by(trail.c.in_table))
        return {row.in_table: int(row._mapping["rows"]) for row in rows}

    def _write(self, theirs: Told, match: Match, pictures: Pictures) -> list[str]:
        wanted = _Wanted(theirs, match)
        notes = self._write_shop(theirs, match)
        notes += self._write_people([one for one in theirs["people"] if wanted.has("person", one["name"])], match)
        for gauge in theirs["gauges"]:
            # What is known here may have been checked there since.
            if wanted.has("gauge", gauge["uid"]) or match.gauges[gauge["uid"]] is not None:
                self._write_gauge(gauge, match)
        for card in theirs["spec_cards"]:
            notes += self._write_card(card, match, wanted)
        self._write_customers([one for one in theirs["customers"] if wanted.has("customer", one["uid"])], match)
        self._write_units([one for one in theirs["units"] if wanted.has("unit", one["uid"])], match)
        for job in theirs["jobs"]:
            self._write_job(job, match, pictures)
        return notes + self._write_drawer(theirs, match)

    # -- the shop --------------------------------------------------------------------------------------------------

    def _write_shop(self, theirs: Told, match: Match) -> list[str]:
        if theirs["scope"] != EVERYTHING:
            return []
        if not match.restores:
            return [tr("Name, address and rules of the shop stay as they are here.")]
        if theirs["shop"] is not None and not self._has(tables.shop):
            self._add(tables.shop, id=1, **stored(tables.shop, theirs["shop"]))
        if not self._has(tables.shop_rule):
            for rule in theirs["rules"]:
                self._add(tables.shop_rule, **stored(tables.shop_rule, rule))
        return []

    def _write_people(self, people: Sequence[Told], match: Match) -> list[str]:
        new = [one for one in people if match.people[one["uid"]] is None and one["uid"] not in match.refused]
        for one in new:
            said = stored(tables.person, one)
            if not match.restores:
                # Whoever comes with an archive has no PIN: he may neither own nor sign here until the owner says so.
                said |= {"role": "bench", "is_active": 0}
            self._add(tables.person, **said, name_key=fold(one["name"]), pin_failures=0)
        if not new:
            return []
        if match.restores:
            return [tr("PINs are not in an archive: everybody gives himself a new one.")]
        names = ", ".join(one["name"] for one in new)
        return [tr("{names}: known by name only; the owner may let them work here.", names=names)]

    def _write_gauge(self, gauge: Told, match: Match) -> None:
        if gauge["uid"] in match.refused:
            return
        row_id = match.gauges[gauge["uid"]]
        if row_id is None:
            said = stored(tables.gauge, gauge)
            row_id = match.gauges[gauge["uid"]] = self._add(tables.gauge, **said, name_key=fold(gauge["name"]))
        check = tables.gauge_check
        here = [told(check, row) for row in self._rows(select(check).where(check.c.gauge_id == row_id))]
        for one in gauge["checks"]:
            if one not in here:
                self._add(check, gauge_id=row_id, **stored(check, one))

    def _write_card(self, card: Told, match: Match, wanted: _Wanted) -> list[str]:
        """Write the revisions that are not here; what this shop works by stays the newest, unless theirs follow it."""
        family = card["family"]
        ours = self.card_revisions(family)
        new = [
            one
            for one in card["revisions"]
            if match.cards[family, one["revision"]] is None and wanted.has("card", (family, one["revision"]))
        ]
        if not new:
            return []
        card_id = self._family(family)
        for one in new:
            # A family that is new here keeps the numbers it has in the archive.
            number = self._next_revision(card_id) if ours else one["revision"]
            match.cards[family, one["revision"]] = self._write_revision(card_id, number, one)
        newest = list(ours.values())[-1] if ours else None
        if newest is None or said_by(newest) in [said_by(one) for one in card["revisions"]]:
            return []
        now, number = self._clock(), self._next_revision(card_id)
        again = {**newest, "made_at": to_time_text(now, now), "made_by": self._hand.person}
        self._write_revision(card_id, number, again)
        return [
            tr(
                "Spec card {family}: the limits of this shop stay the newest, as revision {number}.",
                family=family,
                number=number,
            )
        ]

    def _next_revision(self, card_id: int) -> int:
        revision = tables.spec_revision
        last = self._row(select(func.max(revision.c.revision)).where(revision.c.card_id == card_id))
        return 1 + ((last[0] or 0) if last else 0)

    def _write_revision(self, card_id: int, number: int, said: Told) -> int:
        made = {name: said[name] for name in ("made_at", "made_by")}
        added = self._add(tables.spec_revision, card_id=card_id, revision=number, **made)
        for value in said["values"]:
            self._add(tables.spec_value, revision_id=added, **stored(tables.spec_value, value))
        return added

    def _write_customers(self, customers: Sequence[Told], match: Match) -> None:
        for one in customers:
            if match.customers[one["uid"]] is None:
                match.customers[one["uid"]] = self._add(tables.customer, **stored(tables.customer, one))

    def _write_units(self, units: Sequence[Told], match: Match) -> None:
        for one in units:
            if match.units[one["uid"]] is None:
                key = serial_key(one["serial"])
                said = stored(tables.unit, one)
                match.units[one["uid"]] = self._add(tables.unit, **said, serial_key=key, look_key=look_key(key))

    # -- jobs ------------------------------------------------------------------------------------------------------

    def _write_job(self, job: Told, match: Match, pictures: Pictures) -> None:
        found = match.jobs[job["uid"]]
        if found.what == NEW:
            said = stored(tables.job, job) | {"number": found.number, "number_key": fold(found.number)}
            found.id = self._add(tables.job, **said, **self._points(job, match))
            self._write_history(found.id, job["events"], job["readings"], job["photos"], match, pictures)
            self._write_advised(found.id, job["advised"])
            self._write_strikes(photo for photo in job["photos"] if photo["strike"])
        elif found.what == CONTINUED and found.id is not None:
            lacking = found.lacking
            self._write_history(found.id, lacking.events, lacking.readings, lacking.photos, match, pictures)
            self._write_advised(found.id, lacking.advised)
            self._write_strikes(photo for photo in (*lacking.strikes, *lacking.photos) if photo["strike"])
            if lacking.takes_fields:
                fields = {name: job[name] for name in ("vehicle", "asked_for")}
                self._change(tables.job, found.id, customer_id=match.customers[job["customer"]], **fields)

    def _points(self, job: Told, match: Match) -> dict[str, int | None]:
        return {
            "unit_id": match.units[job["unit"]],
            "customer_id": match.customers[job["customer"]],
            "revision_id": match.cards[job["family"], job["card_revision"]],
        }

    def _write_history(
        self,
        job_id: int,
        events: Iterable[Told],
        readings: Iterable[Told],
        photos: Iterable[Told],
        match: Match,
        pictures: Pictures,
    ) -> None:
        """Write what happened to a job, its readings and its photos, after those that are here."""
        for event in events:
            detail = json.dumps(event["detail"], ensure_ascii=False, sort_keys=True)
            self._add(tables.job_event, job_id=job_id, **stored(tables.job_event, event), detail=detail)
        reading = tables.reading
        here = self._rows(select(reading.c.id).where(reading.c.job_id == job_id).order_by(reading.c.id))
        ids = [row.id for row in here]
        for one in readings:
            points = {
                "gauge_id": None if one["gauge"] is None else match.gauges[one["gauge"]],
                "replaces": None if one["replaces"] is None else ids[one["replaces"] - 1],
            }
            ids.append(self._add(reading, job_id=job_id, **stored(reading, one), **points))
        for one in photos:
            image, thumbnail = pictures(one["uid"])
            shows = None if one["reading"] is None else ids[one["reading"] - 1]
            said = stored(tables.photo, one) | {"image": image, "thumbnail": thumbnail}
            self._add(tables.photo, job_id=job_id, reading_id=shows, **said)

    def _write_advised(self, job_id: int, advised: Iterable[Told]) -> None:
        for one in advised:
            self._add(tables.advised, job_id=job_id, **stored(tables.advised, one))

    def _write_strikes(self, photos: Iterable[Told]) -> None:
        photo, strike = tables.photo, tables.photo_strike
        for one in photos:
            row = self._row(select(photo.c.id).where(photo.c.uid == one["uid"]))
            if row is not None:
                self._add(strike, photo_id=row.id, **stored(strike, one["strike"]))

    # -- the drawer ------------------------------------------------------------------------------------------------

    def _write_drawer(self, theirs: Told, match: Match) -> list[str]:
        if not theirs["parts"]:
            return []
        if not match.restores or match.conflicts:
            return [tr("The drawer stays as it is: its stock only comes in with everything, into an empty logbook.")]
        ids = {part["uid"]: self._write_part(part, match) for part in theirs["parts"]}
        pieces = dict.fromkeys(ids, 0)
        for move in theirs["moves"]:
            job_id = None if move["job"] is None else match.jobs[move["job"]].id
            self._add(tables.part_move, part_id=ids[move["part"]], job_id=job_id, **stored(tables.part_move, move))
            pieces[move["part"]] += move["pieces"]
        for part in theirs["parts"]:
            if part["count"] != pieces[part["uid"]]:
                place = part["place"] or part["name"]
                raise unusable(tr("The pieces at {place} are not what was put in and taken out.", place=place))
        return []

    def _write_part(self, part: Told, match: Match) -> int:
        row_id = self._add(tables.part, **stored(tables.part, part))
        for one in part["measures"]:
            gauge_id = None if one["gauge"] is None else match.gauges[one["gauge"]]
            self._add(tables.part_measure, part_id=row_id, gauge_id=gauge_id, **stored(tables.part_measure, one))
        return row_id


class _Wanted:
    """What comes in: what the jobs that come in rest on; of everything, also what no job rests on."""

    def __init__(self, theirs: Told, match: Match) -> None:
        self._is_everything = theirs["scope"] == EVERYTHING
        self._used: set[tuple[str, object]] = set()
        self._needed: set[tuple[str, object]] = set()
        for job in theirs["jobs"]:
            points = _points(job)
            self._used |= points
            if match.jobs[job["uid"]].what in (NEW, CONTINUED):
                self._needed |= points

    def has(self, what: str, key: object) -> bool:
        """Tell whether a person (by name), gauge, customer, unit or revision of a card comes in."""
        return (what, key) in self._needed or (self._is_everything and (what, key) not in self._used)


def _points(job: Told) -> set[tuple[str, object]]:
    found: set[tuple[str, object]] = {("person", name) for name in people_of(job)}
    found |= {("gauge", reading["gauge"]) for reading in job["readings"]}
    found |= {("unit", job["unit"]), ("customer", job["customer"]), ("card", (job["family"], job["card_revision"]))}
    return found


def _told_of(job: Told, match: JobMatch, theirs: Told) -> JobTaken:
    serial = next(unit["serial"] for unit in theirs["units"] if unit["uid"] == job["unit"])
    customer = next(one["name"] for one in theirs["customers"] if one["uid"] == job["customer"])
    new = job if match.what == NEW else {"readings": match.lacking.readings, "photos": match.lacking.photos}
    is_left = match.what == CONFLICTING
    counted = (0, 0) if is_left else (len(new["readings"]), len(new["photos"]))
    return JobTaken(match.number, serial, customer, match.what, *counted)
