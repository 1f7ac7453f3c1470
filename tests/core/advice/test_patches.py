"""A print in patches: neither "centred" nor a move follows from where its common centre lies."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from core.advice import Advice, Known, advise
from core.advice.contact_seen import look
from core.mechanics.print_shapes import SHAPES, rounded
from core.outlines import write_outline
from core.stages.prints import numbers_of

Paper = Callable[..., Any]
CENTRED, HIGH, TWO = SHAPES[0].rings, SHAPES[3].rings, SHAPES[6].rings
SPECKED = (rounded(0.5, 0.5, 0.5, 0.6), rounded(0.9, 0.2, 0.08, 0.2))


def drawn(job: Any, **rings: Any) -> Advice:
    for side, found in rings.items():
        job.read("contact_pattern", f"{side}_outline", write_outline(found), trial=1)
        for end, value in numbers_of(found).items():
            job.read("contact_pattern", side + end, f"{100 * value:.0f}", trial=1)
    said = advise("contact_pattern", job.state(), Known())
    assert said is not None
    return said


@pytest.mark.parametrize(
    ("prints", "sides"),
    [
        ({"drive": TWO, "coast": CENTRED}, "drive side"),
        ({"drive": HIGH, "coast": TWO}, "coast side"),
        ({"drive": TWO, "coast": TWO}, "drive side, coast side"),
    ],
)
def test_a_print_in_patches_asks_for_a_second_one(paper: Paper, prints: Any, sides: str) -> None:
    said = drawn(paper(), **prints)
    assert said.title == f"Trial 1: the print on the {sides} lies in patches"
    assert "take a second one with little compound before anything is moved" in said.text
    assert "Accept" not in said.text and "Move the" not in said.text and "Chance" not in said.text
    assert said.why.startswith("By the centres alone the manuals would have:")


def test_a_speck_beside_a_print_changes_nothing(paper: Paper) -> None:
    assert drawn(paper(), drive=SPECKED, coast=CENTRED).title == "Trial 1 is centred"


def test_typed_numbers_have_no_patches(paper: Paper) -> None:
    job = paper()
    for key in ("drive_along", "drive_depth", "coast_along", "coast_depth"):
        job.read("contact_pattern", key, "50", trial=1)
    said = advise("contact_pattern", job.state(), Known())
    assert said is not None and said.title == "Trial 1 is centred"


def test_prints_in_patches_are_no_part_of_what_is_believed(paper: Paper) -> None:
    job = paper()
    drawn(job, drive=HIGH, coast=HIGH)
    whole = look(job.context)
    assert whole is not None and whole.trials == (1,)
    drawn(job, drive=TWO)
    assert look(job.context) is None
