"""What to fit next, and what the family has taught."""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from types import MappingProxyType
from typing import Any

from core.advice import Advice, Known, advise
from core.advice.answer import Offer
from core.advice.lessons import lesson_of
from core.advice.priors import Family, PastJob, family_of
from core.advice.silence import why_silent
from core.errors import InputError, LogbookError
from core.facts import JobLine
from core.records import Work
from core.records.faults import fault_of
from core.stages import backlash, contact_pattern, evaluate_job, preload
from core.stages.advised import JOINED_BY, counting
from core.stages.context import Context
from core.stages.state import JobState
from core.workshop.holding import drawer_for
from core.workshop.scatters import Scatters
from core.workshop.signed import Sealed, contexts_of, key_of

ADVISED = (preload.KEY, backlash.KEY)
"""The stages whose next trial is a pair."""

KEPT_ANSWERS = 32
"""So many of the last answers are kept: page, drawer and noting ask the same within a moment."""

MOST_LESSONS = 30
"""So many lessons are drawn while a reading waits to be written: a third of a second."""

LONGEST_PLACE = 90
"""So much of the name of a place is kept, that both go on one line."""

log = logging.getLogger("pinionbook")

TAUGHT_BY = ("teardown", *ADVISED)
"""What a lesson is drawn from."""


class Advising(Scatters):
    """What can be asked before the next trial.

    What a signed job taught is kept: it is drawn once, and again only after the job was reopened and signed anew.
    """

    _answers: Mapping[tuple[int, str, int, str], Advice | None] = MappingProxyType({})

    @cached_property
    def _lessons(self) -> dict[Sealed, PastJob]:
        return {}

    def advice(self, job_id: int, stage_key: str) -> Advice | None:
        """Return what to try next on a stage, or None where nothing can be said."""
        with self._logbook.look() as work:
            return self._advice(work, self._state(work, job_id), stage_key)

    def why_silent(self, job_id: int, stage_key: str) -> str:
        """Return why nothing is advised on a stage, and what would change that."""
        with self._logbook.look() as work:
            state = self._state(work, job_id)
            return why_silent(stage_key, state, self._known(work, state.context))

    def taught(self, family: str) -> Family:
        """Return what the signed jobs of a casing family teach together."""
        with self._logbook.look() as work:
            return self._taught(work, family)

    def _advice(self, work: Work, state: JobState, stage_key: str) -> Advice | None:
        """Return what is advised; asked again while nothing was written, it is not worked out a second time."""
        # The end of the trail stands for everything advice is drawn from.
        asked = (state.context.job.id, stage_key, *work.head())
        answers = self._answers
        if asked in answers:
            return answers[asked]
        known = self._known(work, state.context)
        if stage_key == contact_pattern.KEY:
            known = replace(known, scatter=self._scatter(work, state.context.job.id))
        answer = advise(stage_key, state, known)
        # Another thread may be looking into what is kept: it is replaced, never emptied.
        self._answers = {**answers, asked: answer} if len(answers) < KEPT_ANSWERS else {asked: answer}
        return answer

    def _note_before(self, work: Work, context: Context, stage_key: str, trial: int, person: str) -> None:
        """Keep what is advised for a trial before anything of it is written: taken or not, it teaches.

        A trial that has begun, or that is not the last, is not what the advice is about. Whatever goes wrong here, the
        reading is what counts and is written all the same.
        """
        if stage_key not in ADVISED or trial <= max(context.trials(stage_key), default=0):
            return
        if len(self._undrawn(_signed(work, context.card.family, context.job.id))) > MOST_LESSONS:
            # Nobody was told anything yet, and a reading is not to wait until the family's history was gone through.
            return
        try:
            advice = self._advice(work, evaluate_job(context), stage_key)
        except Exception as error:
            if isinstance(error, LogbookError) or fault_of(error, self.location) is not None:
                # The disk or the server is gone, and the reading with it.
                raise
            log.exception("no advice could be noted for a trial")
            return
        if advice is not None and advice.offer is not None:
            self._note(work, context.job.id, stage_key, trial, advice.offer, person)

    def _note(self, work: Work, job_id: int, stage_key: str, trial: int, offer: Offer, person: str) -> None:
        """Keep an offer as what was advised for a trial; said again unchanged, it is not noted twice."""
        said: dict[str, Any] = {
            "ring_gear_side_mm": offer.pair.ring_gear_side_mm,
            "opposite_side_mm": offer.pair.opposite_side_mm,
            "places": _places(offer),
            "chance": offer.chance,
            "expected": offer.expected,
            "low": offer.low,
            "high": offer.high,
        }
        before = counting(work.advised_of_job(job_id), stage_key).get(trial)
        if before is not None and all(getattr(before, name) == value for name, value in said.items()):
            return
        try:
            work.note_advised(job_id, stage_key, trial, **said, at=self._clock(), person=person)
        except InputError:
            log.exception("what was advised could not be noted")

    def _known(self, work: Work, context: Context) -> Known:
        """Return the drawer, the pieces that are in, the shop's gauges and what the family's other jobs taught."""
        job = context.job
        taught = self._taught(work, job.card.family, job.id)
        return replace(drawer_for(work, job.id), family=taught, gauges=work.gauges(self._clock()))

    def _taught(self, work: Work, family: str, but: int = 0) -> Family:
        lines = _signed(work, family, but)
        for line, context in contexts_of(work, self._undrawn(lines), {}, TAUGHT_BY):
            self._lessons[key_of(line)] = lesson_of(context)
        return family_of([self._lessons[key_of(line)] for line in lines])

    def _undrawn(self, lines: Sequence[JobLine]) -> list[JobLine]:
        """Return the jobs whose lesson was not drawn yet."""
        return [line for line in lines if key_of(line) not in self._lessons]


def _signed(work: Work, family: str, but: int) -> list[JobLine]:
    """Return the signed jobs of a family, without one."""
    return [line for line in work.job_lines() if line.sealed is not None and line.family == family and line.id != but]


def _places(offer: Offer) -> str:
    """Return where a pair lies in the drawer, or the notches of both nuts, ring-gear side first."""
    if offer.notches is not None:
        return JOINED_BY.join(str(notches) for notches in offer.notches)
    names = [part.place or part.called for part in offer.parts or ()]
    return JOINED_BY.join(name[:LONGEST_PLACE] for name in names)
