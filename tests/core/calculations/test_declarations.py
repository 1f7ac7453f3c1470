"""Every declaration is sound: what it names exists, what it promises comes out, what it asks for matters."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator

import pytest
from calculation_cases import CASES

from core.calculations import CALCULATIONS, Calculation, calculation, work_out
from core.calculations.declare import Input, Result
from core.calculations.telling import default_words, result_words
from core.calculations.typed import read_amounts
from core.errors import NotFoundError, UserError
from core.language import use_translation
from core.quantities import KINDS

KEY = re.compile(r"[a-z]+(_[a-z0-9]+)*")
NAME = re.compile(r"[a-z]+(-[a-z]+)*")

every = pytest.mark.parametrize("declared", CALCULATIONS, ids=lambda c: c.key)


def texts(declared: Calculation) -> Iterator[str]:
    yield from (declared.label, declared.subject, declared.formula, declared.source)
    for part in (*declared.inputs, *declared.results):
        yield part.label
        if part.kind in ("choice", "yes_no"):
            yield from (label for _, label in part.choices)


def test_names_are_unique_and_subjects_stand_together() -> None:
    keys = [c.key for c in CALCULATIONS]
    assert len(set(keys)) == len(keys)
    assert all(NAME.fullmatch(key) for key in keys)
    subjects = [c.subject for c in CALCULATIONS]
    runs = [subject for place, subject in enumerate(subjects) if place == 0 or subjects[place - 1] != subject]
    assert len(runs) == len(set(runs))


@every
def test_keys_kinds_and_units_exist(declared: Calculation) -> None:
    for parts in (declared.inputs, declared.results):
        keys = [part.key for part in parts]
        assert keys
        assert len(set(keys)) == len(keys)
        for part in parts:
            assert KEY.fullmatch(part.key), part.key
            kind = KINDS[part.kind]
            unit = part.bare_unit if isinstance(part, Input) else part.shown_unit
            assert (unit in kind.units) if kind.is_number else (unit is None and not part.unit)
            choices = [key for key, _ in part.choices]
            assert len(set(choices)) == len(choices)
            assert bool(choices) or part.kind not in ("choice", "yes_no"), part.key
    for part in declared.inputs:
        assert not (part.is_list and part.read), part.key
        assert not (part.read and KINDS[part.kind].is_number), part.key


@every
def test_there_is_a_word_for_everything(declared: Calculation) -> None:
    for text in texts(declared):
        assert text.strip()
        assert text == text.strip()
        assert text.isprintable()
    for sentence in (declared.valid, declared.caution, *(i.measured for i in declared.inputs)):
        assert not sentence or sentence.endswith("."), sentence


@every
def test_defaults_can_be_read_and_say_so(declared: Calculation) -> None:
    for wanted in declared.inputs:
        if not wanted.default:
            continue
        unit = wanted.bare_unit.id if wanted.bare_unit else ""
        choices = [key for key, _ in wanted.choices]
        amounts = read_amounts(wanted.kind, wanted.default, unit, choices, is_list=wanted.is_list)
        said = default_words(wanted)
        assert read_amounts(wanted.kind, said, "", choices)[0].value == amounts[0].value
        # Nothing is assumed in silence: the label says what is taken, or that there is none.
        shown = amounts[0].text.split()[0]
        assert "(" in wanted.label
        assert shown in wanted.label or wanted.kind == "choice", wanted.label


@every
def test_the_rule_takes_what_is_asked_and_gives_what_is_promised(declared: Calculation) -> None:
    parameters = inspect.signature(declared.compute).parameters.values()
    named = {p.name for p in parameters if p.kind is not p.VAR_KEYWORD}
    asked = {i.key for i in declared.inputs}
    assert named == asked or (named < asked and any(p.kind is p.VAR_KEYWORD for p in parameters))
    for case in (case for case in CASES if case.key == declared.key):
        assert set(work_out(declared, case.typed).results) == {r.key for r in declared.results}


@every
def test_every_input_matters(declared: Calculation) -> None:
    """Another value of an input gives another result somewhere, or is refused."""
    for wanted in declared.inputs:
        assert any(matters(declared, case.typed, wanted) for case in CASES if case.key == declared.key), wanted.key


OTHER_WORDS = {
    "thread": ["M8"],
    "property_class": ["8.8", "12.9"],
    "hole": ["N6"],
    "shaft": ["r6"],
    "grade": ["85W"],
}


def matters(declared: Calculation, typed: dict[str, str], wanted: Input) -> bool:
    before = work_out(declared, typed).results
    choices = [key for key, _ in wanted.choices]
    said = typed.get(wanted.key, wanted.default)
    if wanted.key in OTHER_WORDS:
        others = OTHER_WORDS[wanted.key]
    elif choices:
        others = choices
    else:
        unit = wanted.bare_unit.id if wanted.bare_unit else ""
        amounts = read_amounts(wanted.kind, said, unit, is_list=wanted.is_list)
        label = KINDS[wanted.kind].canonical.label
        values = [amount.value or 0.0 for amount in amounts]
        others = [
            "; ".join(f"{change(v):.9f}".rstrip("0").rstrip(".") + f" {label}" for v in values) for change in CHANGES
        ]
    for other in others:
        try:
            if work_out(declared, {**typed, wanted.key: other}).results != before:
                return True
        except UserError:
            return True
    return False


CHANGES = (lambda v: v + 1, lambda v: v * 1.5, lambda v: v * 0.9, lambda v: v * 8)


def test_an_unknown_name_is_refused_with_the_nearest() -> None:
    with pytest.raises(NotFoundError, match=r"no calculation bolts\. Did you mean bolt"):
        calculation("bolts")
    with pytest.raises(NotFoundError, match="pinionbook calc"):
        calculation("zzzzzz")


def test_results_in_words() -> None:
    assert result_words(Result("a", "A", "torque"), 1.6948) == "1.69 N·m (15.0 lbf·in)"
    assert result_words(Result("a", "A", "torque", decimals=4), 1.6948) == "1.6948 N·m (15.000 lbf·in)"
    assert result_words(Result("a", "A", "ratio", "percent", 0), 0.7) == "70 %"
    assert result_words(Result("a", "A", "viscosity"), 8.5) == "8.50 mm²/s"
    assert result_words(Result("a", "A", "temperature"), 100.0) == "100.0 °C (212.0 °F)"
    assert result_words(Result("a", "A", "text"), "90") == "90"
    assert result_words(Result("a", "A", "choice", choices=(("go_on", "Go on."),)), "go_on") == "Go on."


@every
def test_declarations_are_translated_when_they_are_shown(declared: Calculation) -> None:
    use_translation(lambda text: f"<{text}>")
    try:
        assert not any(text.startswith("<") for text in texts(declared))
    finally:
        use_translation(None)
