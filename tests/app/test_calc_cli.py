"""``pinionbook calc``: it lists, explains, works out, prints text and JSON, and refuses in one sentence."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from calculation_cases import CASES

from app import cli
from core import language
from core.calculations import CALCULATIONS, Calculation
from core.quantities import KINDS

Capture = pytest.CaptureFixture[str]


def told(capsys: Capture, *words: str) -> str:
    assert cli.run(["calc", *words]) == cli.DONE
    out = capsys.readouterr()
    assert out.err == ""
    return out.out


def refused(capsys: Capture, *words: str) -> str:
    assert cli.run(["calc", *words]) == cli.REFUSED
    out = capsys.readouterr()
    assert out.out == ""
    assert out.err.startswith("pinionbook: ")
    assert out.err.count("\n") == 1
    return out.err.removeprefix("pinionbook: ").strip()


def as_json(capsys: Capture, *words: str) -> Any:
    return json.loads(told(capsys, *words, "--json"))


# --- the list and the explanation ------------------------------------------------------------------------------------


def test_it_lists_every_calculation_under_its_subject(capsys: Capture) -> None:
    lines = told(capsys).splitlines()
    listed = [line.split()[0] for line in lines if line.startswith("  ")]
    assert listed == [c.key for c in CALCULATIONS]
    for declared in CALCULATIONS:
        heading = next(line for line in reversed(lines[: lines.index(row(declared))]) if not line.startswith(" "))
        assert heading == declared.subject


def row(declared: Calculation) -> str:
    return f"  {declared.key:<26} {declared.label}"


def test_it_lists_as_json(capsys: Capture) -> None:
    rows = as_json(capsys)
    assert [row["name"] for row in rows] == [c.key for c in CALCULATIONS]
    assert all(row.keys() == {"name", "label", "subject"} for row in rows)


@pytest.mark.parametrize("declared", CALCULATIONS, ids=lambda c: c.key)
def test_it_explains(declared: Calculation, capsys: Capture) -> None:
    text = told(capsys, declared.key)
    for wanted in declared.inputs:
        assert re.search(rf"^  {wanted.key}=… +{re.escape(wanted.label)}", text, re.MULTILINE), wanted.key
        assert wanted.measured in text
        assert all(key in text for key, _ in wanted.choices)
    for result in declared.results:
        assert re.search(rf"^  {result.key} +{re.escape(result.label)}", text, re.MULTILINE), result.key
    for part in (declared.formula, declared.source, declared.valid, declared.caution):
        assert part in text
    assert told(capsys, declared.key, "--help") == text


# --- results ---------------------------------------------------------------------------------------------------------


def test_text_shows_both_systems_and_what_was_assumed(capsys: Capture) -> None:
    text = told(capsys, "backlash-move", "gear_pitch_angle=70.2532", "move=1 mm")
    assert text.splitlines()[:2] == [
        "Normal backlash gained: 0.6438 mm (0.02535 in)",
        "Circumferential backlash gained: 0.8364 mm (0.03293 in)",
    ]
    assert "Left out, so taken as: pressure_angle = 20°, spiral_angle = 35°" in text
    assert "Formula: Δj_n = 2 ΔA sin δ sin α_n" in text
    assert "Source: Derived geometry" in text
    assert "Valid for: Pairs without pinion offset" in text


def test_text_says_what_can_hurt(capsys: Capture) -> None:
    text = told(capsys, "heat-to-fit", "bore=45mm", "interference=30µm", "clearance=10µm")
    assert "Heat it to: 94.1 °C (201.3 °F)" in text
    assert "Caution: Hot parts burn" in text
    assert "Left out" not in told(capsys, "tooth-pair", "pinion_teeth=11", "gear_teeth=43")


def test_json_has_exactly_inputs_results_and_source(capsys: Capture) -> None:
    said = as_json(
        capsys,
        "ring-swap",
        "ring_gear_side=0.250 in",
        "opposite_side=0.265in",
        'move=0.010"',
        "preload_add=4 thou",
    )
    assert list(said) == ["inputs", "results", "source"]
    assert said["inputs"]["ring_gear_side"] == {"value": 6.35, "unit": "mm", "typed": "0.250 in"}
    assert said["inputs"]["preload_add"] == {"value": 0.1016, "unit": "mm", "typed": "4 thou"}
    assert said["results"]["ring_gear_side"]["value"] == pytest.approx(0.244 * 25.4, abs=1e-9)
    assert said["results"]["opposite_side"] == {"value": pytest.approx(0.279 * 25.4, abs=1e-9), "unit": "mm"}
    assert said["source"] == "TM 9-2320-289-34, Table 6-1"


def test_json_of_what_was_left_out_typed_in_a_list_and_chosen(capsys: Capture) -> None:
    said = as_json(capsys, "backlash-wheel", "readings=3 4 5 thou")
    assert said["inputs"] == {
        "readings": {"value": [0.0762, 0.1016, 0.127], "unit": "mm", "typed": "3 4 5 thou"},
    }
    said = as_json(capsys, "pinion-depth", "etched_old=2 thou", "etched_new=-1 thou", "rule=New minus Old")
    assert said["inputs"]["rule"] == {"value": "new-minus-old", "unit": "", "typed": "New minus Old"}
    assert said["results"]["shim_change"]["value"] == pytest.approx(-0.0762)
    said = as_json(
        capsys, "bevel-geometry", "pinion_teeth=14", "gear_teeth=39", "gear_outer_diameter=176.893", "face_width=25.4"
    )
    assert said["inputs"]["shaft_angle"] == {"value": 90, "unit": "°", "typed": ""}


def test_whole_numbers_are_whole_in_json(capsys: Capture) -> None:
    text = told(capsys, "--json", "clutch-pack", *CLUTCH)
    assert '"torque": {"value": 240, "unit": "N·m"}' in text
    assert '"faces": {"value": 8, "unit": "", "typed": "8"}' in text
    assert '"axial_force": {"value": 5000, "unit": "N", "typed": "5 kN"}' in text
    assert '"friction": {"value": 0.1, "unit": "", "typed": "0.10"}' in text


CLUTCH = ("faces=8", "friction=0.10", "axial_force=5 kN", "inner_radius=45", "outer_radius=75", "model=uniform_wear")


def test_json_may_be_asked_for_anywhere(capsys: Capture) -> None:
    first = told(capsys, "--json", "clutch-pack", *CLUTCH)
    assert told(capsys, "clutch-pack", "--json", *CLUTCH) == first
    assert told(capsys, "clutch-pack", *CLUTCH, "--json") == first


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c.key}: {c.source}")
def test_every_case_in_text_and_json(case: Any, capsys: Capture) -> None:
    words = [f"{key}={text}" for key, text in case.typed.items()]
    said = as_json(capsys, case.key, *words)
    declared = next(c for c in CALCULATIONS if c.key == case.key)
    assert list(said["inputs"]) == [i.key for i in declared.inputs]
    assert list(said["results"]) == [r.key for r in declared.results]
    assert said["source"] == declared.source
    for part in (*declared.inputs, *declared.results):
        entry = said["inputs" if part in declared.inputs else "results"][part.key]
        is_number = KINDS[part.kind].is_number
        assert entry["unit"] == (KINDS[part.kind].canonical.label if is_number else "")
        assert isinstance(entry["value"], (int, float, list) if is_number else str)
    text = told(capsys, case.key, *words)
    assert all(f"{r.label}: " in text for r in declared.results)


# --- refusals --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["bolts"], "There is no calculation bolts. Did you mean bolt"),
        (["qqqqqq", "a=1"], "There is no calculation qqqqqq. List them with 'pinionbook calc'."),
        (["tooth-pair", "pinion_teeth=11"], "gear_teeth is missing. Give: Ring-gear teeth."),
        (["tooth-pair", "--json"], "pinion_teeth is missing."),
        (["tooth-pair", "11", "43"], "11 is not an input. Write each as key=value"),
        (["tooth-pair", "=11"], "=11 is not an input."),
        (["tooth-pair", "--jsn"], "--jsn is not an input."),
        (["tooth-pair", "pinion_teeth=11", "pinion_teeth=12"], "pinion_teeth is given twice."),
        (["tooth-pair", "teeth=11"], "teeth is not an input of this calculation. It takes: pinion_teeth, gear_teeth."),
        (["tooth-pair", "pinion_teeth=11.5", "gear_teeth=43"], "pinion_teeth: “11.5” is not a whole number."),
        (["tooth-pair", "pinion_teeth=11", "gear_teeth=2"], "gear_teeth is 2, but must be 3 or more."),
        (["pull-torque", "force=5 in", "diameter=6 in"], "force: “5 in” is a length; a force is asked for."),
        (["heat-to-fit", "bore=40", "interference=0.03", "clearance=0.02"], "temperature is 124.167, but must be from"),
    ],
)  # fmt: skip
def test_refusals_are_one_sentence(words: list[str], sentence: str, capsys: Capture) -> None:
    assert refused(capsys, *words).startswith(sentence)


# --- translation -----------------------------------------------------------------------------------------------------

BRACKETED = re.compile(r"⟦[^⟦⟧]*⟧")
NO_WORDS = re.compile(r"[\d\s.,:;=+−\-±%°()\[\]·/×“”…]*")
UNITS = sorted({u.label for kind in KINDS.values() for u in kind.units if u.label}, key=len, reverse=True)


@pytest.fixture
def _in_brackets() -> Iterator[None]:
    language.use_translation(lambda text: f"⟦{text}⟧")
    yield
    language.use_translation(None)


def left_over(text: str, data: list[str]) -> str:
    while BRACKETED.search(text):
        text = BRACKETED.sub(" ", text)
    for word in sorted((*data, *UNITS), key=len, reverse=True):
        text = text.replace(word, " ")
    return "" if NO_WORDS.fullmatch(text) else text


@pytest.mark.usefixtures("_in_brackets")
@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c.key}: {c.source}")
def test_no_word_escapes_translation(case: Any, capsys: Capture) -> None:
    declared = next(c for c in CALCULATIONS if c.key == case.key)
    data = [declared.key, *(part.key for part in (*declared.inputs, *declared.results))]
    data += [key for wanted in declared.inputs for key, _ in wanted.choices] + [i.default for i in declared.inputs]
    assert left_over(told(capsys, declared.key), [d for d in data if d]) == ""
    worked_out = told(capsys, case.key, *(f"{key}={text}" for key, text in case.typed.items()))
    assert left_over(worked_out, [d for d in data if d]) == ""
    assert left_over(told(capsys), [c.key for c in CALCULATIONS]) == ""
