"""The gauges, their calibrations and their zero checks."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from sqlalchemy import Row, select

from core.errors import InputError, RuleError
from core.facts import Gauge, ZeroCheck
from core.language import tr
from core.records import tables
from core.records.texts import LONGEST_KEY, fold, from_time_text, line, number, whole
from core.records.unit_of_work import UnitOfWork

LARGEST_ERROR = 1e6
MOST_MONTHS = 1200


class GaugeVerbs(UnitOfWork):
    """What can be done with gauges."""

    def gauges(self) -> list[Gauge]:
        """Return the gauges, in the order they were added."""
        checks = defaultdict(list)
        for check in self._rows(select(tables.gauge_check).order_by(tables.gauge_check.c.id)):
            checks[check.gauge_id].append(check)
        rows = self._rows(select(tables.gauge).order_by(tables.gauge.c.id))
        return [_gauge(row, checks[row.id]) for row in rows]

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
        if interval_months is not None:
            whole(interval_months, tr("The interval in months"), 1, MOST_MONTHS)
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
        return next(gauge for gauge in self.gauges() if gauge.id == added)

    def _add_check(
        self, gauge_id: int, what: str, at: str, value: float | None = None, *, is_good: bool = True, **said: str
    ) -> None:
        self._add(
            tables.gauge_check,
            gauge_id=gauge_id,
            what=what,
            at=at,
            value=value,
            is_good=int(is_good),
            person=said.get("person", self._hand.person),
            note=said.get("note", ""),
        )

    def _need_past(self, day: date) -> None:
        # East of Greenwich it is tomorrow already.
        if day > self._clock().date() + timedelta(days=1):
            raise InputError(
                tr("The calibration on {day} lies in the future.", day=day.isoformat()), tr("Check the date.")
            )


def _gauge(row: Row[Any], checks: Sequence[Row[Any]]) -> Gauge:
    days = sorted(date.fromisoformat(check.at) for check in checks if check.what == "calibration" and check.is_good)
    return Gauge(
        id=row.id,
        name=row.name,
        use=row.use,
        kind=row.kind,
        resolution=row.resolution,
        stated_error=row.stated_error,
        calibrated_on=days[-1] if days else None,
        interval_months=row.interval_months,
        is_retired=bool(row.is_retired),
        calibrations=tuple(days),
        zeros=tuple(
            ZeroCheck(from_time_text(check.at), check.value, bool(check.is_good), check.person, check.note)
            for check in checks
            if check.what == "zero"
        ),
        version=row.version,
    )
