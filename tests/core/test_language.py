"""The one translation function, and that what a person reads passes through it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from core.language import mark, tr, use_translation


@pytest.fixture
def in_capitals() -> Iterator[None]:
    """Translate everything into capitals, fields aside."""

    def translate(text: str) -> str:
        out, depth = [], 0
        for character in text:
            depth += (character == "{") - (character == "}")
            out.append(character if depth else character.upper())
        return "".join(out)

    use_translation(translate)
    yield
    use_translation(None)


def test_english_is_left_as_it_is() -> None:
    assert tr("Fit {ring} mm.") == "Fit {ring} mm.", "without fields the braces are left alone"
    assert tr("Fit {ring} mm.", ring="2.60") == "Fit 2.60 mm."
    assert tr("") == ""
    assert mark("teardown") == "teardown"


def test_nothing_is_asked_for_an_empty_text() -> None:
    use_translation(lambda text: f"<{text}>")
    try:
        assert tr("") == ""
        assert tr("yes") == "<yes>"
    finally:
        use_translation(None)
    assert tr("yes") == "yes"


def test_braces_in_what_was_typed_are_not_fields() -> None:
    assert tr("{typed} is refused.", typed="{value}") == "{value} is refused."


@pytest.mark.usefixtures("in_capitals")
def test_a_translation_reaches_every_sentence_of_a_stage(paper: Callable[..., Any]) -> None:
    job = paper().tell(upto="backlash")
    job.read("teardown", "cone_tag", "Z", "left")
    for state in job.state().stages:
        said = [state.next_thing, state.verdict.reason, state.gate or "", *(r.text for r in state.remarks)]
        for sentence in [*said, *state.missing]:
            assert sentence == sentence.upper(), sentence


@pytest.mark.usefixtures("in_capitals")
def test_declarations_stay_english_until_they_are_shown() -> None:
    from core.stages import STAGES

    for declared in STAGES:
        for text in (declared.label, *declared.cautions, *(e.label for e in declared.entries)):
            assert text != text.upper()
