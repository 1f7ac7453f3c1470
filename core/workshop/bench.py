"""Work on a job: readings, and what they come to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from core.facts import JobEvent, Reading
from core.quantities import Amount, parse
from core.records import Work
from core.shop_inputs import words
from core.stages import stage, take
from core.stages.context import Context
from core.stages.entry import Stage
from core.stages.prints import followers
from core.stages.state import JobState
from core.workshop.advising import Advising
from core.workshop.base import context_of
from core.workshop.holding import follow


@dataclass(frozen=True)
class Typed:
    """One reading as it comes in: where in its stage, the text, what it was read with, and how it came."""

    entry: str
    text: str
    position: str = ""
    gauge_id: int | None = None
    reason: str = ""
    source: str = "typed"
    seen: int | None = None


class Bench(Advising):
    """What can be done at the bench."""

    def state(self, job_id: int, open_trials: Mapping[str, int] | None = None) -> JobState:
        """Return a job with every stage judged."""
        with self._logbook.look() as work:
            return self._state(work, job_id, open_trials)

    def record(
        self,
        job_id: int,
        stage_key: str,
        entry_key: str,
        text: str,
        *,
        position: str = "",
        trial: int = 0,
        gauge_id: int | None = None,
        person: str = "",
        reason: str = "",
        source: str = "typed",
        seen: int | None = None,
    ) -> None:
        """Take a reading as typed and keep it; when this returns, the logbook has it for good.

        An entry already read is corrected: the new reading names the old one, with the reason. `seen` is the reading
        the person saw there (0: none), so that nobody replaces what he has not seen; None where it does not matter.

        Raises
        ------
        ConflictError
            Another reading stands there than the one seen.
        UserError
            The text cannot be read, the rules refuse it, or the job is signed; nothing is written then.
        """
        typed = Typed(entry_key, text, position, gauge_id, reason, source, seen)
        self.record_all(job_id, stage_key, (typed,), trial=trial, person=person)

    def record_all(
        self, job_id: int, stage_key: str, typed: Iterable[Typed], *, trial: int = 0, person: str = ""
    ) -> None:
        """Take several readings of one stage in one go, each as `record` does: all of them are kept, or none."""
        declared = stage(stage_key)
        with self._working("record", person) as work:
            context = context_of(work, job_id)
            self._note_before(work, context, stage_key, trial, person)
            for one in typed:
                entry = declared.entry(one.entry)
                reading = work.record(
                    job_id,
                    stage_key,
                    one.entry,
                    one.position,
                    trial,
                    take(context, declared, entry, entry.position(one.position), trial, one.text),
                    gauge_id=one.gauge_id,
                    person=person,
                    at=self._clock(),
                    source=one.source,
                    reason=words(one.reason),
                    seen=one.seen,
                )
                # What the rules say of the next one, they say in view of this one.
                context = replace(context, readings=(*context.readings, reading))
                context = self._bring_along(work, context, declared, reading)
                follow(work, job_id, stage_key, one.entry, trial)
            work.commit()

    def _bring_along(self, work: Work, context: Context, declared: Stage, reading: Reading) -> Context:
        """Write what else a reading of a contact print says, with its person and reason; return the job after it."""
        entry = declared.entry(reading.entry)
        amount = Amount(entry.kind, reading.value, reading.text, reading.unit)
        for key, text in followers(context, declared, entry, reading.trial, amount):
            also = declared.entry(key)
            said = Amount(also.kind, None, "", "")
            if text:
                said = take(context, declared, also, also.position(""), reading.trial, text)
            written = work.record(
                reading.job_id,
                reading.stage,
                key,
                "",
                reading.trial,
                said,
                gauge_id=None,
                person=reading.person,
                at=reading.taken_at,
                source=reading.source,
                reason=reading.reason,
            )
            context = replace(context, readings=(*context.readings, written))
        return context

    def enter(
        self, job_id: int, stage_key: str, entry_key: str, text: str, *, trial: int = 0, **details: Any
    ) -> JobState:
        """Take a reading as `record` does, and return the job judged anew."""
        self.record(job_id, stage_key, entry_key, text, trial=trial, **details)
        return self.state(job_id, {stage_key: trial})

    def withdraw(
        self,
        job_id: int,
        stage_key: str,
        entry_key: str,
        *,
        position: str = "",
        trial: int = 0,
        person: str,
        reason: str,
        seen: int | None = None,
    ) -> JobState:
        """Take a reading back: the field is open again, the old reading and the reason stay in the log.

        `seen` is the reading the person saw there, as for `record`.
        """
        declared = stage(stage_key)
        nothing = Amount(declared.entry(entry_key).kind, None, "", "")
        with self._working("withdraw", person) as work:
            context = context_of(work, job_id)
            reading = work.record(
                job_id,
                stage_key,
                entry_key,
                position,
                trial,
                nothing,
                gauge_id=None,
                person=person,
                at=self._clock(),
                source="typed",
                reason=parse("text", reason).text,
                seen=seen,
            )
            context = replace(context, readings=(*context.readings, reading))
            self._bring_along(work, context, declared, reading)
            follow(work, job_id, stage_key, entry_key, trial)
            work.commit()
        return self.state(job_id, {stage_key: trial})

    def events(self, job_id: int) -> list[JobEvent]:
        """Return what happened to a job, oldest first."""
        with self._logbook.look() as work:
            return work.events(job_id)
