"""What every verb of the workshop stands on: one logbook, one clock, and who does what."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from datetime import UTC, datetime

from core.records import Logbook, Work
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

    def _working(self, doing: str, person: str = "") -> AbstractContextManager[Work]:
        """Return a unit of work that may write; the trail names who did what."""
        return self._logbook.work(by=person, doing=doing)

    def _state(self, work: Work, job_id: int, open_trials: Mapping[str, int] | None = None) -> JobState:
        return evaluate_job(context_of(work, job_id), open_trials)


def context_of(work: Work, job_id: int) -> Context:
    """Return a job with everything the rules judge it by."""
    gauges = {gauge.id: gauge for gauge in work.gauges()}
    return Context(work.job(job_id), tuple(work.readings(job_id)), gauges)
