"""Where nothing is advised, one sentence says why and what would change that."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from core.advice import Known, advise
from core.advice.silence import why_silent
from core.facts import CardFact, Limit

Paper = Callable[..., Any]


def silent(job: Any, stage: str) -> str:
    state, known = job.state(), Known()
    assert advise(stage, state, known) is None
    return why_silent(stage, state, known)


def test_an_accepted_trial_leaves_nothing_to_try(paper: Paper) -> None:
    assert silent(paper().preload(), "preload") == "Trial 1 is accepted, so there is nothing left to try."


@pytest.mark.parametrize(("stage", "key", "words"), [
    ("preload", "turning_torque", "no two limits for the turning torque"),
    ("backlash", "backlash", "no two limits for the backlash"),
])  # fmt: skip
def test_a_card_without_two_limits_is_named(paper: Paper, stage: str, key: str, words: str) -> None:
    said = silent(paper(limits={key: Limit(key, 0.1, None)}), stage)
    assert words in said
    assert "Orrin B" in said


def test_backlash_waits_for_the_ring_sum(paper: Paper) -> None:
    assert silent(paper(), "backlash") == "The ring sum is not fixed yet: accept a preload trial first."


def test_a_casing_of_which_nothing_is_known(paper: Paper) -> None:
    nothing: dict[str, CardFact | None] = {"ring_smallest": None, "ring_largest": None}
    assert "measure the rings as found or the stack" in silent(paper(facts=nothing), "preload")


def test_nuts_whose_notch_is_unknown(paper: Paper) -> None:
    job = paper("Vask T", facts={"nut_notches": None})
    assert "does not say how far a notch moves the bearing" in silent(job, "preload")
    assert "does not say how far a notch moves the bearing" in silent(job, "preload")


def test_other_stages_know_no_pairs(paper: Paper) -> None:
    assert silent(paper(), "fill") == "Pairs are advised at preload and at backlash; this stage has none."
