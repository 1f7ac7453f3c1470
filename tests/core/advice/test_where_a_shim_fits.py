"""Where a shim fits: no advice names one that is said to fit elsewhere, and such a one changes nothing of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.advice import Advice, Known, advise
from core.advice.contact_seen import look
from core.advice.pinion_shims import pinion_shims
from core.advice.same_sum import pairs_of_same_sum
from core.advice.seen import pieces_of
from core.facts import FITS_WORDS, CardFact, Part
from core.stages.contact_pattern import KEY, PINION_SHIMS
from core.stages.pieces import PIECE_FITS, PIECE_KINDS, suits
from core.stages.sides import SIDES

Paper = Callable[..., Any]
HIGH = {"drive_along": "48", "drive_depth": "72", "coast_along": "48", "coast_depth": "70"}


def shim(at: int, size_mm: float, fits: str = "", count: int = 2) -> Part:
    return Part(at, "shim", "", f"P{at}", size_mm, count, measured_mm=(size_mm,), fits=fits)


@st.composite
def drawers(draw: Any) -> list[Part]:
    """Draw shims for the sides, for under a pinion, and some of which it is not said."""
    sizes = draw(st.lists(st.one_of(st.integers(2450, 2600), st.integers(50, 1500)), min_size=1, max_size=8))
    fits = draw(st.lists(st.sampled_from(list(FITS_WORDS)), min_size=len(sizes), max_size=len(sizes)))
    return [shim(at, size / 1000, where) for at, (size, where) in enumerate(zip(sizes, fits, strict=True), 1)]


@pytest.fixture
def jobs(paper: Paper) -> dict[str, Any]:
    """Return a job that waits for its next pair, one for its next split and one for its next pinion shim, by stage."""
    loose, tight = paper(), paper().preload()
    loose.preload_trial("2.50", "2.50", "0.30", "0.30", 1)
    tight.backlash_trial("2.52", "2.53", "0.20", 1)
    printed = paper(facts={"pinion_shim_effect": CardFact("pinion_shim_effect", None, "in")}).tell(upto="backlash")
    for key, text in {**HIGH, "pinion_shim": "1.20"}.items():
        printed.read(KEY, key, text, trial=1)
    return {"preload": loose, "backlash": tight, KEY: printed}


def said_of(job: Any, stage: str, parts: list[Part]) -> Advice:
    said = advise(stage, job.state(), Known(parts, shims=parts))
    assert said is not None
    return said


def named(said: Advice) -> tuple[list[Part], list[Part]]:
    """Return the pieces named for the sides, and those named for under the pinion."""
    return list(said.offer.parts or ()) if said.offer else [], [p for p in said.shims.parts if p] if said.shims else []


@pytest.mark.parametrize("entry", PIECE_KINDS)
def test_a_piece_suits_by_its_kind_and_by_where_it_fits(entry: str) -> None:
    where = "sides" if entry in SIDES else "pinion" if entry in PINION_SHIMS else ""
    assert PIECE_FITS.get(entry, "") == where
    assert {fits for fits in FITS_WORDS if suits(shim(1, 1.0, fits), entry)} == {"", where}
    assert suits(Part(1, "ring", "", "A1", 2.5, 1), entry) == (entry in SIDES)
    assert not suits(Part(1, "seal", "seal", "S1", None, 1), entry)
    assert not suits(shim(1, 1.0), "torque_forward")


def test_there_is_something_to_name(jobs: dict[str, Any]) -> None:
    """The laws below would hold of advice that never names anything."""
    sides = [shim(at, 2.45 + at / 100) for at in range(12)]
    assert named(said_of(jobs["preload"], "preload", sides))[0]
    assert named(said_of(jobs["backlash"], "backlash", sides))[0]
    (size_mm,) = {said_of(jobs[KEY], KEY, []).shim_mm}
    assert size_mm is not None
    assert named(said_of(jobs[KEY], KEY, [shim(1, size_mm)]))[1]
    assert named(said_of(jobs[KEY], KEY, [shim(1, size_mm, "sides")]))[1] == []
    assert not named(said_of(jobs["preload"], "preload", [shim(p.id, p.nominal_mm or 0, "pinion") for p in sides]))[0]


@pytest.mark.parametrize("stage", ["preload", "backlash", KEY])
def test_what_fits_elsewhere_is_as_good_as_not_there(jobs: dict[str, Any], stage: str) -> None:
    # Advice on prints takes a hundred times as long as on rings.
    @settings(max_examples=4 if stage == KEY else 12)
    @given(parts=drawers())
    def law(parts: list[Part]) -> None:
        changes_nothing(jobs[stage], stage, parts)

    law()


def changes_nothing(job: Any, stage: str, parts: list[Part]) -> None:
    """Assert that what fits elsewhere changes nothing of what is said."""
    for_sides, for_pinion = ([part for part in parts if part.fits in ("", where)] for where in ("sides", "pinion"))
    said = advise(stage, job.state(), Known(parts, shims=parts))
    without = advise(stage, job.state(), Known(for_sides, shims=for_pinion))
    assert said is not None
    assert without is not None
    assert (said.title, said.text, said.notes) == (without.title, without.text, without.notes)
    sides, under = named(said)
    assert {part.fits for part in sides} <= {"", "sides"}
    assert {part.fits for part in under} <= {"", "pinion"}


def test_no_pair_and_no_stack_has_a_piece_that_fits_elsewhere(jobs: dict[str, Any]) -> None:
    context = jobs[KEY].context
    seen = look(context)
    assert seen is not None

    @settings(max_examples=40)
    @given(parts=drawers())
    def law(parts: list[Part]) -> None:
        known, fits = Known(parts, shims=parts), {part.id: part.fits for part in parts}
        assert {fits[piece.key] for piece in pieces_of(context, parts)} <= {"", "sides"}
        same, found = pairs_of_same_sum(context, known), pinion_shims(context, known, seen)
        assert same is not None
        assert {fits[piece.key] for piece in same.pairs.pieces} <= {"", "sides"}
        assert found is not None
        assert {one.part.fits for stack in found.stacks for one in stack.shims if one.part} <= {"", "pinion"}

    law()
