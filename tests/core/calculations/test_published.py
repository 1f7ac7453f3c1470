"""Every calculation, asked in typed units, gives what is printed where it comes from."""

from __future__ import annotations

import math
import re

import pytest
from calculation_cases import CASES, Case

from core.calculations import CALCULATIONS, Outcome, calculation, work_out
from core.calculations.declare import Input
from core.quantities import KINDS, parse, to_unit


def check(case: Case, outcome: Outcome) -> None:
    declared = {r.key: r for r in outcome.calculation.results}
    for key, printed in case.results.items():
        value = outcome.results[key]
        if isinstance(value, str):
            assert value == printed, key
            continue
        kind = declared[key].kind
        amount = parse(kind, printed, KINDS[kind].canonical.id)
        assert amount.value is not None
        digits = re.match(r"-?\d+(?:\.(\d+))?", printed)
        assert digits
        half_a_digit = 0.5 * 10.0 ** -len(digits[1] or "")
        here, there = to_unit(kind, value, amount.unit), to_unit(kind, amount.value, amount.unit)
        assert math.isclose(here, there, rel_tol=case.rounding, abs_tol=half_a_digit * (1 + 1e-9)), (key, here, printed)


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c.key}: {c.source}")
def test_what_is_printed_comes_out(case: Case) -> None:
    check(case, work_out(calculation(case.key), case.typed))


def test_every_calculation_has_a_case() -> None:
    assert {c.key for c in CALCULATIONS} == {case.key for case in CASES}


def in_unit(wanted: Input, typed: str, unit: str) -> str:
    """Return what was typed, said in another unit of its kind to the last digit."""
    from core.calculations.typed import read_amounts

    bare = wanted.bare_unit
    assert bare is not None
    amounts = read_amounts(wanted.kind, typed, bare.id, is_list=wanted.is_list)
    label = KINDS[wanted.kind].unit(unit).label
    return "; ".join(f"{to_unit(wanted.kind, a.value or 0.0, unit):.17f} {label}" for a in amounts)


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c.key}: {c.source}")
def test_the_unit_it_is_typed_in_changes_nothing(case: Case) -> None:
    declared = calculation(case.key)
    plain = work_out(declared, case.typed).results
    for wanted in declared.inputs:
        if wanted.kind == "count" or wanted.bare_unit is None or wanted.key not in case.typed:
            continue
        for unit in KINDS[wanted.kind].units:
            said = {**case.typed, wanted.key: in_unit(wanted, case.typed[wanted.key], unit.id)}
            for key, value in work_out(declared, said).results.items():
                if isinstance(value, float) and isinstance(plain[key], float):
                    assert math.isclose(value, plain[key], rel_tol=1e-8, abs_tol=1e-9), (wanted.key, unit.id, key)
                else:
                    assert value == plain[key], (wanted.key, unit.id, key)
