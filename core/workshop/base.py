"""What every verb of the workshop stands on: one logbook, one clock, and who does what."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta
from typing import Self

from core.facts import Gauge, Job
from core.records import Changes, Logbook, Watch, Work
from core.stages import evaluate_job
from core.stages.context import Context
from core.stages.state import JobState


def utc_now() -> datetime:
    """Return the present moment, in UTC."""
    return datetime.now(UTC)


class Base:
    """One logbook and one clock.

    Parameters
    ----------
    logbook : Logbook
        An open logbook.
    clock : callable
        Returns the present moment (aware, UTC); tests and the demo pass their own.
    """

    def __init__(self, logbook: Logbook, clock: Callable[[], datetime] = utc_now) -> None:
        self._logbook = logbook
        self._clock = clock

    @property
    def location(self) -> str:
        """Where the logbook is."""
        return self._logbook.location

    def close(self) -> None:
        """Give the logbook back; whatever was entered is in it."""
        self._logbook.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def watch(self, told: Callable[[Changes], None]) -> Watch:
        """Look out for what other benches write; `told` is called on a thread of its own."""
        return self._logbook.watch(told)

    def _working(self, doing: str, person: str = "") -> AbstractContextManager[Work]:
        """Return a unit of work that may write; the trail names who did what."""
        return self._logbook.work(by=person, doing=doing)

    def _state(self, work: Work, job_id: int, open_trials: Mapping[str, int] | None = None) -> JobState:
        return evaluate_job(context_of(work, job_id), open_trials)


def context_of(work: Work, job_id: int) -> Context:
    """Return a job with everything the rules judge it by."""
    job = work.job(job_id)
    # The first reading may have been taken the evening before the job was written down, its zero check that morning.
    return context_for(work, job, work.gauges(job.opened_at - timedelta(days=2)))


def context_for(work: Work, job: Job, gauges: Iterable[Gauge]) -> Context:
    """Return a job, read with these gauges, with the shop's rules it is judged by: of its signing, or of now."""
    readings = tuple(work.readings(job.id))
    return Context(job, readings, {gauge.id: gauge for gauge in gauges}, work.rules(job.signed_at))
