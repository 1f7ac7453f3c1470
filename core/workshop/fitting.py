"""Making what was advised the next trial."""

from __future__ import annotations

from core.advice.answer import Offer
from core.errors import ConflictError, RuleError
from core.language import tr
from core.quantities import Amount
from core.records import Work
from core.stages import evaluate_job, stage, take
from core.stages.context import Context
from core.stages.sides import NUT, SIDES, side_key
from core.stages.state import JobState
from core.workshop.base import context_of
from core.workshop.drawer import Drawer
from core.workshop.holding import note_what_is_fitted


class Fitting(Drawer):
    """What can be done with an answer."""

    def take_advice(self, job_id: int, stage_key: str, person: str = "", *, seen: Offer | None = None) -> JobState:
        """Make the pair advised the next trial: its rings are taken from the drawer, or its notches written down.

        The trial is the last one while nothing but its pair is known of it, else the one after it. `seen` is the pair
        the person had before his eyes; None where it does not matter.

        Raises
        ------
        ConflictError
            Somebody else took one of the rings, or another pair is advised by now than the one seen.
        RuleError
            Nothing is advised that could be fitted, a ring was never measured, or the job is signed.
        """
        with self._working("take_advice", person) as work:
            work.open_job(job_id)
            state = self._state(work, job_id)
            advice = self._advice(work, state, stage_key)
            if advice is None or advice.offer is None:
                raise RuleError(
                    tr("There is no pair to make the next trial."), tr("Fit what you think right, and read it.")
                )
            if seen is not None and _pieces(seen) != _pieces(advice.offer):
                raise ConflictError(
                    tr("Another pair is advised now than the one you saw: rings or readings have changed meanwhile."),
                    tr("Look at it, and push again if it is to be the trial."),
                )
            trial = next_trial(state.context, stage_key)
            self._note(work, job_id, stage_key, trial, advice.offer, person)
            self._clear(work, state.context, stage_key, trial, person)
            if advice.offer.parts is None:
                self._turn(work, job_id, stage_key, trial, advice.offer, person)
            else:
                for side, part in zip(SIDES, advice.offer.parts, strict=True):
                    self._put_in(work, job_id, (stage_key, side, trial), part, person)
            context = context_of(work, job_id)
            note_what_is_fitted(work, context)
            work.commit()
        return evaluate_job(context, {stage_key: trial})

    def _clear(self, work: Work, context: Context, stage_key: str, trial: int, person: str) -> None:
        """Take back what was written of the trial's pair, so that the rules see the new one alone."""
        for side in SIDES:
            entry = stage(stage_key).entry(side_key(context.job, side))
            if context.reading(stage_key, entry.key, trial=trial) is not None:
                work.record(
                    context.job.id, stage_key, entry.key, "", trial, Amount(entry.kind, None, "", ""), gauge_id=None,
                    person=person, at=self._clock(), source="typed", reason=tr("the pair advised was fitted instead"),
                )  # fmt: skip

    def _turn(self, work: Work, job_id: int, stage_key: str, trial: int, offer: Offer, person: str) -> None:
        declared = stage(stage_key)
        for side, notches in zip(SIDES, offer.notches or (), strict=True):
            entry = declared.entry(NUT + side)
            amount = take(context_of(work, job_id), declared, entry, entry.positions[0], trial, str(notches))
            work.record(
                job_id, stage_key, entry.key, "", trial, amount, gauge_id=None, person=person, at=self._clock(),
                source="typed", reason="",
            )  # fmt: skip


def _pieces(offer: Offer) -> tuple[int, ...]:
    return offer.notches or tuple(part.id for part in offer.parts or ())


def next_trial(context: Context, stage_key: str) -> int:
    """Return the number of the trial an advised pair makes: the last while only its pair is known, else a new one."""
    last = max(context.trials(stage_key), default=0)
    sides = {side_key(context.job, side) for side in SIDES}
    read = {entry for (where, entry, _, trial) in context.current if (where, trial) == (stage_key, last)}
    return last if last and read <= sides else last + 1
