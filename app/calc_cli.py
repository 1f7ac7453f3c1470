"""``pinionbook calc``: the calculations without a job, in text or as JSON."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from itertools import groupby
from typing import Any

from core.calculations import CALCULATIONS, Calculation, Outcome, Result, calculation, work_out
from core.errors import InputError
from core.language import tr
from core.quantities import KINDS, show, unit_for


def add_to(commands: Any) -> None:
    """Add the command to the command line."""
    calc = commands.add_parser("calc", help=tr("work out one of the trade's calculations, or list them"))
    calc.add_argument("name", nargs="?", metavar="NAME", help=tr("which calculation; none lists them"))
    calc.add_argument("inputs", nargs="*", metavar="KEY=VALUE", help=tr("inputs, each in any unit of its kind"))
    calc.add_argument("--json", action="store_true", help=tr("print inputs, results and source as JSON"))
    calc.set_defaults(command=run)


def run(options: argparse.Namespace) -> int:
    """List the calculations, explain one, or work it out."""
    if options.name is None:
        print(_listing(options.json))
        return 0
    declared = calculation(options.name)
    if not options.inputs and any(not i.default for i in declared.inputs):
        print(_explained(declared))
        return 0
    outcome = work_out(declared, read_pairs(options.inputs))
    print(as_json(outcome) if options.json else as_text(outcome))
    return 0


def read_pairs(words: Sequence[str]) -> dict[str, str]:
    """Read ``key=value`` words; a key given twice or a word without ``=`` is refused."""
    typed: dict[str, str] = {}
    for word in words:
        key, equals, value = word.partition("=")
        if not equals or not key:
            raise InputError(
                tr("{word} is not an input.", word=word[:60]), tr("Write each as key=value, such as move=0.05mm.")
            )
        if key in typed:
            raise InputError(tr("{key} is given twice.", key=key), tr("Give each input once."))
        typed[key] = value
    return typed


def as_json(outcome: Outcome) -> str:
    """Return an outcome as JSON; numbers in the canonical unit that stands beside them."""
    inputs = {
        key: [a.value if a.value is not None else a.text for a in amounts]
        if outcome.calculation.input(key).is_list
        else {"value": amounts[0].value if amounts[0].value is not None else amounts[0].text, "typed": amounts[0].text,
              "unit": _unit(outcome.calculation.input(key).kind)}
        for key, amounts in outcome.inputs.items()
    }  # fmt: skip
    results = {
        result.key: {"value": outcome.results[result.key], "unit": _unit(result.kind)}
        for result in outcome.calculation.results
    }
    return json.dumps({"inputs": inputs, "results": results, "source": tr(outcome.calculation.source)}, ensure_ascii=False)


def as_text(outcome: Outcome) -> str:
    """Return an outcome as lines: each result in both systems of units, then formula and source."""
    lines = [f"{tr(r.label)}: {in_words(r, outcome.results[r.key])}" for r in outcome.calculation.results]
    lines += ["", tr("Formula: {formula}", formula=tr(outcome.calculation.formula))]
    lines.append(tr("Source: {source}", source=tr(outcome.calculation.source)))
    if outcome.calculation.valid:
        lines.append(tr("Valid for: {valid}", valid=tr(outcome.calculation.valid)))
    return "\n".join(lines)


def in_words(result: Result, value: float | str) -> str:
    """Return a result in its own unit, with the other system's in brackets where there is one."""
    if isinstance(value, str):
        return value
    own = show(result.kind, value, result.unit)
    other = unit_for(result.kind, "inch", result.unit) if result.unit else None
    if other is None or other.id == result.unit:
        return own
    return f"{own} ({show(result.kind, value, other.id)})"


def _unit(kind: str) -> str:
    return KINDS[kind].canonical.label if KINDS[kind].is_number else ""


def _listing(is_json: bool) -> str:
    if is_json:
        return json.dumps([{"name": c.key, "label": tr(c.label), "subject": tr(c.subject)} for c in CALCULATIONS])
    lines: list[str] = []
    for subject, calculations in groupby(CALCULATIONS, key=lambda c: c.subject):
        lines.append(tr(subject))
        lines += [f"  {c.key:<24} {tr(c.label)}" for c in calculations]
    return "\n".join(lines)


def _explained(declared: Calculation) -> str:
    lines = [tr(declared.label), tr(declared.formula), ""]
    for i in declared.inputs:
        default = tr(" (if left out: {default})", default=i.default) if i.default else ""
        choices = " [" + ", ".join(key for key, _ in i.choices) + "]" if i.choices else ""
        lines.append(f"  {i.key}=…  {tr(i.label)}{choices}{default}  {tr(i.measured)}".rstrip())
    lines += ["", tr("Source: {source}", source=tr(declared.source))]
    return "\n".join(lines)
