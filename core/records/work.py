"""The readings, and the unit of work with all its verbs."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Row, bindparam, select

from core.errors import ConflictError, InputError
from core.facts import Reading
from core.language import tr
from core.quantities import Amount
from core.records import tables
from core.records.advised_verbs import AdvisedVerbs
from core.records.card_verbs import LARGEST_VALUE
from core.records.change_verbs import ChangeVerbs
from core.records.exchange_verbs import ExchangeVerbs
from core.records.gauge_verbs import GaugeVerbs
from core.records.hold_verbs import MOST_TRIALS, HoldVerbs
from core.records.overview_verbs import OverviewVerbs
from core.records.people_verbs import PeopleVerbs
from core.records.photo_verbs import PhotoVerbs
from core.records.sheet_verbs import SheetVerbs
from core.records.shop_verbs import ShopVerbs
from core.records.texts import LONGEST_KEY, from_time_text, line, note, number, to_time_text, whole
from core.records.trail_verbs import TrailVerbs
from core.records.unit_of_work import checked_id, no_such


class Work(
    HoldVerbs,
    AdvisedVerbs,
    ExchangeVerbs,
    ChangeVerbs,
    SheetVerbs,
    PhotoVerbs,
    GaugeVerbs,
    OverviewVerbs,
    PeopleVerbs,
    ShopVerbs,
    TrailVerbs,
):
    """One unit of work on the logbook; it rolls back unless `commit` was called."""

    def readings(self, job_id: int) -> list[Reading]:
        """Return every reading of a job, those replaced included, in the order they were written.

        Raises
        ------
        NotFoundError
            There is no such job.
        """
        missing = tr("There is no such job in this logbook.")
        job, reading = tables.job, tables.reading
        here = reading.c.job_id == checked_id(job_id, missing)
        rows = self._rows(select(reading).where(here).order_by(reading.c.id))
        if not rows and self._row(select(job.c.id).where(job.c.id == job_id)) is None:
            raise no_such(missing)
        return [_reading(row) for row in rows]

    def readings_of(self, job_ids: Sequence[int], stages: Sequence[str] = ()) -> dict[int, list[Reading]]:
        """Return every reading of several jobs, or those of some stages, by job, in the order they were written."""
        reading = tables.reading
        wanted = select(reading).where(reading.c.job_id.in_(job_ids)).order_by(reading.c.id)
        if stages:
            wanted = wanted.where(reading.c.stage.in_(stages))
        found: dict[int, list[Reading]] = {job_id: [] for job_id in job_ids}
        for row in self._rows(wanted):
            found[row.job_id].append(_reading(row))
        return found

    def record(
        self,
        job_id: int,
        stage: str,
        entry: str,
        position: str,
        trial: int,
        amount: Amount,
        gauge_id: int | None,
        person: str,
        at: datetime,
        source: str = "typed",
        reason: str = "",
        *,
        seen: int | None = None,
    ) -> Reading:
        """Write a reading down; where one stands at the same place already, the new one replaces it and names it.

        Parameters
        ----------
        job_id, stage, entry, position, trial : int or str
            The place.
        amount : Amount
            Value [canonical unit of its kind], text as typed and unit; an empty text takes the standing reading back.
        gauge_id : int or None
            What it was read with.
        person : str
            Who read it.
        at : datetime
            When, with its time zone.
        source : str
            How it came in: ``typed``, ``wedge``, ``serial``, ``photo``.
        reason : str
            Why it replaces the one before.
        seen : int, optional
            The reading the person saw standing there, 0 for none; None where it does not matter.

        Raises
        ------
        ConflictError
            Another reading stands there than the one seen.
        RuleError
            The job is signed.
        NotFoundError
            There is no such job or gauge.
        InputError
            A value that is no number, a text that cannot be kept, a time in the future.
        """
        self.need_open(job_id)
        place = {
            "job_id": job_id,
            "stage": line(stage, tr("The stage"), LONGEST_KEY, is_needed=True),
            "entry": line(entry, tr("The entry"), LONGEST_KEY, is_needed=True),
            "position": line(position, tr("The position"), LONGEST_KEY),
            "trial": whole(trial, tr("The trial"), 0, MOST_TRIALS),
        }
        before = self._standing(place)
        self._need_seen(before, seen)
        if not amount.text and (before is None or not before.text):
            raise InputError(tr("There is no reading to take back."), tr("Type a reading."))
        added = self._add_row(
            tables.reading,
            **place,
            value=_value(amount),
            text=note(amount.text, tr("The reading")),
            unit=line(amount.unit, tr("The unit"), LONGEST_KEY),
            gauge_id=self._known_gauge(gauge_id),
            person=line(person, tr("The name")),
            taken_at=to_time_text(at, self._clock()),
            source=line(source, tr("The source"), LONGEST_KEY, is_needed=True),
            replaces=None if before is None else before.id,
            reason=note(reason, tr("The reason")),
        )
        return _reading(added)

    def _standing(self, place: dict[str, Any]) -> Any:
        """Return the last row written at a place; what it says may be that nothing stands."""
        return self._connection.execute(_STANDING, place).first()

    def _need_seen(self, before: Row[Any] | None, seen: int | None) -> None:
        standing = before.id if before is not None and before.text else 0
        if seen is None or seen == standing:
            return
        if before is None or not before.text:
            raise ConflictError(tr("The reading was taken back meanwhile."), tr("Look again, then enter yours anew."))
        raise ConflictError(
            tr("{name} entered {text} here meanwhile.", name=before.person or tr("Somebody"), text=before.text),
            tr("Look at it; enter yours again if it is to replace that one."),
        )

    def _known_gauge(self, gauge_id: int | None) -> int | None:
        if gauge_id is None:
            return None
        missing = tr("There is no such gauge in this logbook.")
        gauge = tables.gauge
        if self._row(select(gauge.c.id).where(gauge.c.id == checked_id(gauge_id, missing))) is None:
            raise no_such(missing)
        return gauge_id


_PLACE = ("job_id", "stage", "entry", "position", "trial")
_STANDING = (
    select(tables.reading.c.id, tables.reading.c.text, tables.reading.c.person)
    .where(*(tables.reading.c[name] == bindparam(name) for name in _PLACE))
    .order_by(tables.reading.c.id.desc())
    .limit(1)
)


def _value(amount: Amount) -> float | None:
    return None if amount.value is None else number(amount.value, tr("The value"), -LARGEST_VALUE, LARGEST_VALUE)


def _reading(row: Row[Any]) -> Reading:
    return Reading(
        id=row.id,
        job_id=row.job_id,
        stage=row.stage,
        entry=row.entry,
        position=row.position,
        trial=row.trial,
        value=row.value,
        text=row.text,
        unit=row.unit,
        gauge_id=row.gauge_id,
        person=row.person,
        taken_at=from_time_text(row.taken_at),
        source=row.source,
        replaces=row.replaces,
        reason=row.reason,
    )
