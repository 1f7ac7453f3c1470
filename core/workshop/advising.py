"""What to fit next, and what the family has taught."""

from __future__ import annotations

from functools import cached_property

from core.advice import Advice, Known, advise
from core.advice.lessons import lesson_of
from core.advice.priors import Family, PastJob, family_of
from core.records import Work
from core.stages import backlash, preload
from core.stages.context import Context
from core.stages.sides import SIDES
from core.stages.state import JobState
from core.workshop.base import Base
from core.workshop.holding import there_for
from core.workshop.signed import Sealed, contexts_of, key_of

ADVISED = (preload.KEY, backlash.KEY)
"""The stages whose next trial is a pair."""

TAUGHT_BY = ("teardown", *ADVISED)
"""What a lesson is drawn from."""


class Advising(Base):
    """What can be asked before the next trial.

    What a signed job taught is kept: it is drawn once, and again only after the job was reopened and signed anew.
    """

    @cached_property
    def _lessons(self) -> dict[Sealed, PastJob]:
        return {}

    def advice(self, job_id: int, stage_key: str) -> Advice | None:
        """Return what to try next on a stage, or None where nothing can be said."""
        with self._logbook.look() as work:
            return self._advice(work, self._state(work, job_id), stage_key)

    def taught(self, family: str) -> Family:
        """Return what the signed jobs of a casing family teach together."""
        with self._logbook.look() as work:
            return self._taught(work, family)

    def _advice(self, work: Work, state: JobState, stage_key: str) -> Advice | None:
        return advise(stage_key, state, self._known(work, state.context))

    def _known(self, work: Work, context: Context) -> Known:
        """Return the drawer, the pieces that are in, the shop's gauges and what the family's other jobs taught."""
        job = context.job
        holds = work.held_by_job(job.id).holds
        held = [holds[side].part.id for side in SIDES if side in holds]
        return Known(
            there_for(work, job.id, ("ring", "shim")),
            (held[0], held[1]) if len(held) == len(SIDES) else None,
            self._taught(work, job.card.family, job.id),
            work.gauges(self._clock()),
        )

    def _taught(self, work: Work, family: str, but: int = 0) -> Family:
        lines = [
            line for line in work.job_lines() if line.sealed is not None and line.family == family and line.id != but
        ]
        for line, context in contexts_of(
            work, [one for one in lines if key_of(one) not in self._lessons], {}, TAUGHT_BY
        ):
            self._lessons[key_of(line)] = lesson_of(context)
        return family_of([self._lessons[key_of(line)] for line in lines])
