"""Values a stage works out with one of the trade's calculations, with what went in kept beside what came out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from core.calculations import Outcome, calculation, work_out
from core.language import tr
from core.quantities import KINDS, show
from core.stages.context import Context
from core.stages.entry import Derived

Gather = Callable[[Context, int], Mapping[str, str | None]]
"""Collects a calculation's inputs as texts: "" while one is missing, None to leave one to its declared default."""


def worked(key: str, label: str, calculation_key: str, result_key: str, gather: Gather, **more: Any) -> Derived:
    """Return a derived value that one of `core.calculations` works out.

    It stands on the page and the sheet only once its inputs are there; what went in, the formula and its source are
    kept with it.
    """
    declared = calculation(calculation_key)
    result = next(r for r in declared.results if r.key == result_key)

    def work(context: Context, trial: int) -> Outcome | None:
        gathered = gather(context, trial)
        if any(text == "" for text in gathered.values()):
            return None
        return work_out(declared, {name: text for name, text in gathered.items() if text is not None})

    def compute(context: Context, trial: int) -> float | None:
        outcome = work(context, trial)
        return None if outcome is None else float(outcome.results[result_key])

    unit = result.shown_unit
    return Derived(key, label, result.kind, unit.id if unit else "", compute, work=work, **more)


def exact(kind: str, value: float | None) -> str:
    """Return a value as a text that is read back unchanged; "" where there is none."""
    return "" if value is None else f"{value:.9f} {KINDS[kind].canonical.label}".strip()


def working_words(outcome: Outcome) -> str:
    """Say what a value was worked out from, by which formula, and whose it is."""
    inputs = ", ".join(
        f"{tr(wanted.label)} {_input_words(wanted.kind, outcome, wanted.key)}" for wanted in outcome.calculation.inputs
    )
    return tr(
        "From: {inputs}. {formula}. Source: {source}.",
        inputs=inputs,
        formula=tr(outcome.calculation.formula),
        source=tr(outcome.calculation.source),
    )


def _input_words(kind: str, outcome: Outcome, key: str) -> str:
    amounts = outcome.inputs[key]
    return " ".join(a.text if a.value is None or not KINDS[kind].is_number else show(kind, a.value) for a in amounts)
