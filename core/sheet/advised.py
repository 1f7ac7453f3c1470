"""What was advised for the trials of a stage, under what was fitted and read."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from reportlab.platypus import Flowable

from core.facts import Advised
from core.language import tr
from core.quantities import number, unit_for
from core.sheet.flow import Marked
from core.sheet.parts import LONGEST_CELL, Parts
from core.sheet.style import STYLES
from core.sheet.text import shortened
from core.sheet.values import written
from core.stages.advised import counting, is_followed, mean_of, percent
from core.stages.card import is_set_by_nuts
from core.stages.entry import Derived
from core.stages.state import StageState, TrialState

Cell = Callable[[Advised], str]

NOTHING = "–"


def advised_rows(parts: Parts, stage: StageState, trials: Sequence[TrialState]) -> list[list[Flowable]]:
    """Return the rows of what was advised, one column a trial; none where nothing was advised for any of them."""
    mean = mean_of(stage.stage)
    said = counting(parts.advised, stage.stage.key)
    if mean is None or not any(trial.number in said for trial in trials):
        return []
    return [
        [parts.quiet(label), *(_cell(parts, said.get(trial.number), cell) for trial in trials)]
        for label, cell in _rows(parts, mean)
    ]


def _rows(parts: Parts, mean: Derived) -> list[tuple[str, Cell]]:
    context = parts.state.context

    def size(thickness_mm: float) -> str:
        return written("length", thickness_mm, "mm", parts.system, 3).own

    def followed(advised: Advised) -> str:
        answer = is_followed(context, advised)
        return NOTHING if answer is None else tr("yes") if answer else tr("no")

    if is_set_by_nuts(context.job):
        pair: list[tuple[str, Cell]] = [
            (tr("Advised: notches, ring-gear side first"), lambda advised: advised.places),
        ]
    else:
        pair = [
            (tr("Advised: ring-gear side"), lambda advised: size(advised.ring_gear_side_mm)),
            (tr("Advised: opposite side"), lambda advised: size(advised.opposite_side_mm)),
            (tr("Places in the drawer, ring-gear side first"), lambda advised: advised.places),
        ]
    return [
        *pair,
        (tr("Chance stated"), lambda advised: percent(advised.chance)),
        (tr("Mean expected"), lambda advised: written(mean.kind, advised.expected, mean.unit, parts.system).own),
        (tr("Expected within (90 %)"), lambda advised: _interval(advised, mean, parts.system)),
        (tr("Advice followed"), followed),
    ]


def _interval(advised: Advised, mean: Derived, system: str) -> str:
    unit = unit_for(mean.kind, system, mean.unit)
    low, high = (number(mean.kind, value, unit.id) for value in (advised.low, advised.high))
    return tr("{low} – {high}", low=low, high=high)


def _cell(parts: Parts, advised: Advised | None, cell: Cell) -> Flowable:
    # Without a mark, yet standing as far in as the verdicts above it.
    text = NOTHING if advised is None else shortened(cell(advised) or NOTHING, LONGEST_CELL // 2)
    return Marked(None, parts.type.paragraph(STYLES.quiet, text))
