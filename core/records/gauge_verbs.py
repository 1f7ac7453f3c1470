"""The gauges, their calibrations and their zero checks."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, Row, func, or_, select, true

from core.errors import InputError, RuleError
from core.facts import Calibration, Gauge, ZeroCheck
from core.gauges import ZEROED, is_zero_good, width_words
from core.language import tr
from core.records import tables
from core.records.texts import LONGEST_KEY, fold, from_time_text, line, note, number, to_time_text, whole
from core.records.unit_of_work import UnitOfWork, checked_id, no_such

LARGEST_ERROR = 1e6
MOST_MONTHS = 1200


class GaugeVerbs(UnitOfWork):
    """What can be done with gauges."""

    def gauges(self, zeros_from: datetime | None = None) -> list[Gauge]:
        """Return the gauges, retired ones included, in the order they were added.

        Parameters
        ----------
        zeros_from : datetime, optional
            Zero checks before this moment are left out: a shop that checks each morning has thousands.
        """
        return self._read_gauges(true(), zeros_from)

    def _read_gauges(self, wanted: ColumnElement[bool], zeros_from: datetime | None = None) -> list[Gauge]:
        gauge, check = tables.gauge, tables.gauge_check
        query = select(check).join(gauge, gauge.c.id == check.c.gauge_id).where(wanted)
        if zeros_from is not None:
            recent = check.c.at >= to_time_text(zeros_from, zeros_from)
            query = query.where(or_(check.c.what == "calibration", recent))
        checks = defaultdict(list)
        for row in self._rows(query.order_by(check.c.at, check.c.id)):
            checks[row.gauge_id].append(row)
        intervals = self._intervals()
        rows = self._rows(select(gauge).where(wanted).order_by(gauge.c.id))
        return [_gauge(row, checks[row.id], intervals[row.id]) for row in rows]

    def _intervals(self) -> Mapping[int, list[tuple[datetime, int | None]]]:
        """Return from which moment which interval was in force, by gauge; the trail knows."""
        trail = tables.trail
        found: dict[int, list[tuple[datetime, int | None]]] = defaultdict(list)
        changes = select(trail.c.at, trail.c.row_id, trail.c.content).where(trail.c.in_table == "gauge")
        for row in self._rows(changes.order_by(trail.c.id)):
            months = json.loads(row.content)["interval_months"]
            if not found[row.row_id] or found[row.row_id][-1][1] != months:
                found[row.row_id].append((from_time_text(row.at), months))
        return found

    def gauge(self, gauge_id: int) -> Gauge:
        """Return one gauge.

        Raises
        ------
        NotFoundError
            There is no such gauge.
        """
        missing = tr("There is no such gauge in this logbook.")
        found = self._read_gauges(tables.gauge.c.id == checked_id(gauge_id, missing))
        if not found:
            raise no_such(missing)
        return found[0]

    def add_gauge(
        self,
        name: str,
        use: str,
        kind: str,
        resolution: float,
        stated_error: float,
        calibrated_on: date | None = None,
        interval_months: int | None = None,
    ) -> Gauge:
        """Add a gauge; resolution and stated error (±) in the canonical unit of `kind`.

        Raises
        ------
        RuleError
            A gauge of that name is there already; a reading must say which one was used.
        InputError
            An error below nothing, or a calibration in the future.
        """
        if calibrated_on is not None:
            self._need_past(calibrated_on)
        _need_interval(interval_months)
        name = line(name, tr("The name of the gauge"), is_needed=True)
        gauge = tables.gauge
        if self._row(select(gauge.c.id).where(gauge.c.name_key == fold(name))) is not None:
            raise RuleError(
                tr("The name {name} is taken already.", name=name),
                tr("Choose another name, so that they can be told apart."),
            )
        added = self._add(
            gauge,
            name=name,
            name_key=fold(name),
            use=line(use, tr("The use of the gauge"), LONGEST_KEY, is_needed=True),
            kind=line(kind, tr("The kind of the gauge"), LONGEST_KEY, is_needed=True),
            resolution=number(resolution, tr("The resolution"), 0.0, LARGEST_ERROR),
            stated_error=number(stated_error, tr("The stated error"), 0.0, LARGEST_ERROR),
            interval_months=interval_months,
            is_retired=0,
        )
        if calibrated_on is not None:
            self._add_check(added, "calibration", calibrated_on.isoformat())
        return self.gauge(added)

    def calibrate(
        self,
        gauge_id: int,
        day: date,
        *,
        is_good: bool,
        found_error: float | None = None,
        certificate: str = "",
        person: str = "",
    ) -> Gauge:
        """Note a calibration; the days of all of them stay known.

        Parameters
        ----------
        gauge_id : int
            Which gauge.
        day : date
            The day it was calibrated on.
        is_good : bool
            Whether it was found as good as its stated error says.
        found_error : float, optional
            The largest error found (±) [canonical unit of its kind].
        certificate : str
            Number of the certificate, or what else is to be said.
        person : str
            Who notes it.

        Raises
        ------
        NotFoundError
            There is no such gauge.
        RuleError
            It is called good though it was off by more than its stated error, which every verdict counts on.
        InputError
            The day lies in the future, or a value that cannot be.
        """
        gauge = self.gauge(gauge_id)
        self._need_past(day)
        if found_error is not None:
            number(found_error, tr("The error found"), 0.0, LARGEST_ERROR)
            if is_good and round(found_error, 9) > round(gauge.stated_error, 9):
                raise RuleError(
                    tr(
                        "{gauge} was off by {found}, more than its stated error of {stated}.",
                        gauge=gauge.name,
                        found=width_words(gauge, found_error),
                        stated=width_words(gauge, gauge.stated_error),
                    ),
                    tr("Note it as not good; after adjusting, calibrate again."),
                )
        self._add_check(
            gauge.id,
            "calibration",
            day.isoformat(),
            found_error,
            is_good=is_good,
            person=line(person, tr("The name")),
            note=note(certificate, tr("The certificate")),
        )
        return self.gauge(gauge.id)

    def check_zero(self, gauge_id: int, value: float, at: datetime, person: str = "", said: str = "") -> Gauge:
        """Note what a gauge showed at its zero; `core.gauges.is_zero_good` says whether that is good.

        Parameters
        ----------
        gauge_id : int
            Which gauge.
        value : float
            What it showed, less what it should [canonical unit of its kind; of a temperature, K].
        at : datetime
            When, with its time zone.
        person : str
            Who checked.
        said : str
            What else is to be said.

        Raises
        ------
        NotFoundError
            There is no such gauge.
        RuleError
            Such a gauge has no zero.
        InputError
            A value that cannot be, or a time in the future.
        """
        gauge = self.gauge(gauge_id)
        if gauge.use not in ZEROED:
            raise RuleError(
                tr("{gauge} has no zero to check.", gauge=gauge.name),
                tr("Note a calibration instead, on the shop page."),
            )
        number(value, tr("The zero"), -LARGEST_ERROR, LARGEST_ERROR)
        self._add_check(
            gauge.id,
            "zero",
            to_time_text(at, self._clock()),
            value,
            is_good=is_zero_good(gauge, value),
            person=line(person, tr("The name")),
            note=note(said, tr("The note")),
        )
        return self.gauge(gauge.id)

    def readings_by_job(self, gauge_id: int, after: datetime | None, until: datetime) -> dict[str, int]:
        """Return how many readings were taken with a gauge in some time, by the numbers of their jobs."""
        job, reading = tables.job, tables.reading
        here = [reading.c.gauge_id == gauge_id, reading.c.taken_at <= to_time_text(until, until)]
        if after is not None:
            here.append(reading.c.taken_at > to_time_text(after, after))
        counted = select(job.c.number, func.count().label("taken")).join(job, job.c.id == reading.c.job_id)
        rows = self._rows(counted.where(*here).group_by(job.c.id, job.c.number).order_by(job.c.id))
        return {row.number: row.taken for row in rows}

    def retire_gauge(self, gauge_id: int, *, is_retired: bool = True, seen: int | None = None) -> Gauge:
        """Take a gauge out of use, or back into it; what was read with it stays.

        Raises
        ------
        NotFoundError
            There is no such gauge.
        ConflictError
            It is no longer the version `seen`.
        """
        gauge = self.gauge(gauge_id)
        self._change(tables.gauge, gauge.id, seen=seen, is_retired=int(is_retired))
        return self.gauge(gauge.id)

    def change_interval(self, gauge_id: int, months: int | None, *, seen: int | None = None) -> Gauge:
        """Say every how many months a gauge is to be calibrated from now on; None: it is not followed.

        Raises
        ------
        NotFoundError
            There is no such gauge.
        ConflictError
            It is no longer the version `seen`.
        InputError
            No month, or more than a hundred years of them.
        """
        _need_interval(months)
        gauge = self.gauge(gauge_id)
        self._change(tables.gauge, gauge.id, seen=seen, interval_months=months)
        return self.gauge(gauge.id)

    def _add_check(
        self,
        gauge_id: int,
        what: str,
        at: str,
        value: float | None = None,
        *,
        is_good: bool = True,
        person: str = "",
        note: str = "",
    ) -> None:
        self._add(
            tables.gauge_check,
            gauge_id=gauge_id,
            what=what,
            at=at,
            value=value,
            is_good=int(is_good),
            person=person or self._hand.person,
            note=note,
        )

    def _need_past(self, day: date) -> None:
        # East of Greenwich it is tomorrow already.
        if day > self._clock().date() + timedelta(days=1):
            raise InputError(
                tr("The calibration on {day} lies in the future.", day=day.isoformat()), tr("Check the date.")
            )


def _need_interval(months: int | None) -> None:
    if months is not None:
        whole(months, tr("The interval in months"), 1, MOST_MONTHS)


def _gauge(row: Row[Any], checks: Sequence[Row[Any]], intervals: Sequence[tuple[datetime, int | None]]) -> Gauge:
    calibrations = tuple(
        Calibration(date.fromisoformat(check.at), bool(check.is_good), check.value, check.note, check.person)
        for check in checks
        if check.what == "calibration"
    )
    return Gauge(
        id=row.id,
        name=row.name,
        use=row.use,
        kind=row.kind,
        resolution=row.resolution,
        stated_error=row.stated_error,
        calibrated_on=max((found.day for found in calibrations if found.is_good), default=None),
        interval_months=row.interval_months,
        is_retired=bool(row.is_retired),
        calibrations=calibrations,
        zeros=tuple(
            ZeroCheck(from_time_text(check.at), check.value, bool(check.is_good), check.person, check.note)
            for check in checks
            if check.what == "zero"
        ),
        intervals=tuple(intervals),
        version=row.version,
    )
