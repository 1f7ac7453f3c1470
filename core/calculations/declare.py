"""What a calculation is: declared once, worked out anywhere – in a stage, on the calculators page, on the command line.

A declaration names its inputs and results with their kinds of quantity; reading what was typed, units, refusals and
printing follow from it. The rule itself stays where it is, in `core.mechanics`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from core.errors import InputError, UserError
from core.language import tr
from core.quantities import KINDS, Amount, parse

Value = float | str | tuple[float, ...]

_LIST_BREAK = re.compile(r"\s*;\s*|,\s+|\s+")
_NUMBER = re.compile(r"[+\-−]?[\d.,]+")


@dataclass(frozen=True)
class Input:
    """One input: what it is called, its kind, the unit a bare number is taken in, what it is where nothing is typed.

    `measured` says what is measured where; `is_list` takes several values in one go.
    """

    key: str
    label: str
    kind: str
    unit: str = ""
    default: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    measured: str = ""
    is_list: bool = False


@dataclass(frozen=True)
class Result:
    """One result: what it is called, its kind, and the unit it is shown in first."""

    key: str
    label: str
    kind: str
    unit: str = ""


@dataclass(frozen=True)
class Calculation:
    """A rule of the trade, ready to be asked.

    Parameters
    ----------
    key : str
        Its name on the command line; stable for ever.
    label : str
        Its name on the page.
    subject : str
        The heading it stands under.
    inputs, results
        What it wants and gives, in order.
    compute : callable
        Takes the inputs by key, in canonical units, and returns the results by key.
    formula, source, valid : str
        In plain text; `valid` says where the rule ends.
    figure : str
        Name of the drawing of what is measured where, or "".
    """

    key: str
    label: str
    subject: str
    inputs: tuple[Input, ...]
    results: tuple[Result, ...]
    compute: Callable[..., Mapping[str, Value]]
    formula: str
    source: str
    valid: str = ""
    figure: str = ""

    def input(self, key: str) -> Input:
        """Return an input by its key; KeyError where there is none."""
        return next(i for i in self.inputs if i.key == key)


@dataclass(frozen=True)
class Outcome:
    """A calculation worked out: what went in, as typed and as read, and what came out, in canonical units."""

    calculation: Calculation
    inputs: Mapping[str, tuple[Amount, ...]] = field(default_factory=dict)
    results: Mapping[str, float | str] = field(default_factory=dict)


def work_out(calculation: Calculation, typed: Mapping[str, str]) -> Outcome:
    """Read what was typed and work a calculation out.

    Parameters
    ----------
    calculation : Calculation
        The rule.
    typed : mapping of str to str
        Inputs by key, as typed; an input with a default may be left out.

    Returns
    -------
    Outcome
        Inputs as read, and results in canonical units.

    Raises
    ------
    UserError
        An input is unknown, missing, unreadable, or outside what the rule is valid for; it names the input.
    """
    unknown = sorted(set(typed) - {i.key for i in calculation.inputs})
    if unknown:
        raise InputError(
            tr("{calculation} has no input {key}.", calculation=calculation.key, key=unknown[0]),
            tr("It takes: {keys}.", keys=", ".join(i.key for i in calculation.inputs)),
        )
    read = {i.key: _read(i, typed.get(i.key, "").strip() or i.default) for i in calculation.inputs}
    values = {i.key: _value(i, read[i.key]) for i in calculation.inputs}
    results = calculation.compute(**values)
    return Outcome(calculation, read, {r.key: results[r.key] for r in calculation.results})  # type: ignore[misc]


def _read(wanted: Input, text: str) -> tuple[Amount, ...]:
    if not text:
        raise InputError(
            tr("{input} is missing.", input=wanted.key),
            tr("Give it as {key}=…: {label}.", key=wanted.key, label=tr(wanted.label)),
        )
    choices = [key for key, _ in wanted.choices]
    try:
        parts = split_list(text) if wanted.is_list else [text]
        return tuple(parse(wanted.kind, part, wanted.unit, choices) for part in parts)
    except UserError as error:
        raise InputError(f"{wanted.key}: {error.message}", error.remedy) from error


def _value(wanted: Input, amounts: tuple[Amount, ...]) -> Value:
    if wanted.is_list:
        return tuple(float(a.value or 0.0) for a in amounts)
    amount = amounts[0]
    if not KINDS[wanted.kind].is_number or amount.value is None:
        return amount.text
    return int(amount.value) if wanted.kind == "count" else amount.value


def split_list(text: str) -> list[str]:
    """Split several values typed in one go.

    Semicolons, spaces, or commas followed by a space part them; a comma inside a number with a point parts them too.
    One unit at the end serves all.

    Examples
    --------
    >>> split_list("0.07 0.08 mm")
    ['0.07 mm', '0.08 mm']
    >>> split_list("0,07; 0,08")
    ['0,07', '0,08']
    >>> split_list("0.07,0.08,0.09")
    ['0.07', '0.08', '0.09']
    """
    if ";" in text:
        return [part for part in re.split(r"\s*;\s*", text.strip()) if part]
    words = [word for word in _LIST_BREAK.split(text.strip()) if word]
    unit = ""
    if len(words) > 1 and not _NUMBER.fullmatch(words[-1]) and _NUMBER.fullmatch(words[-2]):
        unit = " " + words.pop()
    numbers = [n for word in words for n in (word.split(",") if "," in word and "." in word else [word]) if n]
    return [number + unit for number in numbers]
