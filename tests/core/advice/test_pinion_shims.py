"""Pinion shims of the drawer: which stacks there really are, which one the move takes, and how it is said."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.advice import Advice, Known, advise
from core.advice.contact import move_for
from core.advice.contact_seen import look
from core.advice.pinion_shims import PinionShims, pinion_shims
from core.advice.shim_words import pinion_words
from core.advice.wanted import wanted_mm
from core.facts import CardFact, Part
from core.stages.contact_pattern import KEY, pinion_shim_mm

Paper = Callable[..., Any]
KEYS = ("drive_along", "drive_depth", "coast_along", "coast_depth")
HIGH = ("48", "72", "48", "70")


def shim(at: int, size_mm: float, count: int = 1) -> Part:
    return Part(at, "shim", "", f"P{at}", size_mm, count, measured_mm=(size_mm,))


@pytest.fixture
def printed(paper: Paper) -> Callable[..., Any]:
    """Return a maker of jobs whose pinion stands too far out, a thicker shim moving it in."""

    def make(now: str = "1.20", second: str = "", effect: str = "in") -> Any:
        facts = {"pinion_shim_effect": CardFact("pinion_shim_effect", None, effect) if effect else None}
        # Without sides read at backlash only the pinion is bound to the drawer.
        job = paper(facts=facts)
        for key, text in zip(KEYS, HIGH, strict=True):
            job.read(KEY, key, text, trial=1)
        for key, text in (("pinion_shim", now), ("second_pinion_shim", second)):
            if text:
                job.read(KEY, key, text, trial=1)
        return job

    return make


def advice(job: Any, *shims: Part, under: tuple[int, ...] = ()) -> Advice:
    said = advise(KEY, job.state(), Known(shims=shims, under_pinion=under))
    assert said is not None
    return said


_FREE: dict[tuple[str, float], float] = {}


def free_thickness(job: Any) -> float:
    """Return the shim the move asks for when every thickness is there, to a step; the prints are always the same."""
    asked = job.job.card.text("pinion_shim_effect"), pinion_shim_mm(job.context, 1) or 0.0
    if asked not in _FREE:
        size_mm = advice(job).shim_mm
        assert size_mm is not None
        _FREE[asked] = size_mm
    return _FREE[asked]


def test_the_shim_of_the_drawer_that_comes_nearest_is_named_with_its_place(printed: Any) -> None:
    job = printed()
    size_mm = free_thickness(job)
    assert size_mm > 1.22, "high prints: the pinion goes in, and a thicker shim moves it in"
    said = advice(job, shim(1, 1.0), shim(3, size_mm + 0.004), shim(4, size_mm + 0.6))
    assert f"a shim of {size_mm + 0.004:.3f} mm instead of 1.200 mm; the drawer has one at P3." in said.text
    assert said.shims is not None
    assert [part.place for part in said.shims.parts if part] == ["P3"]
    assert (said.shims.now_mm, said.shims.lies_at) == (1.2, ("",))
    assert said.shim_mm == pytest.approx(size_mm + 0.004)


def test_an_inch_job_hears_it_in_inches(printed: Any) -> None:
    job = printed(now="0.0472 in")
    size_mm = free_thickness(job)
    said = advice(job, shim(3, size_mm))
    assert f"a shim of {size_mm / 25.4:.4f} in instead of 0.0472 in; the drawer has one at P3." in said.text
    assert " mm" not in said.text


def test_a_thinner_one_is_taken_where_thicker_moves_it_out(printed: Any) -> None:
    size_mm = free_thickness(printed(effect="out"))
    assert size_mm < 1.18
    said = advice(printed(effect="out"), shim(3, size_mm))
    assert f"a shim of {size_mm:.3f} mm instead of 1.200 mm; the drawer has one at P3." in said.text


def test_where_none_comes_near_the_thickness_to_order_is_said(printed: Any) -> None:
    job = printed()
    size_mm = free_thickness(job)
    said = advice(job, shim(1, 0.6), shim(2, 2.4))
    assert said.shims is None
    assert said.shim_mm == pytest.approx(size_mm)
    assert f"a shim of {size_mm:.3f} mm instead of 1.200 mm." in said.text
    assert f"The drawer has none near it: order or grind one of {size_mm:.3f} mm." in said.text


def test_a_thin_one_is_laid_to_the_one_that_is_in(printed: Any) -> None:
    job = printed()
    more_mm = free_thickness(job) - 1.2
    said = advice(job, shim(7, more_mm, 3))
    assert f"leave the shim of 1.200 mm in and lay {more_mm:.3f} mm from P7 to it." in said.text
    assert said.shims is not None
    assert (said.shims.lies_at, said.shims.parts[0]) == (("pinion_shim", ""), None)


def test_two_of_the_drawer_are_laid_on_each_other_where_no_single_one_comes_near(printed: Any) -> None:
    job = printed()
    size_mm = free_thickness(job)
    said = advice(job, shim(1, 0.7), shim(2, size_mm - 0.7))
    assert f"two shims of {size_mm:.3f} mm together instead of 1.200 mm; the drawer has" in said.text
    assert said.shims is not None
    assert sorted(part.place for part in said.shims.parts if part) == ["P1", "P2"]
    assert sum(said.shims.shims_mm) == pytest.approx(size_mm)
    # One piece twice needs two of it.
    half = size_mm / 2.0
    assert advice(job, shim(1, half)).shims is None
    twice = advice(job, shim(1, half, 2)).shims
    assert twice is not None and len(twice.parts) == 2


def test_one_of_two_is_taken_out(printed: Any) -> None:
    job = printed(now="1.20", second="0.20", effect="out")
    size_mm = free_thickness(job)
    job = printed(now=f"{size_mm:.4f}", second=f"{1.4 - size_mm:.4f}", effect="out")
    said = advice(job, shim(1, 9.0))
    assert f"leave only the shim of {size_mm:.3f} mm in." in said.text


def test_the_piece_that_lies_there_is_not_there_twice(printed: Any) -> None:
    """The job's own piece is free to be used again, but it is one piece: two of it would need another."""
    job = printed(now="0.30")
    held = shim(1, 0.30)
    seen = look(job.context)
    assert seen is not None
    found = pinion_shims(job.context, Known(shims=[held], under_pinion=(1,)), seen)
    assert found is not None
    assert [stack.thickness_mm for stack in found.stacks] == [0.30]
    (only,) = found.stacks[0].shims
    assert (only.part, only.entry) == (held, "pinion_shim")


def test_nothing_is_taken_from_the_drawer_while_it_is_not_known_what_lies_there(printed: Any) -> None:
    said = advice(printed(now=""), shim(1, 1.25))
    assert " thicker." in said.text
    assert (said.shims, said.shim_mm) == (None, None)
    said = advice(printed(effect=""), shim(1, 1.25))
    assert "depends on where it sits" in said.text
    assert (said.shims, said.shim_mm) == (None, None)


def test_a_shim_that_was_not_measured_again_stays_what_it_was(printed: Any) -> None:
    """At the second trial only the ring gear was moved: under the pinion lies what was measured at the first."""
    job = printed()
    for key, text in zip(KEYS, HIGH, strict=True):
        job.read(KEY, key, text, trial=2)
    job.read(KEY, "backlash_now", "0.09", trial=2)
    size_mm = free_thickness(job)
    assert (
        f"a shim of {size_mm:.3f} mm instead of 1.200 mm; the drawer has one at P3."
        in advice(job, shim(3, size_mm)).text
    )


def test_both_shims_together_are_what_the_pinion_sits_on(printed: Any) -> None:
    found = []
    for job in (printed("1.20"), printed("1.00", "0.20")):
        seen = look(job.context)
        assert seen is not None
        found.append(pinion_shims(job.context, Known(), seen))
    assert [shims.now_mm for shims in found if shims] == pytest.approx([1.2, 1.2])


def test_a_shim_made_to_measure_is_named_where_it_is_much_surer(printed: Any) -> None:
    job = printed()
    size_mm = free_thickness(job)
    off_mm = 0.45 * (size_mm - 1.2)
    poor = advice(job, shim(3, size_mm - off_mm))
    assert poor.shims is not None
    good = advice(job, shim(3, size_mm))
    chances = [int(said.text.rsplit("Chance ", 1)[1].split(" ")[0]) for said in (poor, good)]
    is_named = any(note.startswith("Order or grind a pinion shim of") for note in poor.notes)
    assert is_named == (chances[1] - chances[0] > 15) or abs(chances[1] - chances[0] - 15) <= 1
    assert not any(note.startswith("Order or grind a pinion shim of") for note in good.notes)


def test_the_advice_stays_while_a_trial_has_no_more_than_its_shim(printed: Any) -> None:
    job = printed()
    drawer = (shim(3, free_thickness(job)), shim(4, 3.0))
    before = advice(job, *drawer)
    job.read(KEY, "pinion_shim", f"{before.shim_mm:.3f}", trial=2)
    assert advice(job, *drawer).text == before.text
    job.read(KEY, "drive_along", "50", trial=2)
    assert advise(KEY, job.state(), Known(shims=drawer)) is None, "the next print is being read"


def test_what_is_looked_for_in_the_drawer_is_what_is_advised(printed: Any) -> None:
    job = printed()
    more_mm = free_thickness(job) - 1.2
    said = advice(job, shim(7, more_mm))
    first, second = (wanted_mm(job.state(), KEY, entry, 2, said) for entry in ("pinion_shim", "second_pinion_shim"))
    assert (first, second) == pytest.approx((1.2, more_mm))
    assert wanted_mm(job.state(), KEY, "pinion_shim", 1, said) == 1.2, "what stands there already"
    job.read(KEY, "pinion_shim", "1.10", trial=2)
    assert wanted_mm(job.state(), KEY, "second_pinion_shim", 2, said) == pytest.approx(0.1 + more_mm)
    assert wanted_mm(job.state(), KEY, "pinion_shim", 3, None) == 1.1, "without advice what was there before"


@pytest.mark.parametrize("second", ["", "0.20"])
def test_every_stack_is_made_of_pieces_that_are_there(printed: Any, second: str) -> None:
    job = printed(second=second)
    seen = look(job.context)
    assert seen is not None

    @settings(max_examples=15, deadline=None)
    @given(drawer=st.lists(st.tuples(st.floats(0.05, 2.0), st.integers(0, 3)), max_size=7))
    def law(drawer: list[tuple[float, int]]) -> None:
        shims = [shim(at, size_mm, count) for at, (size_mm, count) in enumerate(drawer, start=1)]
        count = {part.id: part.count for part in shims}
        found = pinion_shims(job.context, Known(shims=shims), seen)
        assert found is not None
        for stack, move_mm in zip(found.stacks, found.moves_mm, strict=True):
            assert 1 <= len(stack.shims) <= 2
            used = Counter(one.part.id for one in stack.shims if one.part is not None)
            assert all(pieces <= count[part_id] for part_id, pieces in used.items())
            own = [one.entry for one in stack.shims if one.part is None]
            assert all(own) and len(set(own)) == len(own), "what came from elsewhere is there once, and lies there"
            assert found.thickness_mm(move_mm) == pytest.approx(stack.thickness_mm)
            assert found.stack_for(move_mm) is not None
        move = move_for(job.context, Known(shims=shims), seen)
        is_made = found.stack_for(move.pinion_mm) is not None
        words = " ".join(pinion_words(move.pinion_mm, found, seen.shim_sign, "mm"))
        assert ("order or grind" in words) == (not is_made and abs(move.pinion_mm) >= 0.01)

    law()


def test_of_two_stacks_alike_the_one_with_fewer_pieces_is_named(printed: Any) -> None:
    job = printed()
    size_mm = free_thickness(job)
    said = advice(job, shim(1, 0.7), shim(2, size_mm - 0.7), shim(3, size_mm + 0.001))
    assert "the drawer has one at P3" in said.text


def test_no_shim_is_thinner_than_nothing() -> None:
    found = PinionShims(0.1, 1, ())
    assert pinion_words(-0.2, found, 1, "mm") == [
        "Move the pinion 0.200 mm toward the ring gear's axis: a shim 0.200 mm thinner."
    ]


def test_one_shim_is_named_before_two_that_are_hardly_better(printed: Any) -> None:
    job = printed()
    size_mm = free_thickness(job)
    two = (shim(1, 0.7), shim(2, size_mm - 0.7))
    assert "the drawer has one at P3" in advice(job, *two, shim(3, size_mm + 0.005)).text
    assert "two shims of" in advice(job, *two, shim(3, size_mm + 0.006)).text


def test_what_lies_there_is_left_before_one_is_laid_to_it_for_next_to_nothing(printed: Any) -> None:
    seen = look(printed().context)
    assert seen is not None
    found = pinion_shims(printed().context, Known(shims=[shim(1, 0.005), shim(2, 0.006)]), seen)
    assert found is not None
    assert [round(stack.thickness_mm, 3) for stack in found.stacks] == [1.2, 1.206]


def test_two_stand_only_where_nothing_simpler_is_as_good(printed: Any) -> None:
    context = printed().context
    seen = look(context)
    assert seen is not None

    @given(sizes=st.lists(st.integers(50, 1500).map(lambda n: n / 1000), max_size=7))
    @settings(max_examples=40)
    def law(sizes: list[float]) -> None:
        found = pinion_shims(context, Known(shims=[shim(at, size) for at, size in enumerate(sizes, start=1)]), seen)
        assert found is not None
        alone = [stack.thickness_mm for stack in found.stacks if len(stack.shims) == 1]
        for stack in found.stacks:
            if len(stack.shims) == 2:
                assert min(abs(size_mm - stack.thickness_mm) for size_mm in alone) > 0.005
        for at, one in enumerate((1.2, *sizes)):
            if abs(one - 1.2) <= 0.5:
                assert min(abs(size_mm - one) for size_mm in alone) <= 0.001, "each single one is there, to a step"
            for other in sizes[at:]:
                if abs(one + other - 1.2) <= 0.49:
                    nearest_mm = min(abs(stack.thickness_mm - one - other) for stack in found.stacks)
                    assert nearest_mm <= 0.0065, "what was left out has one as good, to a step"

    law()
