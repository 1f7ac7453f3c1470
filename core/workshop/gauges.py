"""The gauges."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from core.errors import InputError
from core.facts import Gauge, ZeroCheck
from core.gauges import day_of, width_words
from core.language import tr
from core.quantities import parse
from core.records import Work
from core.shop_inputs import gauge_error, gauge_kind, past_day, signed_width, whole_number, words
from core.workshop.base import Base

ZEROS_KEPT_IN_SIGHT = timedelta(days=92)
"""A shop that checks each morning soon has thousands; older ones are read with the jobs they mattered to."""


@dataclass(frozen=True)
class ZeroOutcome:
    """A zero check that was noted, and how many readings are marked by it, by the number of their job."""

    gauge: Gauge
    check: ZeroCheck
    marked: Mapping[str, int]

    def words(self, units: str = "metric") -> str:
        """Say what it comes to, and what to do where the zero was off."""
        shown = width_words(self.gauge, self.check.value, units)
        if self.check.is_good:
            return tr("{gauge}: zero good, {value}.", gauge=self.gauge.name, value=shown)
        bound = width_words(self.gauge, max(self.gauge.resolution, self.gauge.stated_error), units)
        told = tr(
            "{gauge}: zero off by {value}, more than {bound}. Set it, and check again.",
            gauge=self.gauge.name,
            value=shown,
            bound=bound,
        )
        return f"{told} {marked_words(self.marked)}".strip()


def marked_words(marked: Mapping[str, int]) -> str:
    """Say how many readings of which jobs are marked; "" where none is."""
    if not marked:
        return ""
    jobs = ", ".join(tr("job {number} ({count})", number=number, count=count) for number, count in marked.items())
    return tr("Marked are the readings since the last good check: {jobs}; take them again.", jobs=jobs)


class Gauges(Base):
    """What can be done with gauges."""

    def today(self) -> date:
        """Return the day it is by the shop's own clock."""
        return day_of(self._clock())

    def gauges(self) -> list[Gauge]:
        """Return the gauges of the shop, retired ones included, with the zero checks of the last months."""
        with self._logbook.look() as work:
            return work.gauges(self._clock() - ZEROS_KEPT_IN_SIGHT)

    def add_gauge(
        self,
        name_text: str,
        use: str,
        resolution_text: str,
        error_text: str,
        calibrated_text: str = "",
        interval_text: str = "",
        person: str = "",
    ) -> Gauge:
        """Add a gauge from what was typed; resolution and stated error carry the unit of what the gauge reads.

        Raises
        ------
        InputError
            What was typed cannot be read, or no such use of a gauge is known.
        RuleError
            A gauge of that name is there already.
        """
        with self._working("add_gauge", person) as work:
            gauge = work.add_gauge(
                name=parse("text", name_text).text,
                use=use,
                kind=gauge_kind(use)[0],
                resolution=gauge_error(use, resolution_text),
                stated_error=gauge_error(use, error_text),
                calibrated_on=past_day(calibrated_text, self.today()),
                interval_months=_months(interval_text),
            )
            work.commit()
        return gauge

    def calibrate(
        self,
        gauge_id: int,
        day_text: str,
        is_good: bool,
        *,
        found_text: str = "",
        certificate: str = "",
        person: str = "",
    ) -> Gauge:
        """Note a calibration as typed: its day, whether the gauge was good, the largest error found, the certificate.

        Raises
        ------
        InputError
            What was typed cannot be read, or there is no day.
        RuleError
            It is called good though it was off by more than its stated error.
        NotFoundError
            There is no such gauge.
        """
        with self._working("calibrate", person) as work:
            gauge = work.gauge(gauge_id)
            day = past_day(day_text, self.today())
            if day is None:
                raise InputError(tr("The day of the calibration is missing."), tr("Type it as year-month-day."))
            calibrated = work.calibrate(
                gauge.id,
                day,
                is_good=is_good,
                found_error=gauge_error(gauge.use, found_text) if found_text.strip() else None,
                certificate=words(certificate),
                person=person,
            )
            work.commit()
        return calibrated

    def zero_check(self, gauge_id: int, value_text: str, person: str = "", note: str = "") -> ZeroOutcome:
        """Note what a gauge shows at its zero, as typed.

        Returns
        -------
        ZeroOutcome
            Whether it is good (`core.gauges.is_zero_good`); where it is not, the readings of today since the last good
            check are marked from now on.

        Raises
        ------
        InputError
            What was typed cannot be read.
        RuleError
            Such a gauge has no zero.
        NotFoundError
            There is no such gauge.
        """
        now = self._clock()
        with self._working("zero_check", person) as work:
            value = signed_width(work.gauge(gauge_id).use, value_text)
            gauge = work.check_zero(gauge_id, value, now, person, words(note))
            check = next(check for check in reversed(gauge.zeros) if check.at == now)
            marked = {} if check.is_good else _marked(work, gauge, now)
            work.commit()
        return ZeroOutcome(gauge, check, marked)

    def retire_gauge(self, gauge_id: int, person: str, seen: int | None = None) -> Gauge:
        """Take a gauge out of use: the bench no longer offers it, and what was read with it stays.

        Raises
        ------
        AccessError
            The person is no owner.
        ConflictError
            Somebody changed the gauge since it was `seen`.
        """
        return self._retire("retire_gauge", gauge_id, person, seen, is_retired=True)

    def bring_back_gauge(self, gauge_id: int, person: str, seen: int | None = None) -> Gauge:
        """Take a retired gauge into use again; raises as `retire_gauge` does."""
        return self._retire("bring_back_gauge", gauge_id, person, seen, is_retired=False)

    def _retire(self, doing: str, gauge_id: int, person: str, seen: int | None, *, is_retired: bool) -> Gauge:
        with self._working(doing, person) as work:
            work.need_owner(person)
            gauge = work.retire_gauge(gauge_id, is_retired=is_retired, seen=seen)
            work.commit()
        return gauge

    def change_interval(self, gauge_id: int, months_text: str, person: str = "", seen: int | None = None) -> Gauge:
        """Say every how many months a gauge is to be calibrated from now on; "": it is not followed.

        Raises
        ------
        InputError
            That is no number of months.
        ConflictError
            Somebody changed the gauge since it was `seen`.
        """
        with self._working("change_interval", person) as work:
            gauge = work.change_interval(gauge_id, _months(months_text), seen=seen)
            work.commit()
        return gauge


def _months(text: str) -> int | None:
    return whole_number(text) if text.strip() else None


def _marked(work: Work, gauge: Gauge, now: datetime) -> dict[str, int]:
    """Return the readings of today since the last good zero check, counted by job."""
    midnight = now.astimezone().replace(hour=0, minute=0, second=0, microsecond=0)
    good = [check.at for check in gauge.zeros if check.is_good and midnight <= check.at < now]
    return work.readings_by_job(gauge.id, good[-1] if good else midnight - timedelta(microseconds=1), now)
