"""The trials of a stage side by side: one column for each, the accepted one named."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable, Spacer

from core.language import tr
from core.sheet.advised import advised_rows
from core.sheet.figures import PRINT_PALETTE, contact_of_trial
from core.sheet.flow import Marked, table
from core.sheet.footnotes import Footnotes, replaced_notes
from core.sheet.parts import LONGEST_CELL, Parts
from core.sheet.style import GRID, STYLES
from core.sheet.text import Span, shortened
from core.sheet.values import written, written_reading
from core.stages.state import DerivedState, FieldState, StageState, TrialState
from core.verdict import Verdict

TRIAL_WIDTH, TRIAL_HEIGHT = 0.62, 118.0
"""How large a trial's own figure is: the share of the page's width, and its height [pt]."""
SIDE_BY_SIDE = 5
"""More columns than this would not leave room for their numbers."""


def begun(stage: StageState) -> list[TrialState]:
    """Return the trials somebody has written to."""
    return [t for t in stage.trials if any(f.reading is not None or f.superseded for f in t.fields)]


def trials_table(parts: Parts, stage: StageState, notes: Footnotes) -> list[Flowable]:
    """Return the trials as columns, a few at a time; entries read at many places are left to the rows below."""
    trials = begun(stage)
    found: list[Flowable] = []
    for start in range(0, len(trials), SIDE_BY_SIDE):
        found += [_block(parts, stage, trials[start : start + SIDE_BY_SIDE], notes), Spacer(0, GRID)]
    return found


def trial_figure(parts: Parts, stage: StageState, trial: TrialState) -> list[Flowable]:
    """Return the contact pattern of one trial, drawn; of a single one the stage's figure tells all."""
    is_read = any(f.reading is not None and f.entry.key.endswith("_along") for f in trial.fields)
    if stage.stage.figure != "contact" or not is_read or len(begun(stage)) == 1:
        return []
    size = parts.width * TRIAL_WIDTH, TRIAL_HEIGHT
    return [contact_of_trial(parts.state, trial.number, PRINT_PALETTE, size)]


def _block(parts: Parts, stage: StageState, trials: Sequence[TrialState], notes: Footnotes) -> Flowable:
    rows: list[list[Flowable]] = [[parts.quiet(""), *(_head(parts, trial) for trial in trials)]]
    for index, field in enumerate(trials[0].fields):
        is_drawn = field.entry.kind != "outline" or any(trial.fields[index].reading for trial in trials)
        if len(field.entry.positions) == 1 and field.entry.key != stage.stage.accept and is_drawn:
            cells = [_field(parts, trial.fields[index], notes) for trial in trials]
            rows.append([parts.small(tr(field.entry.label)), *cells])
    for index, derived in enumerate(trials[0].derived):
        cells = [_derived(parts, trial.derived[index]) for trial in trials]
        rows.append([parts.small(tr(derived.derived.label)), *cells])
    rows += advised_rows(parts, stage, trials)
    first = parts.width * 0.3
    column = (parts.width - first) / SIDE_BY_SIDE
    return table(rows, [first, *[column] * len(trials)], heads=1, padding=1.6)


def _head(parts: Parts, trial: TrialState) -> Flowable:
    name = tr("Trial {number}", number=trial.number)
    words = Span(name, face=STYLES.subheading.fontName)
    more = [Span(" " + tr("accepted"), colour=STYLES.quiet.textColor)] if trial.is_accepted else []
    return Marked(trial.verdict.answer, parts.type.paragraph(STYLES.small, words, *more))


def _field(parts: Parts, field: FieldState, notes: Footnotes) -> Flowable:
    marks = [notes.add(note) for note in replaced_notes(parts.state, field, parts.system)]
    if field.reading is None:
        return _cell(parts, "–", None, marks)
    own = written_reading(field.entry, field.reading, parts.system).own
    return _cell(parts, shortened(own, LONGEST_CELL // 2), field.verdict, marks)


def _derived(parts: Parts, state: DerivedState) -> Flowable:
    if state.value is None:
        return _cell(parts, "–", None)
    derived = state.derived
    return _cell(parts, written(derived.kind, state.value, derived.unit, parts.system).own, state.verdict)


def _cell(parts: Parts, text: str, verdict: Verdict | None, marks: Sequence[Span] = ()) -> Flowable:
    answer = verdict.answer if verdict is not None else None
    return Marked(answer, parts.type.paragraph(STYLES.small, text, *marks))
