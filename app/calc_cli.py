"""``pinionbook calc``: the calculations without a job, in text or as JSON."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from itertools import groupby
from typing import Any

from core.calculations import CALCULATIONS, Calculation, Outcome, calculation, work_out
from core.calculations.declare import Input, Result
from core.calculations.telling import assumed_words, default_words, ground_words, result_words
from core.errors import InputError
from core.language import tr
from core.quantities import KINDS, Amount

DONE = 0
_AS_JSON = "--json"
_HELP = ("-h", "--help")


def add_to(commands: Any) -> None:
    """Add the command to the command line."""
    calc = commands.add_parser(
        "calc",
        help=tr("work out one of the trade's calculations, or list them"),
        usage="pinionbook calc [--json] [NAME [KEY=VALUE ...]]",
    )
    calc.add_argument(_AS_JSON, action="store_true", help=tr("print inputs, results and source as JSON"))
    # All that follows the name is taken as it stands, so that --json may stand anywhere among it.
    calc.add_argument(
        "words",
        nargs=argparse.REMAINDER,
        metavar="NAME KEY=VALUE",
        help=tr("which calculation (none: list them), and its inputs in any unit (none: explain it)"),
    )
    calc.set_defaults(command=run)


def run(options: argparse.Namespace) -> int:
    """List the calculations, explain one, or work it out."""
    is_json = options.json or _AS_JSON in options.words
    words = [word for word in options.words if word != _AS_JSON]
    if not words:
        print(_listing(is_json))
        return DONE
    declared = calculation(words[0])
    pairs = [word for word in words[1:] if word not in _HELP]
    if len(pairs) < len(words) - 1 or not (pairs or is_json):
        print(_explained(declared))
        return DONE
    outcome = work_out(declared, read_pairs(pairs))
    print(as_json(outcome) if is_json else as_text(outcome))
    return DONE


def read_pairs(words: Sequence[str]) -> dict[str, str]:
    """Read ``key=value`` words; a key given twice or a word without ``=`` is refused."""
    typed: dict[str, str] = {}
    for word in words:
        key, equals, value = word.partition("=")
        if not equals or not key:
            raise InputError(
                tr("{word} is not an input.", word=word[:60]), tr('Write each as key=value, such as move="4 thou".')
            )
        if key in typed:
            raise InputError(tr("{key} is given twice.", key=key[:60]), tr("Give each input once."))
        typed[key] = value
    return typed


# --- JSON ------------------------------------------------------------------------------------------------------------


def as_json(outcome: Outcome) -> str:
    """Return an outcome as JSON; numbers in the canonical unit that stands beside them."""
    declared = outcome.calculation
    inputs = {i.key: _input_entry(i, outcome.inputs[i.key], outcome.typed.get(i.key, "")) for i in declared.inputs}
    results = {r.key: {"value": _plain(outcome.results[r.key]), "unit": _unit(r.kind)} for r in declared.results}
    return json.dumps({"inputs": inputs, "results": results, "source": tr(declared.source)}, ensure_ascii=False)


def _input_entry(wanted: Input, amounts: tuple[Amount, ...], typed: str) -> dict[str, object]:
    """Return what went in for an input; what was left out has nothing typed."""
    values = [_plain(amount.text if amount.value is None else amount.value) for amount in amounts]
    return {"value": values if wanted.is_list else values[0], "unit": _unit(wanted.kind), "typed": typed}


def _plain(value: float | str) -> float | int | str:
    """Return a whole number as one."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _unit(kind: str) -> str:
    return KINDS[kind].canonical.label if KINDS[kind].is_number else ""


# --- text ------------------------------------------------------------------------------------------------------------


def as_text(outcome: Outcome) -> str:
    """Return an outcome as lines: each result in both systems of units, then what it rests on."""
    declared = outcome.calculation
    lines = [f"{tr(r.label)}: {result_words(r, outcome.results[r.key])}" for r in declared.results]
    lines.append("")
    if outcome.assumed:
        lines.append(tr("Left out, so taken as: {inputs}", inputs=assumed_words(outcome)))
    return "\n".join([*lines, *ground_words(declared).values()])


def _explained(declared: Calculation) -> str:
    lines = [f"{tr(declared.label)} ({declared.key})", "", tr("Inputs:")]
    for i in declared.inputs:
        lines += _input_lines(i)
    lines += ["", tr("Results:"), *(f"  {r.key:<24} {tr(r.label)}{_in_unit(r)}" for r in declared.results), ""]
    return "\n".join([*lines, *ground_words(declared).values()])


def _input_lines(wanted: Input) -> list[str]:
    default = tr(", left out: {default}", default=default_words(wanted)) if wanted.default else ""
    several = tr(", one or more") if wanted.is_list else ""
    lines = [f"  {wanted.key + '=…':<24} {tr(wanted.label)}{_in_unit(wanted)}{several}{default}"]
    if wanted.measured:
        lines.append(" " * 27 + tr(wanted.measured))
    if wanted.kind == "choice":
        lines += [f"{'':<27}{key}: {tr(label)}" for key, label in wanted.choices]
    elif wanted.choices:
        lines.append(" " * 27 + ", ".join(key for key, _ in wanted.choices))
    return lines


def _in_unit(declared: Input | Result) -> str:
    """Return the unit a bare number is taken or shown in, in square brackets."""
    unit = declared.bare_unit if isinstance(declared, Input) else declared.shown_unit
    return f" [{unit.label}]" if unit and unit.label else ""


def _listing(is_json: bool) -> str:
    if is_json:
        rows = [{"name": c.key, "label": tr(c.label), "subject": tr(c.subject)} for c in CALCULATIONS]
        return json.dumps(rows, ensure_ascii=False)
    lines: list[str] = []
    for subject, calculations in groupby(CALCULATIONS, key=lambda c: c.subject):
        lines.append(tr(subject))
        lines += [f"  {c.key:<26} {tr(c.label)}" for c in calculations]
    return "\n".join([*lines, "", tr("Explain one with: pinionbook calc NAME")])
