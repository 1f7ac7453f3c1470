"""Where the shop stands: which jobs wait and where, which units came back, and which gauges want calibrating.

Pure: judged jobs and plain facts go in, frozen lines come out; who reads the logbook is `core.workshop`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from core.facts import Gauge, Job, JobLine, Part, Person
from core.gauges import Standing, by_urgency, day_of, due_on, standing
from core.history import Visit, wear
from core.language import mark, tr
from core.stages import STAGES
from core.stages.state import JobState, StageState
from core.verdict import Answer

READY = "ready"
"""Where a job stands that only wants signing."""
SIGNED = "signed"
STANDS = {READY: mark("Ready to sign"), SIGNED: mark("Signed")}
COMEBACK_MONTHS = 24
"""A unit that is back within so many months of being signed off is a comeback (common practice)."""
BACKUP_DAYS = 2
"""A backup older than so many days is named, where something was entered since (common practice)."""
SOON_DAYS = 30
"""A calibration that runs out within so many days is named already (common practice)."""


# -- jobs --------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class WaitingJob:
    """An open job: the stage it stands in (or `READY`), what is wanted there, and since when nobody touched it."""

    job: Job
    stage: str
    wanted: str
    since: datetime
    days: int


def waiting_job(state: JobState, since: datetime, now: datetime) -> WaitingJob:
    """Say where an open job stands: in its first unfinished stage, or ready to sign.

    Parameters
    ----------
    state : JobState
        The job, judged.
    since, now : datetime
        When it was last touched, and the present moment.
    """
    job, days = state.context.job, max((day_of(now) - day_of(since)).days, 0)
    unfinished = _unfinished(state)
    if unfinished is not None:
        return WaitingJob(job, unfinished.stage.key, unfinished.missing[0], since, days)
    bad = next((stage for stage in state.stages if stage.verdict.answer is Answer.DOES_NOT_CONFORM), None)
    wanted = "" if bad is None else tr("{stage}: something does not conform", stage=tr(bad.stage.label))
    return WaitingJob(job, READY, wanted, since, days)


def stand_of(state: JobState) -> str:
    """Return the key of the first unfinished stage of an open job, or `READY`."""
    unfinished = _unfinished(state)
    return READY if unfinished is None else unfinished.stage.key


def _unfinished(state: JobState) -> StageState | None:
    return next((stage for stage in state.stages if stage.missing), None)


def stand_words(stage: str) -> str:
    """Return what the place a job stands in is called."""
    return tr(STANDS.get(stage) or next((s.label for s in STAGES if s.key == stage), stage))


# -- comebacks ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Move:
    """A value that is not what it was when the unit left."""

    label: str
    kind: str
    unit: str
    left: float
    found: float


@dataclass(frozen=True)
class Comeback:
    """A unit that came back: the signed job, the one it came back with, the days between, and what moved."""

    before: Job
    again: Job
    days: int
    moved: tuple[Move, ...]


def comeback_pairs(lines: Iterable[JobLine]) -> list[tuple[JobLine, JobLine]]:
    """Return the visits that followed a signed job of the same unit within `COMEBACK_MONTHS`, the newest first.

    Parameters
    ----------
    lines : iterable of JobLine
        Every job.

    Returns
    -------
    list of tuple
        The last job signed before the unit came back, and the one it came back with.
    """
    last: dict[int, JobLine] = {}
    pairs = []
    for line in sorted(lines, key=lambda line: (line.opened_at, line.id)):
        before = last.get(line.unit_id)
        if before is not None and before.first_signed_at is not None and _is_soon(before.first_signed_at, line):
            pairs.append((before, line))
        if line.first_signed_at is not None:
            last[line.unit_id] = line
    return pairs[::-1]


def _is_soon(signed_at: datetime, again: JobLine) -> bool:
    until = due_on(day_of(signed_at), COMEBACK_MONTHS)
    return signed_at <= again.opened_at and (until is None or day_of(again.opened_at) <= until)


def comeback(before: Visit, again: Visit, signed_at: datetime) -> Comeback:
    """Compare what a unit left with and what it came back with.

    What moved is said by the same rule as on the unit's own page (`Wear.has_moved`).

    Parameters
    ----------
    before, again : Visit
        The signed job and the one it came back with.
    signed_at : datetime
        When it was first signed.
    """
    days = (day_of(again.job.opened_at) - day_of(signed_at)).days
    moved = (one for one in wear(before, again, days).values() if one.has_moved)
    moves = (Move(one.left.label, one.left.kind, one.left.unit, one.left.value, one.found.value) for one in moved)
    return Comeback(before.job, again.job, days, tuple(moves))


# -- gauges ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class CalibrationDue:
    """A gauge whose calibration has run out, or soon will."""

    gauge: Gauge
    standing: Standing


def calibrations_due(gauges: Iterable[Gauge], today: date) -> list[CalibrationDue]:
    """Return the gauges in use that want calibrating by `SOON_DAYS` from now, the most urgent first."""
    dues = [
        CalibrationDue(gauge, standing(gauge, today)) for gauge in by_urgency(gauges, today) if not gauge.is_retired
    ]
    return [due for due in dues if due.standing.is_lapsed or _runs_out(due.standing, today)]


def _runs_out(now: Standing, today: date) -> bool:
    return now.due_on is not None and (now.due_on - today).days <= SOON_DAYS


# -- backups -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class BackupStanding:
    """When the newest backup was made (None: there is none), and how many entries since it are in no backup."""

    made_at: datetime | None = None
    entries_since: int | None = None

    def is_late(self, now: datetime) -> bool:
        """Whether work of more than `BACKUP_DAYS` would be lost with this machine."""
        if self.made_at is None:
            return self.entries_since != 0
        return self.entries_since != 0 and (now - self.made_at).days >= BACKUP_DAYS


# -- all of it ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Overview:
    """The owner's page at one moment: what waits longest first, what came back last first."""

    at: datetime
    waiting: tuple[WaitingJob, ...] = ()
    signed: int = 0
    comebacks: tuple[Comeback, ...] = ()
    orders: tuple[Part, ...] = ()
    calibrations: tuple[CalibrationDue, ...] = ()
    without_pin: tuple[Person, ...] = ()
    backup: BackupStanding = field(default_factory=BackupStanding)

    @property
    def counts(self) -> dict[str, int]:
        """How many jobs stand in each stage, are ready to sign, and are signed, in order of work."""
        counts = dict.fromkeys((*(stage.key for stage in STAGES), READY), 0)
        for waiting in self.waiting:
            counts[waiting.stage] += 1
        return {**counts, SIGNED: self.signed}


def longest_first(waiting: Iterable[WaitingJob]) -> tuple[WaitingJob, ...]:
    """Return open jobs as they want looking after: the one nobody touched for longest first."""
    return tuple(sorted(waiting, key=lambda line: (line.since, line.job.id)))


def without_pin(people: Sequence[Person]) -> tuple[Person, ...]:
    """Return the people at work who have no PIN, so that anybody could sign in their name."""
    return tuple(person for person in people if person.is_active and not person.has_pin)
