"""What a casing family has taught, and how good the advice on it has been."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from core.advice.record import FamilyRecord, Outcome, outcomes, record_of
from core.advice.seen import here_of
from core.errors import NotFoundError
from core.facts import Advised, JobLine
from core.language import tr
from core.records import Work
from core.shop_inputs import printable
from core.stages.card import is_set_by_nuts
from core.workshop.advising import TAUGHT_BY, Advising
from core.workshop.signed import AT_ONCE, Sealed, contexts_of, key_of


class Teaching(Advising):
    """What the owner asks about a family's jobs together.

    What came of the advice in a signed job is kept, as its lesson is.
    """

    @cached_property
    def _outcomes(self) -> dict[Sealed, tuple[Outcome, ...]]:
        return {}

    def family_record(self, family: str) -> FamilyRecord:
        """Return what the jobs of a casing family have taught, and how good the advice on them has been.

        What is usual comes from signed jobs; how good the advice has been from all of them.

        Raises
        ------
        NotFoundError
            The family has no signed job.
        """
        with self._logbook.look() as work:
            lines = [line for line in work.job_lines() if line.family == family]
            signed = [line for line in lines if line.sealed is not None]
            if not signed:
                raise NotFoundError(
                    tr("No job of {family} is signed yet.", family=printable(family)),
                    tr("What a family teaches begins with its first signed job."),
                )
            newest = max(signed, key=lambda line: (line.signed_at or line.opened_at, line.id))
            _, context = next(contexts_of(work, [newest], {}, TAUGHT_BY))
            limit = context.card.limits.get("turning_torque")
            limits = None if limit is None or limit.low is None or limit.high is None else (limit.low, limit.high)
            return record_of(
                family,
                self._taught(work, family),
                here_of(context),
                limits,
                self._told(work, lines),
                is_set_by_nuts=is_set_by_nuts(context.job),
            )

    def _told(self, work: Work, lines: Sequence[JobLine]) -> list[Outcome]:
        """Return what came of the advice in some jobs; only those with any are judged."""
        found = [one for line in lines for one in self._outcomes.get(key_of(line), ())]
        waiting = [line for line in lines if key_of(line) not in self._outcomes]
        for start in range(0, len(waiting), AT_ONCE):
            some = waiting[start : start + AT_ONCE]
            advised = work.advised_of([line.id for line in some])
            for line in some:
                came = self._came_of(work, line, advised[line.id])
                found += came
                if line.sealed is not None:
                    self._outcomes[key_of(line)] = came
        return found

    def _came_of(self, work: Work, line: JobLine, advised: Sequence[Advised]) -> tuple[Outcome, ...]:
        return outcomes(self._state(work, line.id), advised) if advised else ()
