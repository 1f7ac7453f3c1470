"""What cannot be worked out is refused in a sentence that names the input; nothing else ever comes out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import pytest
from calculation_cases import CASES, Case
from hypothesis import given
from hypothesis import strategies as st

from core.calculations import CALCULATIONS, Calculation, RefusedInputError, calculation, work_out
from core.calculations.declare import Input
from core.errors import UserError
from core.quantities import KINDS

FIRST = {case.key: case for case in reversed(CASES)}
every_case = pytest.mark.parametrize("case", FIRST.values(), ids=lambda c: c.key)


def refused(case: Case, **changed: str) -> RefusedInputError:
    with pytest.raises(RefusedInputError) as caught:
        work_out(calculation(case.key), {**case.typed, **changed})
    error = caught.value
    assert str(error).startswith(error.key)
    assert error.message.endswith(".")
    assert error.remedy.endswith(".")
    assert "{" not in str(error)
    return error


@every_case
def test_a_missing_input_is_named(case: Case) -> None:
    declared = calculation(case.key)
    for wanted in declared.inputs:
        if wanted.default:
            continue
        for left in ("", "  \t"):
            error = refused(case, **{wanted.key: left})
            assert error.message == f"{wanted.key} is missing."
            assert error.called(wanted.label) == f"{wanted.label} is missing."


@every_case
def test_an_unknown_input_is_named(case: Case) -> None:
    error = refused(case, wheel_nuts="4")
    assert error.message == "wheel_nuts is not an input of this calculation."
    assert all(i.key in error.remedy for i in calculation(case.key).inputs)


@every_case
def test_a_unit_of_another_kind_is_named(case: Case) -> None:
    for wanted in calculation(case.key).inputs:
        if wanted.kind in ("text",):
            continue
        error = refused(case, **{wanted.key: "3 US gal" if wanted.kind != "volume" else "3 N·m"})
        assert error.key == wanted.key
        assert error.called("It").startswith("It: ")


@pytest.mark.parametrize(
    ("key", "changed", "words"),
    [
        ("backlash-move", {"gear_pitch_angle": "95"}, "gear_pitch_angle is 95, but must be from 0 to 90°."),
        ("bevel-geometry", {"gear_teeth": "2"}, "gear_teeth is 2, but must be 3 or more."),
        ("bevel-geometry", {"mean_spiral_angle": "70"}, "mean_spiral_angle is 70, but must be from 0 to 60°."),
        ("recommended-backlash", {"outer_module": "0.4"}, "outer_module is"),
        ("backlash-rates", {"face_width": "60"}, "face_width is 60, but must be from 0 to 46.9"),
        ("backlash-wheel", {"readings": "0.08 0.09"}, "readings is 2, but must be 3 or more."),
        ("spacer", {"new_flange_height": "45"}, "new_flange_height is 45, but must be 41.35 mm or less."),
        ("pinion-depth", {"etched_old": "2"}, "etched_old is 2, but must be from -1 to 1 mm."),
        ("pinion-shim", {"casing": "110"}, "shim is -8.75, but must be 0 mm or more."),
        ("adapter-torque", {"adapter_length": "15 in", "adapter_angle": "180"}, "adapter_angle is -76.2"),
        ("tightening-rounds", {"bolts": "1000000000"}, "bolts is 1e+09, but must be from 3 to 64."),
        ("bolt", {"friction": "0.5"}, "friction is 0.5, but must be between 0 and 0.4."),
        ("bolt", {"thread": "M13"}, "thread: M13 is not a thread"),
        ("bolt", {"property_class": "9.9"}, "property_class: 9.9 is not a property class"),
        ("fit", {"hole": "k6"}, "hole: k6 is not a tolerance class"),
        ("fit", {"shaft": "H7"}, "shaft: H7 is not a tolerance class"),
        ("fit", {"diameter": "300"}, "diameter is 300, but must be from 3 to 250 mm."),
        ("heat-to-fit", {"expansion": "12"}, "expansion is 12, but must be from 1e-07 to 0.001 1/K."),
        ("heat-to-fit", {"expansion": "12e-6 K"}, "expansion: "),
        ("press-fit", {"young_hub": "207 MPa"}, "young_hub is 207, but must be from 1000 to 1e+06 MPa."),
        ("press-fit", {"bore_diameter": "60"}, "bore_diameter is 60, but must be"),
        ("groove-torsion", {"root_radius": "0.01"}, "root_radius is 0.01, but must be from 0.02 to 4 mm."),
        ("groove-radius", {"peak_torque": "5000"}, "peak_torque is 5000, but must be"),
        ("oil-grade", {"viscosity_100": "3"}, "viscosity_100 is 3, but must be 3.8 mm²/s or more."),
        ("grade-limits", {"grade": "95"}, "grade: 95 is not an SAE gear-oil grade."),
        ("viscosity-at", {"temperature": "200"}, "temperature is 200, but must be from -40 to 160 °C."),
        ("oil-fill", {"volumes": "0 0.6 L"}, "volumes is 2, but must be 3, one for each height."),
        ("oil-fill", {"level": "60"}, "level is 60, but must be from 0 to 50 mm."),
        ("oil-containers", {"sizes": "1 2 3 4 5"}, "sizes is 5, but must be from 1 to 4."),
        ("oil-containers", {"sizes": "0.01 L"}, "sizes is 0.01, but must be"),
        ("clutch-pack", {"model": "stiff"}, "model: “stiff” is not one of the answers."),
        ("clutch-pack", {"friction": "0"}, "friction is 0, but must be more than 0."),
        ("plate-pack", {"plates": "2.05 -2.04"}, "plates is -2.04, but must be more than 0 mm."),
        ("locking", {"low_torque": "0"}, "low_torque is 0, but must be more than 0.0007 N·m."),
        ("measurement-uncertainty", {"readings": "0"}, "readings is 0, but must be 1 or more."),
        ("guarded-limits", {"highest": "0.05"}, "highest is 0.05, but must be more than 0.06."),
        ("guarded-limits", {"stated_error": "0.03"}, "guard is "),
        ("readings-needed", {"margin": "0.01"}, "margin is 0.01, but must be"),
        ("gauge-study", {"parts": "5"}, "readings is 12, but must be 20, or a higher multiple of it."),
        ("gauge-study", {"people": "1"}, "people is 1, but must be from 2 to 100."),
    ],
)  # fmt: skip
def test_values_outside_a_rule_are_named(key: str, changed: dict[str, str], words: str) -> None:
    assert str(refused(FIRST[key], **changed)).startswith(words)


def test_too_much_heat_is_refused_and_says_what_to_do_instead() -> None:
    typed = {"bore": "40 mm", "interference": "30 µm", "clearance": "20 µm"}
    for bearing, limit in (("open", 120), ("sealed", 80)):
        error = refused(FIRST["heat-to-fit"], **typed, bearing=bearing)
        assert error.message == f"temperature is 124.167, but must be from 20 to {limit} °C."
        assert "cool the seat or press" in error.remedy


def test_powers_of_ten_are_for_materials_only() -> None:
    assert "power of ten" in str(refused(FIRST["heat-to-fit"], bore="4e1 mm"))
    assert work_out(calculation("heat-to-fit"), {**FIRST["heat-to-fit"].typed, "expansion": "12e-6 1/K"})


EXTREMES = ("0", "-1", "-0.001", "1e", "0.000000001", "999999999999", "1000000", "90", "180", "0.5", "")
TYPED = st.one_of(
    st.sampled_from(EXTREMES),
    st.floats(-1e9, 1e9, allow_nan=False).map(lambda v: f"{v:.6f}"),
    st.integers(-3, 400).map(str),
    st.text(max_size=12),
)


@pytest.mark.parametrize("declared", CALCULATIONS, ids=lambda c: c.key)
@given(data=st.data())
def test_whatever_is_typed_is_worked_out_or_refused_by_name(declared: Calculation, data: Any) -> None:
    typed: dict[str, str] = dict(FIRST[declared.key].typed)
    for wanted in data.draw(st.lists(st.sampled_from(declared.inputs), min_size=1, max_size=3)):
        typed[wanted.key] = data.draw(typed_for(wanted))
    names = {i.key for i in declared.inputs} | {r.key for r in declared.results}
    try:
        results = work_out(declared, typed).results
    except UserError as error:
        assert isinstance(error, RefusedInputError), (typed, error)
        assert error.key in names, (typed, error)
    else:
        check_results(declared, results)


def typed_for(wanted: Input) -> st.SearchStrategy[str]:
    words = [key for key, _ in wanted.choices]
    if wanted.is_list:
        return st.one_of(st.lists(TYPED, max_size=6).map("; ".join), TYPED)
    return st.one_of(st.sampled_from(words), TYPED) if words else TYPED


def check_results(declared: Calculation, results: Mapping[str, float | str]) -> None:
    for result in declared.results:
        value = results[result.key]
        if KINDS[result.kind].is_number:
            assert not isinstance(value, str)
            assert math.isfinite(value), result.key
        else:
            assert isinstance(value, str)
            assert not result.choices or value in dict(result.choices), result.key
