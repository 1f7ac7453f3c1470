"""What became, or would become, of an archive in a logbook; plain records that cross threads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from core.language import mark, tr

NEW, CONTINUED, KNOWN, CONFLICTING = "new", "continued", "known", "conflicting"
WORDS = {
    NEW: mark("new"),
    CONTINUED: mark("goes on"),
    KNOWN: mark("known already"),
    CONFLICTING: mark("conflict, stays as it is"),
}
"""What becomes of a job, in words."""


@dataclass(frozen=True)
class Conflict:
    """One thing the archive says otherwise than the logbook: what it is about, where they differ, what to do.

    All of it in words; `job_uid` is the job that is left as it is for it, "" where it is about something else.
    """

    about: str
    field: str
    ours: str
    theirs: str
    remedy: str = ""
    job_uid: str = ""

    def __str__(self) -> str:
        """Return the conflict as a sentence, and what to do about it."""
        sentence = tr(
            "{about}, {field}: here {ours}, in the archive {theirs}.",
            about=self.about,
            field=self.field,
            ours=self.ours or tr("nothing"),
            theirs=self.theirs or tr("nothing"),
        )
        return f"{sentence} {self.remedy}".strip()


@dataclass(frozen=True)
class JobTaken:
    """What becomes of one job of an archive: new, continued, known or conflicting."""

    number: str
    serial: str
    customer: str
    what: str
    readings: int = 0
    photos: int = 0


@dataclass(frozen=True)
class Taken:
    """What became of an archive.

    `changes` counts the rows that were written, or would be, by table; `notes` say what is not taken over and why;
    `is_held_up` says that conflicts keep everything out.
    """

    shop: str
    jobs: tuple[JobTaken, ...] = ()
    conflicts: tuple[Conflict, ...] = ()
    notes: tuple[str, ...] = ()
    changes: Mapping[str, int] = field(default_factory=dict)
    is_kept: bool = False
    is_held_up: bool = False

    @property
    def is_nothing_new(self) -> bool:
        """Whether the logbook holds all of it already."""
        return not self.changes and not self.conflicts

    def count(self, what: str) -> int:
        """Return how many jobs are new, continued, known or conflicting."""
        return sum(job.what == what for job in self.jobs)

    @property
    def summary(self) -> str:
        """One sentence: what comes in, or came, or why nothing does."""
        if self.is_nothing_new:
            return tr("This logbook holds all of it already; nothing changes.")
        if self.is_held_up:
            return tr("Nothing comes in. Conflicts with this logbook: {count}.", count=len(self.conflicts))
        if not self.changes:
            return tr("Nothing comes in: what does not contradict this logbook is here already.")
        jobs = tr(
            "{new} new, {continued} going on, {known} known already, {left} left out",
            new=self.count(NEW),
            continued=self.count(CONTINUED),
            known=self.count(KNOWN),
            left=self.count(CONFLICTING),
        )
        rows = sum(self.changes.values())
        if self.is_kept:
            return tr("Taken in. Jobs: {jobs}. Rows written: {rows}.", jobs=jobs, rows=rows)
        return tr("Would come in. Jobs: {jobs}. Rows: {rows}.", jobs=jobs, rows=rows)
