"""From a field to the logbook: check, ask why where something stands already, store, or say why not."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from app.bench.gauges import BenchSettings, GaugeLine
from app.widgets.entry_field import EntryField
from core.errors import ConflictError, UserError
from core.facts import Job, Reading
from core.stages import stage, take
from core.stages.prints import NUMBERS, flank_of
from core.stages.state import JobState
from core.workshop import Workshop

SLIP = timedelta(minutes=10)
"""A reading corrected this soon is a slip of the hand and needs no words."""


class Taker:
    """Stores what stands in the fields of the bench."""

    def __init__(
        self, workshop: Workshop, settings: BenchSettings, gauges: GaugeLine, clock: Callable[[], datetime]
    ) -> None:
        self._workshop, self._settings, self._gauges, self._clock = workshop, settings, gauges, clock

    def reading(self, state: JobState, stage_key: str, field: EntryField) -> JobState | None:
        """Store a reading.

        Returns
        -------
        JobState or None
            The job judged anew, also where another bench was quicker and the field says so; None where nothing was
            stored: the field then says why, or asks for the reason.
        """
        try:
            standing = _standing(state, stage_key, field)
            is_typed = bool(field.text().strip())
            is_slip = standing is not None and is_typed and self._clock() - standing.taken_at < SLIP
            if not _is_explained(field, is_slip, is_correction=standing is not None):
                if is_typed:
                    declared = stage(stage_key)
                    take(state.context, declared, field.entry, field.position, field.trial, field.text())
                field.ask_reason(may_be_empty=is_slip)
                return None
            stored = self._store(state.context.job.id, stage_key, field)
        except ConflictError as error:
            field.refuse(error.message, error.remedy)
            # Shown as it is now, the field puts the other's reading beside what was typed.
            return self._workshop.state(state.context.job.id)
        except UserError as error:
            field.refuse(error.message, error.remedy)
            return None
        field.accept()
        return stored

    def detail(self, job: Job, field: EntryField) -> JobState | None:
        """Store a correction of the job's own words; return the job judged anew where it is to be shown so."""
        if not _is_explained(field, False, is_correction=field.is_correction):
            field.ask_reason(may_be_empty=False)
            return None
        try:
            self._workshop.change_job(
                job.id, field.entry.key, field.text(), self._settings.person, field.reason or "", seen=job.version
            )
        except UserError as error:
            field.refuse(error.message, error.remedy)
            if not isinstance(error, ConflictError):
                return None
        else:
            field.accept()
        return self._workshop.state(job.id)

    def _store(self, job_id: int, stage_key: str, field: EntryField) -> JobState:
        entry, position, trial = field.key
        person, reason = self._settings.person, field.reason or ""
        if not field.text().strip():
            return self._workshop.withdraw(
                job_id, stage_key, entry, position=position, trial=trial, person=person, reason=reason, seen=field.seen
            )
        return self._workshop.enter(
            job_id,
            stage_key,
            entry,
            field.text(),
            position=position,
            trial=trial,
            gauge_id=self._gauges.gauge_for(field.entry.gauge),
            person=person,
            reason=reason,
            seen=field.seen,
        )


def _standing(state: JobState, stage_key: str, field: EntryField) -> Reading | None:
    """Return the reading that would be replaced; for a print that was never drawn, the oldest of its numbers.

    One young enough is replaced without words; taking one back never is.
    """
    if field.state is None or field.state.reading is not None or field.entry.kind != "outline":
        return None if field.state is None else field.state.reading
    flank = flank_of(field.entry)
    numbers = [state.context.reading(stage_key, flank + end, trial=field.trial) for end in NUMBERS]
    return min((reading for reading in numbers if reading is not None), key=lambda r: r.taken_at, default=None)


def _is_explained(field: EntryField, is_slip: bool, *, is_correction: bool) -> bool:
    """Whether what is to be stored needs no reason, or has one."""
    if not is_correction or (field.reason or "").strip():
        return True
    return is_slip and (field.reason is not None or field.is_being_left)
