"""A stage judged from its readings: the same evaluation feeds the window, the sheet, the list and the exports."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from core.errors import UserError
from core.facts import Limit, Reading
from core.language import tr
from core.stages import registry
from core.stages.context import Context
from core.stages.entry import FOUND, Derived, Entry, Position, Stage
from core.stages.state import DerivedState, FieldState, JobState, StageState, TrialState
from core.verdict import Answer, Verdict, judge_choice, judge_trusted, overall

Place = tuple[str, str, str, int]


def evaluate_job(context: Context, open_trials: Mapping[str, int] | None = None) -> JobState:
    """Judge every stage of a job.

    Parameters
    ----------
    context : Context
        The job with everything written about it.
    open_trials : mapping of str to int, optional
        For a stage key, the number of a trial somebody has begun but not yet written to.
    """
    opened = open_trials or {}
    states = [evaluate_stage(stage, context, opened.get(stage.key, 0)) for stage in registry.STAGES]
    return JobState(context, tuple(states))


def evaluate_stage(stage: Stage, context: Context, open_trial: int = 0) -> StageState:
    """Judge one stage: every place, every trial, what is missing, and the next thing to do."""
    replaced = _superseded(context.readings)
    entries = [entry for entry in stage.entries if entry.applies(context.job)]
    outside = [entry for entry in entries if not entry.is_trial]
    fields = tuple(f for entry in outside for f in _fields(stage, entry, 0, context, replaced))
    derived = _derived(stage, 0, context, is_trial=False)
    in_trials = [entry for entry in entries if entry.is_trial]
    trials = _trials(stage, in_trials, context, open_trial, replaced)
    missing = _missing(outside, fields)
    if stage.has_trials:
        missing += _missing_in_trials(in_trials, trials)
    remarks = tuple(stage.remarks(context)) if stage.remarks else ()
    gate = stage.gate(context) if stage.gate else None
    state = StageState(stage, fields, derived, trials, remarks, missing, gate, "", Verdict(Answer.MISSING, ""))
    return _finished(state, context)


def evaluate_accepted(stage: Stage, context: Context) -> TrialState | None:
    """Judge the accepted trial of a stage and nothing else, as `evaluate_stage` would; None where none is accepted."""
    number = context.accepted_trial(stage.key, stage.accept) if stage.has_trials else None
    if number is None:
        return None
    entries = [entry for entry in stage.entries if entry.is_trial and entry.applies(context.job)]
    return _trial(stage, entries, number, True, context, _superseded(context.readings))


def _finished(state: StageState, context: Context) -> StageState:
    verdict = _stage_verdict(state)
    own = state.stage.next_thing(context) if state.stage.next_thing else None
    return replace(state, next_thing=own or _next_thing(state, verdict.answer), verdict=verdict)


def _superseded(readings: Iterable[Reading]) -> dict[Place, tuple[Reading, ...]]:
    """Group the readings that no longer stand by their place, oldest first."""
    by_place: dict[Place, list[Reading]] = defaultdict(list)
    for reading in sorted(readings, key=lambda r: r.id):
        by_place[reading.stage, reading.entry, reading.position, reading.trial].append(reading)
    return {place: tuple(all_here[:-1]) for place, all_here in by_place.items() if len(all_here) > 1}


def _fields(
    stage: Stage, entry: Entry, trial: int, context: Context, replaced: Mapping[Place, tuple[Reading, ...]]
) -> list[FieldState]:
    fields = [
        _field(stage, entry, position, trial, context, replaced.get((stage.key, entry.key, position.key, trial), ()))
        for position in entry.positions
    ]
    if sum(f.reading is not None for f in fields) < entry.needed_positions:
        return fields
    # Enough places are read: the rest are offered, not missing.
    return [replace(f, verdict=None) if f.reading is None else f for f in fields]


def _field(
    stage: Stage, entry: Entry, position: Position, trial: int, context: Context, superseded: tuple[Reading, ...]
) -> FieldState:
    reading = context.reading(stage.key, entry.key, position.key, trial)
    limit = context.card.limits.get(entry.limit)
    trust = context.trust(reading)
    verdict: Verdict | None = None
    value = None if reading is None else reading.value
    if value is not None and entry.factor is not None:
        value *= entry.factor(context)
    if limit is not None:
        unit = reading.unit if reading is not None and reading.unit else entry.unit
        verdict = judge_trusted(value, limit, trust, entry.kind, unit)
    elif reading is not None and entry.choices:
        verdict = judge_choice(reading.text, entry.choices)
    gauge = None if trust is None else trust.gauge
    return FieldState(entry, position, trial, reading, limit, verdict, gauge, superseded, value, trust)


def _derived(stage: Stage, trial: int, context: Context, *, is_trial: bool) -> tuple[DerivedState, ...]:
    states = (_derive(stage, d, trial, context) for d in stage.derived if d.is_trial == is_trial)
    return tuple(state for state in states if state.is_shown)


def _derive(stage: Stage, derived: Derived, trial: int, context: Context) -> DerivedState:
    try:
        outcome = derived.work(context, trial) if derived.work else None
        # An aid whose inputs are not there has nothing to compute from.
        value = derived.compute(context, trial) if outcome or not derived.work else None
    except UserError as error:
        return DerivedState(derived, trial, None, None, None, trouble=str(error))
    limit: Limit | None = context.card.limits.get(derived.limit)
    trust = context.trust_of(stage.key, derived.gauge_entry, trial) if derived.gauge_entry else None
    verdict = None
    if limit is not None and not (derived.work and value is None):
        verdict = judge_trusted(value, limit, trust, derived.kind, derived.unit)
    return DerivedState(derived, trial, value, limit, verdict, outcome, trust=trust)


def _trials(
    stage: Stage,
    entries: Sequence[Entry],
    context: Context,
    open_trial: int,
    replaced: Mapping[Place, tuple[Reading, ...]],
) -> tuple[TrialState, ...]:
    if not stage.has_trials:
        return ()
    accepted = context.accepted_trial(stage.key, stage.accept)
    numbers = sorted({*context.trials(stage.key), open_trial, 1} - {0})
    return tuple(_trial(stage, entries, number, number == accepted, context, replaced) for number in numbers)


def _trial(
    stage: Stage,
    entries: Sequence[Entry],
    number: int,
    is_accepted: bool,
    context: Context,
    replaced: Mapping[Place, tuple[Reading, ...]],
) -> TrialState:
    fields = tuple(f for entry in entries for f in _fields(stage, entry, number, context, replaced))
    derived = _derived(stage, number, context, is_trial=True)
    verdict = Verdict(Answer.MISSING if _missing(entries, fields) else _worst(fields, derived), "")
    return TrialState(number, fields, derived, is_accepted, verdict)


def _worst(fields: Iterable[FieldState], derived: Iterable[DerivedState]) -> Answer:
    """Return the worst answer of what is left, places that need not be filled aside; what was found is no fault."""
    judged = [f.verdict for f in fields if f.verdict and f.entry.moment != FOUND and f.reading is not None]
    judged += [d.verdict for d in derived if d.verdict and d.derived.moment != FOUND and d.value is not None]
    return overall(judged)


def _missing(entries: Iterable[Entry], fields: Sequence[FieldState]) -> tuple[str, ...]:
    """Return the labels of the entries that still want readings, in the order of entry."""
    found: dict[str, int] = defaultdict(int)
    for field in fields:
        found[field.entry.key] += field.reading is not None
    return tuple(tr(entry.label) for entry in entries if found[entry.key] < entry.needed_positions)


def _missing_in_trials(entries: Iterable[Entry], trials: Iterable[TrialState]) -> tuple[str, ...]:
    """Return what the accepted trial lacks: a reading may be taken back after its trial was accepted."""
    accepted = next((trial for trial in trials if trial.is_accepted), None)
    return (tr("an accepted trial"),) if accepted is None else _missing(entries, accepted.fields)


def _counting(state: StageState) -> tuple[tuple[FieldState, ...], tuple[DerivedState, ...]]:
    """Return the fields and computed values a stage is judged by: of trials only the accepted one's."""
    accepted = state.accepted
    fields = (*state.fields, *(accepted.fields if accepted else ()))
    return fields, (*state.derived, *(accepted.derived if accepted else ()))


def _is_withheld(fields: Iterable[FieldState], derived: Iterable[DerivedState]) -> bool:
    """Whether a verdict that counts was withheld; what was found is no fault."""
    judged = [(f.entry.moment, f.verdict, f.trust) for f in fields]
    judged += [(d.derived.moment, d.verdict, d.trust) for d in derived]
    return any(
        moment != FOUND and trust is not None and trust.is_withheld and verdict.answer is Answer.UNCERTAIN
        for moment, verdict, trust in judged
        if verdict is not None
    )


def _stage_verdict(state: StageState) -> Verdict:
    fields, derived = _counting(state)
    worst = _worst(fields, derived)
    if worst is Answer.DOES_NOT_CONFORM:
        return Verdict(worst, tr("Something here does not conform."))
    if state.missing:
        return Verdict(Answer.MISSING, tr("Missing: {what}.", what=", ".join(state.missing)))
    if worst is Answer.UNCERTAIN and _is_withheld(fields, derived):
        return Verdict(worst, tr("Something here was read with a gauge whose calibration had run out."))
    if worst is Answer.UNCERTAIN:
        return Verdict(worst, tr("Something here is too close to its limit for the gauge used."))
    return Verdict(Answer.CONFORMS, tr("Everything here conforms."))


def _next_thing(state: StageState, answer: Answer) -> str:
    """Say in one sentence what to do now, or why the stage is done."""
    wanted = _first_open(state.fields)
    if wanted is not None:
        return _ask(wanted)
    if state.gate:
        return state.gate
    if state.missing:  # nothing outside the trials, so something in them
        return _next_in_trial(state.accepted or state.trials[-1])
    if answer is Answer.DOES_NOT_CONFORM:
        return _fault(state)
    if answer is Answer.UNCERTAIN and _is_withheld(*_counting(state)):
        return tr("All is entered; one value was read with a gauge out of calibration: read it again with another.")
    if answer is Answer.UNCERTAIN:
        return tr("All is entered; one value is too close to its limit to call: measure it with a finer gauge.")
    return tr("This stage is complete.")


def _first_open(fields: Sequence[FieldState]) -> FieldState | None:
    """Return the first place that still wants a reading, or None."""
    found: dict[str, int] = defaultdict(int)
    for field in fields:
        found[field.entry.key] += field.reading is not None
    for field in fields:
        if field.reading is None and found[field.entry.key] < field.entry.needed_positions:
            return field
    return None


def _ask(field: FieldState) -> str:
    if field.position.label:
        return tr(
            "{ask} Next: {place}.",
            ask=tr(field.entry.help) or tr(field.entry.label),
            place=tr(field.position.label),
        )
    return tr(field.entry.help) or tr("Next: {what}.", what=tr(field.entry.label))


def _next_in_trial(trial: TrialState) -> str:
    wanted = _first_open(trial.fields)
    if wanted is not None:
        return tr("Trial {trial}: {ask}", trial=trial.number, ask=_ask(wanted))
    if trial.verdict.answer is Answer.CONFORMS:
        return tr("Trial {trial} conforms: accept it if it is to stay.", trial=trial.number)
    if trial.verdict.answer is Answer.UNCERTAIN and _is_withheld(trial.fields, trial.derived):
        return tr("Trial {trial} was read with a gauge out of calibration: read it with another.", trial=trial.number)
    if trial.verdict.answer is Answer.UNCERTAIN:
        return tr("Trial {trial} is too close to a limit to call: read it again, or try another.", trial=trial.number)
    if trial.verdict.answer is Answer.MISSING:
        return tr("The spec card gives no limit for trial {trial}: accept it if it is to stay.", trial=trial.number)
    return tr("Trial {trial} does not conform: try the next.", trial=trial.number)


def _fault(state: StageState) -> str:
    fields, derived = _counting(state)
    judged = [(f.entry.label, f.entry.moment, f.verdict) for f in fields]
    judged += [(d.derived.label, d.derived.moment, d.verdict) for d in derived]
    label = next(
        label
        for label, moment, verdict in judged
        if verdict is not None and verdict.answer is Answer.DOES_NOT_CONFORM and moment != FOUND
    )
    return tr("{label} does not conform: put it right, then enter it again.", label=tr(label))
