"""What a calculation is: declared once, worked out anywhere – in a stage, on the calculators page, on the command line.

A declaration names its inputs and results with their kinds of quantity; reading what was typed, units, refusals and
printing follow from it. The rule itself stays where it is, in `core.mechanics`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from core.calculations.typed import RefusedInputError, read_amounts
from core.errors import RangeError, UserError
from core.language import tr
from core.quantities import KINDS, Amount, Unit

Results = Mapping[str, float | str]
Choices = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Input:
    """One input: what it is called, its kind, and what it is where nothing is typed.

    `unit` is the unit a bare number is taken in, "" for the canonical one. `choices` are the answers of a choice and
    the usual ones of a text, each with its label. `measured` says what is measured where. `is_list` takes several
    values in one go. `read` turns words into what the rule works with, or refuses them. `rule_names` are the arguments
    the rule knows it by where they are more than its key and a unit.
    """

    key: str
    label: str
    kind: str
    unit: str = ""
    default: str = ""
    choices: Choices = ()
    measured: str = ""
    is_list: bool = False
    read: Callable[[str], object] | None = None
    rule_names: tuple[str, ...] = ()

    @property
    def bare_unit(self) -> Unit | None:
        """The unit a bare number is taken in; None for words."""
        return _unit(self.kind, self.unit)


@dataclass(frozen=True)
class Result:
    """One result: what it is called, its kind, the unit it is shown in first and how finely ("" and None: as usual).

    A result that is one of several answers names them in `choices`.
    """

    key: str
    label: str
    kind: str
    unit: str = ""
    decimals: int | None = None
    choices: Choices = ()

    @property
    def shown_unit(self) -> Unit | None:
        """The unit it is shown in first; None for words."""
        return _unit(self.kind, self.unit)


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
    caution : str
        What can hurt somebody; "" where nothing can.
    figure : str
        Name of the drawing of what is measured where, or "".
    """

    key: str
    label: str
    subject: str
    inputs: tuple[Input, ...]
    results: tuple[Result, ...]
    compute: Callable[..., Results]
    formula: str
    source: str
    valid: str = ""
    caution: str = ""
    figure: str = ""

    def input(self, key: str) -> Input:
        """Return an input by its key; StopIteration where there is none."""
        return next(i for i in self.inputs if i.key == key)


@dataclass(frozen=True)
class Outcome:
    """A calculation worked out: what went in, as typed and as read, and what came out, in canonical units.

    `typed` has no key for an input that was left out and taken as declared.
    """

    calculation: Calculation
    inputs: Mapping[str, tuple[Amount, ...]] = field(default_factory=dict)
    results: Results = field(default_factory=dict)
    typed: Mapping[str, str] = field(default_factory=dict)

    @property
    def assumed(self) -> tuple[Input, ...]:
        """The inputs that were left out and taken as declared."""
        return tuple(i for i in self.calculation.inputs if i.key not in self.typed)


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
    RefusedInputError
        An input is unknown, missing, unreadable, or outside what the rule is valid for; it names the input.
    UserError
        The rule refuses the inputs together.
    """
    unknown = sorted(set(typed) - {i.key for i in calculation.inputs})
    if unknown:
        raise RefusedInputError(
            unknown[0][:60],
            tr("{input} is not an input of this calculation."),
            tr("It takes: {keys}.", keys=", ".join(i.key for i in calculation.inputs)),
        )
    given = {key: text.strip() for key, text in typed.items() if text.strip()}
    read = {i.key: _read(i, given.get(i.key, i.default)) for i in calculation.inputs}
    values = {i.key: _value(i, read[i.key]) for i in calculation.inputs}
    try:
        results = calculation.compute(**values)
    except RangeError as error:
        raise _named(calculation, error) from error
    return Outcome(calculation, read, results, given)


def refused_inputs(calculation: Calculation, typed: Mapping[str, str]) -> dict[str, RefusedInputError]:
    """Return why inputs cannot be read, each by itself.

    Parameters
    ----------
    calculation : Calculation
        The rule.
    typed : mapping of str to str
        Inputs by key, as typed; one that is empty is none.

    Returns
    -------
    dict of str to RefusedInputError
        By key; what a rule refuses once it has all of them is not among them.
    """
    refused = {}
    for wanted in calculation.inputs:
        text = typed.get(wanted.key, "").strip()
        try:
            _value(wanted, _read(wanted, text)) if text else None
        except RefusedInputError as error:
            refused[wanted.key] = error
    return refused


def _unit(kind: str, unit_id: str) -> Unit | None:
    if not KINDS[kind].is_number:
        return None
    return KINDS[kind].unit(unit_id) if unit_id else KINDS[kind].canonical


def _read(wanted: Input, text: str) -> tuple[Amount, ...]:
    """Return the amounts an input comes to, or refuse it by its name."""
    if not text:
        raise RefusedInputError(wanted.key, tr("{input} is missing."), tr("Give: {label}.", label=tr(wanted.label)))
    unit = wanted.bare_unit.id if wanted.bare_unit else ""
    choices = [key for key, _ in wanted.choices]
    try:
        return read_amounts(wanted.kind, text, unit, choices, is_list=wanted.is_list)
    except UserError as error:
        raise RefusedInputError(wanted.key, "{input}: " + error.message, error.remedy) from error


def _value(wanted: Input, amounts: tuple[Amount, ...]) -> object:
    """Return what the rule is given for an input."""
    if wanted.is_list:
        return tuple(amount.value for amount in amounts)
    amount = amounts[0]
    if wanted.read is not None:
        try:
            return wanted.read(amount.text)
        except UserError as error:
            raise RefusedInputError(wanted.key, "{input}: " + error.message, error.remedy) from error
    if wanted.bare_unit is None or amount.value is None:
        return amount.text
    return int(amount.value) if wanted.kind == "count" else amount.value


def _named(calculation: Calculation, error: RangeError) -> RefusedInputError:
    """Return a rule's refusal in the words of the declaration: by the key of the input or result it is about."""
    results = {r.key for r in calculation.results} - {i.key for i in calculation.inputs}
    # The rules' arguments carry their unit behind the name.
    keys = [i.key for i in calculation.inputs if error.argument in i.rule_names] or [
        key
        for key in results | {i.key for i in calculation.inputs}
        if error.argument == key or error.argument.startswith(f"{key}_")
    ]
    key = max(keys, key=len, default=error.argument)
    sentence = tr("{input} is {value:g}, but must be {valid}.", input="{input}", value=error.value, valid=error.valid)
    remedy = tr(calculation.valid) if key in results and calculation.valid else error.remedy
    return RefusedInputError(key, sentence, remedy)
