"""A calculation in words: its results in both systems of units, and what was taken where nothing was typed."""

from __future__ import annotations

from core.calculations.declare import Calculation, Input, Outcome, Result
from core.language import tr
from core.quantities import parse, show, unit_for


def result_words(result: Result, value: float | str) -> str:
    """Return a result as people read it: in its own unit, with the other system's in brackets where there is one.

    Examples
    --------
    >>> result_words(Result("move", "Move", "length"), 0.1016)
    '0.102 mm (0.0040 in)'
    """
    own, *other = result_in_units(result, value)
    return f"{own} ({other[0]})" if other else own


def result_in_units(result: Result, value: float | str) -> tuple[str, ...]:
    """Return a result in its own unit and, where there is one, in the other system's.

    Examples
    --------
    >>> result_in_units(Result("move", "Move", "length"), 0.1016)
    ('0.102 mm', '0.0040 in')
    """
    if isinstance(value, str):
        return (tr(dict(result.choices).get(value, value)),)
    own = result.shown_unit
    if own is None:
        return (str(value),)
    other = unit_for(result.kind, "inch", own.id)
    shown = show(result.kind, value, own.id, result.decimals)
    if other is own:
        return (shown,)
    finer = 0 if result.decimals is None else result.decimals - own.decimals
    return shown, show(result.kind, value, other.id, max(0, other.decimals + finer))


def ground_words(calculation: Calculation) -> dict[str, str]:
    """Return what a calculation rests on, where it ends and what can hurt somebody, a sentence each, by key."""
    sentences = {
        "formula": tr("Formula: {formula}", formula=tr(calculation.formula)),
        "source": tr("Source: {source}", source=tr(calculation.source)),
    }
    if calculation.valid:
        sentences["valid"] = tr("Valid for: {valid}", valid=tr(calculation.valid))
    if calculation.caution:
        sentences["caution"] = tr("Caution: {caution}", caution=tr(calculation.caution))
    return sentences


def default_words(wanted: Input) -> str:
    """Return what an input is where nothing is typed, with its unit; "" where it must be given.

    Examples
    --------
    >>> default_words(Input("shaft_angle", "Shaft angle", "angle", default="90"))
    '90°'
    """
    unit = wanted.bare_unit
    if not wanted.default or unit is None or not unit.label:
        return wanted.default
    amount = parse(wanted.kind, wanted.default, unit.id)
    if not amount.text[-1].isdecimal():
        return amount.text
    return amount.text + ("" if unit.label == "°" else " ") + unit.label


def assumed_words(outcome: Outcome) -> str:
    """Return the inputs that were left out with what was taken for them; "" where all were given."""
    return ", ".join(f"{i.key} = {default_words(i)}" for i in outcome.assumed)
