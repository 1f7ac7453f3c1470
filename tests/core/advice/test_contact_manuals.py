"""Beside the computed move stands what the manuals have, who agrees on it, and where they disagree."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from core.advice import Advice, Known, advise
from core.facts import CardFact
from core.mechanics.manuals import FAR_PINION, THICKER_SHIM, WHICH_GEAR, disagreement_words

Paper = Callable[..., Any]
SPLIT, HIGH = ("78", "50", "22", "50"), ("48", "75", "48", "72")


def advice(paper: Paper, effect: str, centres: tuple[str, ...]) -> Advice:
    fact = CardFact("pinion_shim_effect", None, effect) if effect else None
    job = paper(facts={"pinion_shim_effect": fact})
    for key, text in zip(("drive_along", "drive_depth", "coast_along", "coast_depth"), centres, strict=True):
        job.read("contact_pattern", key, text, trial=1)
    said = advise("contact_pattern", job.state(), Known())
    assert said is not None
    return said


@pytest.mark.parametrize(
    ("effect", "centres", "disputes"),
    [
        ("", SPLIT, [FAR_PINION, THICKER_SHIM]),
        ("in", SPLIT, [FAR_PINION]),
        ("", HIGH, [WHICH_GEAR, THICKER_SHIM]),
        ("out", HIGH, [WHICH_GEAR]),
    ],
)
def test_each_disagreement_is_a_note_of_its_own(paper: Paper, effect: str, centres: Any, disputes: Any) -> None:
    notes = advice(paper, effect, centres).notes
    assert [note for note in notes if note.startswith("The manuals disagree")] == [
        disagreement_words(found) for found in disputes
    ]
    (plain,) = (note for note in notes if note.startswith("By plain directions:"))
    # What the card says of the shim is asked of nobody.
    assert ("depends on where the shim sits" in plain) is not bool(effect)


def test_an_agreed_direction_names_who_agrees(paper: Paper) -> None:
    assert any(note.startswith("Directions on which TM 10-3930-671-24") for note in advice(paper, "in", HIGH).notes)
    assert not any("agree." in note for note in advice(paper, "in", SPLIT).notes)
    centred = advice(paper, "in", ("46", "52", "53", "49"))
    assert centred.why.startswith("Directions on which TM 10-3930-671-24")
