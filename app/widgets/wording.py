"""Values and limits in words, as fields and lines show them."""

from __future__ import annotations

from core.errors import InputError
from core.facts import Limit
from core.gauges import doubt_words
from core.language import tr
from core.quantities import KINDS, number, parse, show
from core.stages.entry import Entry, Position
from core.stages.state import DerivedState, FieldState

_FINEST = 3
"""A value typed in another unit may need a few more decimals than the field's own."""


def field_name(entry: Entry, position: Position, trial: int) -> str:
    """Return the name of one place of an entry, the only one of its kind on the page."""
    parts = [tr(entry.label)]
    if position.label:
        parts.append(tr(position.label))
    if trial:
        parts.append(tr("trial {trial}", trial=trial))
    return ", ".join(parts)


def limit_words(limit: Limit | None, kind: str, unit: str) -> str:
    """Return a limit with its source, or "" where there is none.

    Examples
    --------
    >>> limit_words(Limit("backlash", 0.06, 0.10, source="shop practice"), "length", "mm")
    '0.06 – 0.10 mm, shop practice'
    """
    if limit is None or (limit.low is None and limit.high is None):
        return ""
    decimals = _fewest([v for v in (limit.low, limit.high) if v is not None], kind, unit)
    if limit.high is None:
        zone = tr("at least {low}", low=show(kind, limit.low or 0.0, unit, decimals))
    elif limit.low is None:
        zone = tr("at most {high}", high=show(kind, limit.high, unit, decimals))
    else:
        low, high = number(kind, limit.low, unit, decimals), show(kind, limit.high, unit, decimals)
        zone = tr("{low} – {high}", low=low, high=high)
    return tr("{zone}, {source}", zone=zone, source=limit.source) if limit.source else zone


def marked_words(state: FieldState | DerivedState | None) -> str:
    """Say which gauge is doubted, and why; "" where none is."""
    if state is None or not state.doubts:
        return ""
    of_gauge: dict[str, list[str]] = {}
    for doubt in state.doubts:
        of_gauge.setdefault(doubt.gauge, []).append(doubt_words(doubt))
    return "; ".join(tr("{gauge}: {doubts}", gauge=gauge, doubts=", ".join(why)) for gauge, why in of_gauge.items())


def _fewest(values: list[float], kind: str, unit: str) -> int:
    """Return the fewest decimals that show limits as they are meant."""
    usual = KINDS[kind].unit(unit).decimals
    for decimals in range(usual):
        if all(float(number(kind, v, unit, decimals)) == float(number(kind, v, unit, usual)) for v in values):
            return decimals
    return usual


def value_words(kind: str, value: float, unit: str) -> str:
    """Return a value with its unit, with no more decimals than it takes to show it true.

    Examples
    --------
    >>> value_words("length", 0.0762, "mm"), value_words("length", 0.08, "mm")
    ('0.0762 mm', '0.080 mm')
    """
    usual = KINDS[kind].unit(unit).decimals
    shown = (show(kind, value, unit, decimals) for decimals in range(usual, usual + _FINEST))
    finest = float(number(kind, value, unit, usual + _FINEST))
    for decimals, words in zip(range(usual, usual + _FINEST), shown, strict=True):
        if float(number(kind, value, unit, decimals)) == finest:
            return words
    # A value that never comes out even (pound-inches in newton-metres): one decimal more than the field's own.
    return show(kind, value, unit, usual + 1)


def own_unit(entry: Entry) -> str:
    """Return the id of the unit a bare number is taken in."""
    return entry.unit or KINDS[entry.kind].canonical.id


def echo_words(entry: Entry, text: str) -> str:
    """Return what a text typed into a field comes to, or "" where it is no value (yet)."""
    if not KINDS[entry.kind].is_number or not text.strip():
        return ""
    try:
        amount = parse(entry.kind, text, entry.unit)
    except InputError:
        return ""
    return value_words(entry.kind, amount.value or 0.0, own_unit(entry))


def unit_words(entry: Entry, text: str) -> str:
    """Return the unit a bare number is taken in; a text that names its own unit needs none beside it."""
    kind = KINDS[entry.kind]
    return kind.unit(own_unit(entry)).label if kind.is_number and not _names_unit(entry, text) else ""


def _names_unit(entry: Entry, text: str) -> bool:
    """Tell whether a text is a value that needs no unit to be taken in."""
    try:
        parse(entry.kind, text)
    except InputError:
        return False
    return True


def is_in_own_unit(entry: Entry, text: str) -> bool:
    """Tell whether a text gives a bare number or names the field's own unit."""
    if not KINDS[entry.kind].is_number:
        return True
    try:
        amount = parse(entry.kind, text, entry.unit)
    except InputError:
        return True
    return amount.unit == own_unit(entry)
