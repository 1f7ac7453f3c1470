"""An archive beside a logbook: what of it is known here, what is new, and where the two contradict each other.

Nothing is written here; everything is looked up, so that all conflicts are known before the first row is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import select

from core.exchange.answer import CONFLICTING, CONTINUED, KNOWN, NEW, Conflict
from core.exchange.form import EVERYTHING
from core.exchange.history import Comparison, Named, Told, compare
from core.language import mark, tr
from core.records import tables
from core.records.exchange_out import ExchangeOut, told_revision
from core.records.texts import fold, serial_key
from core.records.trail import canonical

GAUGE_FACTS = {
    "use": mark("use"),
    "kind": mark("kind"),
    "resolution": mark("resolution"),
    "stated_error": mark("stated error"),
}
"""What a verdict rests on: two gauges that differ in it are not the same."""


@dataclass
class JobMatch:
    """What is to become of one job: new, continued, known or conflicting; its number here, and what is lacking."""

    what: str
    number: str
    id: int | None = None
    lacking: Comparison = field(default_factory=Comparison)


@dataclass
class Match:
    """Rows of this logbook by the stable ids of an archive (None: not here yet), and all conflicts.

    `cards` are by family and number of the revision; `refused` are the stable ids that contradict this logbook, with
    what they are, in words.
    """

    people: dict[str, int | None] = field(default_factory=dict)
    gauges: dict[str, int | None] = field(default_factory=dict)
    customers: dict[str, int | None] = field(default_factory=dict)
    units: dict[str, int | None] = field(default_factory=dict)
    cards: dict[tuple[str, int], int | None] = field(default_factory=dict)
    jobs: dict[str, JobMatch] = field(default_factory=dict)
    conflicts: list[Conflict] = field(default_factory=list)
    refused: dict[str, str] = field(default_factory=dict)
    restores: bool = False

    def leave(self, job: Told, match: JobMatch, field: str, ours: str, theirs: str, remedy: str = "") -> None:
        """Note a conflict about a job, which is left as it is."""
        match.what = CONFLICTING
        about = tr("Job {number}", number=job["number"])
        self.conflicts.append(Conflict(about, field, ours, theirs, remedy, job["uid"]))

    def refuse(self, uid: str, *conflicts: Conflict) -> None:
        """Note conflicts about something other than a job; jobs that need it cannot come in."""
        self.conflicts += conflicts
        self.refused[uid] = conflicts[0].about


class ExchangeMatch(ExchangeOut):
    """Looks an archive up in the logbook."""

    def matched(self, theirs: Told, *, renumber: bool = False) -> Match:
        """Return what of an archive is known here.

        Parameters
        ----------
        theirs : dict
            What ``logbook.json`` of an archive holds.
        renumber : bool
            Give a job the next free number where its own is taken, instead of calling it a conflict.
        """
        found = Match()
        found.restores = theirs["scope"] == EVERYTHING and not self._has(tables.job) and not self._has(tables.part)
        self._match_people(found, theirs["people"])
        self._match_gauges(found, theirs["gauges"])
        self._match_customers(found, theirs["customers"])
        self._match_units(found, theirs["units"])
        for card in theirs["spec_cards"]:
            self._match_card(found, card)
        self._match_jobs(found, theirs, renumber=renumber)
        return found

    def _has(self, table: Any) -> bool:
        return self._row(select(table.c.id).limit(1)) is not None

    # -- people, gauges, customers, units --------------------------------------------------------------------------

    def _match_people(self, found: Match, theirs: Sequence[Told]) -> None:
        rows = self._rows(select(tables.person))
        by_uid, by_name = {row.uid: row for row in rows}, {row.name_key: row for row in rows}
        for person in theirs:
            known = by_uid.get(person["uid"]) or by_name.get(fold(person["name"]))
            found.people[person["uid"]] = None if known is None else known.id
            if known is not None and known.name_key != fold(person["name"]):
                about = tr("Person {name}", name=known.name)
                found.refuse(person["uid"], Conflict(about, tr("name"), known.name, person["name"]))

    def _match_gauges(self, found: Match, theirs: Sequence[Told]) -> None:
        ours = {gauge["uid"]: gauge for gauge in self._told_gauges()}
        names = {fold(gauge["name"]): gauge for gauge in ours.values()}
        ids = {uid: row_id for row_id, uid in self._uids(tables.gauge).items()}
        for gauge in theirs:
            known = ours.get(gauge["uid"]) or names.get(fold(gauge["name"]))
            found.gauges[gauge["uid"]] = None if known is None else ids[known["uid"]]
            conflicts = [] if known is None else _gauge_conflicts(known, gauge)
            if conflicts:
                found.refuse(gauge["uid"], *conflicts)

    def _match_customers(self, found: Match, theirs: Sequence[Told]) -> None:
        rows = self._rows(select(tables.customer))
        by_uid, by_name = {row.uid: row for row in rows}, {(row.name, row.contact): row for row in rows}
        for customer in theirs:
            said = (customer["name"], customer["contact"])
            known = by_uid.get(customer["uid"]) or by_name.get(said)
            found.customers[customer["uid"]] = None if known is None else known.id
            if known is not None and (known.name, known.contact) != said:
                ours, other = ", ".join((known.name, known.contact)), ", ".join(said)
                about = tr("Customer {name}", name=known.name)
                found.refuse(customer["uid"], Conflict(about, tr("name and contact"), ours, other))

    def _match_units(self, found: Match, theirs: Sequence[Told]) -> None:
        rows = self._rows(select(tables.unit))
        by_uid, by_serial = {row.uid: row for row in rows}, {row.serial_key: row for row in rows}
        for unit in theirs:
            known = by_uid.get(unit["uid"]) or by_serial.get(serial_key(unit["serial"]))
            found.units[unit["uid"]] = None if known is None else known.id
            if known is not None and known.serial_key != serial_key(unit["serial"]):
                about = tr("Unit {serial}", serial=known.serial)
                found.refuse(unit["uid"], Conflict(about, tr("serial number"), known.serial, unit["serial"]))

    # -- spec cards ------------------------------------------------------------------------------------------------

    def _match_card(self, found: Match, card: Told) -> None:
        """Find each revision here: the very same, else the newest that says the same."""
        ours = self.card_revisions(card["family"])
        for one in card["revisions"]:
            same = [row_id for row_id, mine in ours.items() if said_by(mine) == said_by(one)]
            very = [row_id for row_id in same if _made(ours[row_id]) == _made(one)]
            found.cards[card["family"], one["revision"]] = next(iter([*very, *reversed(same)]), None)

    def card_revisions(self, family: str) -> dict[int, Told]:
        """Return every revision of a family's card by its id, oldest first; empty where the family is not known."""
        card, revision, value = tables.spec_card, tables.spec_revision, tables.spec_value
        rows = self._rows(select(revision).join(card).where(card.c.family_key == fold(family)).order_by(revision.c.id))
        values = self._rows(select(value).where(value.c.revision_id.in_([row.id for row in rows])).order_by(value.c.id))
        return {row.id: told_revision(row, [one for one in values if one.revision_id == row.id]) for row in rows}

    # -- jobs ------------------------------------------------------------------------------------------------------

    def _match_jobs(self, found: Match, theirs: Told, *, renumber: bool) -> None:
        ids = {row.uid: row.id for row in self._rows(select(tables.job.c.uid, tables.job.c.id))}
        taken = {fold(job["number"]) for job in theirs["jobs"]}
        words = self._wording(theirs, found)
        for job in theirs["jobs"]:
            here = ids.get(job["uid"])
            match = found.jobs[job["uid"]] = JobMatch(NEW if here is None else KNOWN, job["number"], here)
            if self._is_blocked(found, job, match):
                continue
            if here is None:
                self._need_number(found, job, match, taken, words, renumber=renumber)
                self._need_new_photos(found, job, match, job["photos"])
            else:
                self._compare(found, job, match, here, words)

    def _is_blocked(self, found: Match, job: Told, match: JobMatch) -> bool:
        """Tell whether a job rests on something that contradicts this logbook."""
        points = {job["unit"], job["customer"], *(reading["gauge"] for reading in job["readings"])}
        refused = [about for uid, about in found.refused.items() if uid in points]
        if refused:
            found.leave(
                job, match, tr("what it rests on"), tr("otherwise"), ", ".join(refused), tr("Settle that first.")
            )
        return bool(refused)

    def _compare(self, found: Match, job: Told, match: JobMatch, here: int, words: _Words) -> None:
        (ours,) = self.exported_jobs([here])
        match.number = ours["number"]
        match.lacking = compare(words.of_ours(ours), words.of_theirs(job))
        for one in match.lacking.differences:
            found.leave(job, match, one.field, one.ours, one.theirs, tr("It stays as it is here."))
        if match.what == KNOWN and not match.lacking.is_nothing:
            match.what = CONTINUED
            self._need_new_photos(found, job, match, match.lacking.photos)

    def _need_number(
        self, found: Match, job: Told, match: JobMatch, taken: set[str], words: _Words, *, renumber: bool
    ) -> None:
        here = self._numbered(job["number"])
        if not here:
            return
        free = self.next_job_number()
        while fold(free) in taken or self._numbered(free):
            free = counted_on(free)
        taken.add(fold(free))
        if renumber:
            match.number = free
            return
        ours, theirs = (
            tr("the job of unit {serial}", serial=serial) for serial in (here[0].serial, words.names[job["unit"]])
        )
        remedy = tr("It could come in as {number}, which is free.", number=free)
        found.leave(job, match, tr("job number"), ours, theirs, remedy)

    def _need_new_photos(self, found: Match, job: Told, match: JobMatch, photos: Sequence[Told]) -> None:
        uids = [photo["uid"] for photo in photos]
        if uids and self._row(select(tables.photo.c.id).where(tables.photo.c.uid.in_(uids)).limit(1)) is not None:
            found.leave(job, match, tr("photos"), tr("a photo of another job"), tr("a photo of this one"))

    def _wording(self, theirs: Told, found: Match) -> _Words:
        names = {one["uid"]: one["name"] for one in (*theirs["customers"], *self._told_rows(tables.customer))}
        names |= {one["uid"]: one["serial"] for one in (*theirs["units"], *self._told_rows(tables.unit))}
        here: dict[str, str] = {}
        for table, ids in (
            (tables.gauge, found.gauges), (tables.customer, found.customers), (tables.unit, found.units),
        ):  # fmt: skip
            uids = self._uids(table)
            here |= {uid: uids[row_id] for uid, row_id in ids.items() if row_id is not None}
        return _Words(names, here, _contents(self._told_cards()), _contents(theirs["spec_cards"]))


@dataclass(frozen=True)
class _Words:
    """What jobs point at, made comparable: the same key where it is the same thing.

    `here` are the stable ids things of the archive have in this logbook, where they are known.
    """

    names: Mapping[str, str]
    here: Mapping[str, str]
    our_cards: Mapping[tuple[str, int], str]
    their_cards: Mapping[tuple[str, int], str]

    def of_ours(self, job: Told) -> Told:
        """Return one of our jobs."""
        return self._comparable(job, self.our_cards, {})

    def of_theirs(self, job: Told) -> Told:
        """Return one of theirs, pointing at ours wherever that is known."""
        return self._comparable(job, self.their_cards, self.here)

    def _comparable(self, job: Told, cards: Mapping[tuple[str, int], str], here: Mapping[str, str]) -> Told:
        card = tr("{family}, revision {revision}", family=job["family"], revision=job["card_revision"])
        points = {name: here.get(job[name], job[name]) for name in ("unit", "customer")}
        return {
            **job,
            **{name: Named(uid, self.names.get(uid, "")) for name, uid in points.items()},
            "card": Named(cards[job["family"], job["card_revision"]], card),
            "readings": [{**one, "gauge": here.get(one["gauge"], one["gauge"])} for one in job["readings"]],
        }


def said_by(revision: Told) -> str:
    """Return what a revision of a spec card says, whoever made it, in whatever order."""
    values = sorted(revision["values"], key=lambda value: (value["what"], value["key"]))
    # One and one point nought are one number, however an archive was written.
    return canonical([{name: _number(said) for name, said in value.items()} for value in values])


def _number(said: Any) -> Any:
    return said + 0.0 if isinstance(said, int) else said


def counted_on(number: str) -> str:
    """Return the job number after one."""
    before = number.rstrip("0123456789")
    digits = number[len(before) :]
    return f"{before}{int(digits or '0') + 1:0{len(digits)}d}"


def _contents(cards: Sequence[Told]) -> dict[tuple[str, int], str]:
    return {
        (card["family"], one["revision"]): f"{fold(card['family'])} {said_by(one)}"
        for card in cards
        for one in card["revisions"]
    }


def _made(revision: Told) -> tuple[str, str]:
    return revision["made_at"], revision["made_by"]


def _gauge_conflicts(ours: Told, theirs: Told) -> list[Conflict]:
    about = tr("Gauge {name}", name=ours["name"])
    remedy = tr("Rename one of the two, or correct it.")
    found = [
        Conflict(about, tr(label), str(ours[name]), str(theirs[name]), remedy)
        for name, label in GAUGE_FACTS.items()
        if ours[name] != theirs[name]
    ]
    if fold(ours["name"]) != fold(theirs["name"]):
        found.append(Conflict(about, tr("name"), ours["name"], theirs["name"], remedy))
    if ours["uid"] != theirs["uid"]:
        # Known by its name alone: another gauge's calibrations must not vouch for ours, nor ours for it.
        other = [check for check in theirs["checks"] if check not in ours["checks"]]
        if other:
            days = ", ".join(check["at"][:10] for check in other[:3])
            found.append(Conflict(about, tr("checks"), tr("without them"), days, remedy))
    return found
