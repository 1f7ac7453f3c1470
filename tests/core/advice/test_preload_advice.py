"""The next ring sum as it is said at the bench: when, which way, in what units, and what beside the pair."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from core.advice import Advice, Known, advise
from core.advice.answer import percent, side_words
from core.advice.priors import PastJob, family_of
from core.errors import NotFoundError
from core.facts import CardFact, Gauge, Limit, Part

Paper = Callable[..., Any]


def drawer(first: float = 2.40, count: int = 30, step: float = 0.01, pieces: int = 2) -> list[Part]:
    sizes = [round(first + step * at, 4) for at in range(count)]
    return [Part(at, "ring", "", f"B{at}", size, pieces, measured_mm=(size,)) for at, size in enumerate(sizes, 1)]


DRAWER = drawer()


def told(paper: Paper, *trials: tuple[str, ...], family: str = "Orrin B", **more: Any) -> Any:
    job = paper(family, **more)
    for number, (one, other, *torques) in enumerate(trials, start=1):
        job.preload_trial(one, other, torques[0], torques[-1], number)
    return job


def came_in_with(job: Any, one: str = "2.53", other: str = "2.52") -> Any:
    for side, text in (("ring_gear_side", one), ("opposite_side", other)):
        job.read("teardown", f"rings_found_{side}", text)
    return job


def advice(job: Any, parts: list[Part] | None = None, **known: Any) -> Advice:
    said = advise("preload", job.state(), Known(DRAWER if parts is None else parts, **known))
    assert said is not None
    return said


def test_without_a_card_that_bounds_its_rings_a_first_sum_is_a_guess_and_not_offered(paper: Paper) -> None:
    job = paper(facts={"ring_smallest": None, "ring_largest": None})
    assert advise("preload", job.state(), Known(DRAWER)) is None
    assert advice(came_in_with(job)).title == "First pair"


def test_a_first_pair_comes_from_what_was_found(paper: Paper) -> None:
    said = advice(came_in_with(paper()))
    assert said.title == "First pair"
    assert said.offer is not None
    assert said.offer.pair.sum_mm == pytest.approx(5.05, abs=0.03)
    assert 0.1 < said.offer.chance < 0.5
    assert said.picture is not None
    assert said.picture.readings == ()


def test_where_nothing_tells_of_the_sum_measuring_is_advised_before_a_pair(paper: Paper) -> None:
    said = advice(paper())
    assert said.title == "Measure before the first pair"
    before, after = said.text.split("Where neither can be measured: ")
    assert "Measure the stack, or else the rings it came with" in before
    stated = int(before.split("pair about ")[1].split(" %")[0])
    assert said.offer is not None, "somebody who can measure nothing must fit something all the same"
    assert said.offer.chance < 0.1
    assert said.chance_in_two is not None and said.chance_in_two < 0.01 * stated, (
        "two strip-downs do not make up for it"
    )
    assert after.startswith("Fit ")
    assert not any("A stack measured to" in note for note in said.notes), "said once"


def test_whatever_tells_of_the_sum_a_first_pair_is_advised(paper: Paper) -> None:
    family = family_of([PastJob(zero_mm=(5.0, 0.01)) for _ in range(3)])
    measured = paper()
    for entry, text in (("stack_casing", "200.00"), ("stack_carrier", "194.00")):
        measured.read("preload", entry, text)
    for side in ("left", "right"):
        measured.read("preload", "cup_stand", "0.50", side)
    narrow = {
        key: CardFact(key, size, f"{size}", "mm") for key, size in (("ring_smallest", 2.50), ("ring_largest", 2.54))
    }
    for said in (
        advice(came_in_with(paper())),
        advice(paper(), family=family),
        advice(measured),
        advice(paper(facts=narrow)),
    ):
        assert said.title == "First pair"
        assert "Measure the stack" not in said.text
    once = advice(told(paper, ("2.50", "2.50", "0.05")))
    assert "Measure the stack" not in once.text, "a trial tells more than the stack"


def test_a_measured_stack_makes_the_first_pair_surer(paper: Paper) -> None:
    guess = advice(came_in_with(paper()))
    job = came_in_with(paper())
    for entry, text in (("stack_casing", "200.00"), ("stack_carrier", "194.00")):
        job.read("preload", entry, text)
    job.read("preload", "cup_stand", "0.50", "left")
    assert advice(job).offer == guess.offer, "one cup is not measured yet"
    job.read("preload", "cup_stand", "0.50", "right")
    assert job.stage("preload").derived[0].derived.key == "stack_sum"
    assert job.stage("preload").derived[0].value == pytest.approx(5.0)
    said = advice(job)
    assert said.offer is not None
    assert guess.offer is not None
    assert said.offer.chance > guess.offer.chance + 0.1
    assert any("A stack measured to ±0.020 mm would make it about" in note for note in guess.notes)
    assert not any("A stack measured" in note for note in said.notes)


def test_earlier_jobs_of_the_family_make_the_first_pair_surer_and_are_named(paper: Paper) -> None:
    jobs = [PastJob(zero_mm=(5.0 + 0.01 * at, 0.01), log_rise=(-0.36, 0.1)) for at in (-3, -2, -1, 0, 0, 1, 2, 3)]
    said, guess = advice(paper(), family=family_of(jobs)), advice(paper())
    assert said.offer is not None
    assert guess.offer is not None
    assert said.offer.chance > 2.0 * guess.offer.chance
    assert said.offer.pair.sum_mm == pytest.approx(5.05, abs=0.03)
    assert said.why.startswith("Earlier jobs of this family (8)")


@pytest.mark.parametrize("stage", ["teardown", "housing_prep", "fill", "paint"])
def test_stages_without_an_adviser_say_nothing(paper: Paper, stage: str) -> None:
    assert advise(stage, paper().tell().state(), Known(DRAWER)) is None


@pytest.mark.parametrize(
    ("side", "one", "other"),
    [
        ("left", "the ring-gear side (left)", "the opposite side (right)"),
        ("right", "the ring-gear side (right)", "the opposite side (left)"),
    ],
)
def test_the_pair_is_said_by_size_place_and_side(paper: Paper, side: str, one: str, other: str) -> None:
    facts = {"ring_gear_side": CardFact("ring_gear_side", None, side)}
    said = advice(told(paper, ("2.50", "2.50", "0.30"), facts=facts))
    assert said.offer is not None
    assert said.offer.parts is not None
    first, second = said.offer.parts
    assert (
        f"Fit {first.thickness_mm:.3f} mm from {first.place} on {one} and "
        f"{second.thickness_mm:.3f} mm from {second.place} on {other}." in said.text
    )
    card = paper(facts=facts).job.card
    assert (side_words(card, is_ring_gear_side=True), side_words(card, is_ring_gear_side=False)) == (one, other)
    assert f"Chance {percent(said.offer.chance)}. Expected {said.offer.expected:.2f} N·m" in said.text
    assert said.wanted == said.offer.pair


def test_a_card_that_does_not_say_its_side_cannot_name_one(paper: Paper) -> None:
    card = paper(facts={"ring_gear_side": None}).job.card
    with pytest.raises(
        NotFoundError, match=r"Orrin B does not say on which side.*Add the ring-gear side to the card\."
    ):
        side_words(card, is_ring_gear_side=True)


@pytest.mark.parametrize(
    ("torque", "title", "way"), [("0.05", "Too loose", 1), ("0.30", "Too loose", 1), ("1.40", "Too tight", -1)]
)
def test_loose_goes_thicker_and_tight_goes_thinner(paper: Paper, torque: str, title: str, way: int) -> None:
    said = advice(told(paper, ("2.55", "2.55", torque)))
    assert said.title == title
    assert said.offer is not None
    assert way * (said.offer.pair.sum_mm - 5.10) > 0.0


def test_a_loose_and_a_tight_trial_leave_little_doubt(paper: Paper) -> None:
    said = advice(told(paper, ("2.50", "2.50", "0.05"), ("2.56", "2.54", "1.40")))
    assert said.offer is not None
    assert 5.03 < said.offer.pair.sum_mm < 5.09
    assert said.offer.chance > 0.8
    assert said.offer.low < 0.75 < said.offer.high
    assert said.why.startswith("2 trials say no clearance at a ring sum of 5.0")
    assert said.runner_up is not None
    assert any(note.startswith("Next best: ") for note in said.notes)
    assert said.picture is not None
    assert [number for number, _, _ in said.picture.readings] == [1, 2]
    assert said.picture.limit == (0.5, 1.0)
    assert [point.x_mm for point in said.picture.band] == sorted(point.x_mm for point in said.picture.band)


def test_far_from_sure_two_trials_are_promised(paper: Paper) -> None:
    said = advice(told(paper, ("2.50", "2.50", "0.05")))
    assert said.offer is not None
    assert said.chance_in_two is not None
    assert said.chance_in_two > said.offer.chance + 0.05
    assert f"With this trial and the one after it: {percent(said.chance_in_two)}." in said.notes


def test_trials_that_contradict_each_other_are_read_again_first(paper: Paper) -> None:
    # Tighter on the smaller sum: a bearing was not seated, and no curve goes through both.
    said = advice(told(paper, ("2.55", "2.55", "0.05"), ("2.50", "2.50", "1.40")))
    assert said.title == "Read trial 2 again"
    assert said.again is not None
    assert said.again.trial == 2
    assert said.text.startswith("Trial 1 has the larger ring sum than trial 2 and yet turns more easily.")
    assert "cups are seated" in said.text
    sure = advice(told(paper, ("2.50", "2.50", "0.05"), ("2.55", "2.55", "1.40")))
    assert sure.offer is not None
    assert said.offer is not None
    assert said.offer.chance < sure.offer.chance


def test_forward_and_back_far_apart_are_read_again_first(paper: Paper) -> None:
    said = advice(told(paper, ("2.52", "2.53", "0.20", "0.80")))
    assert said.title == "Read trial 1 again"
    assert said.text.startswith("Forward and back differ, 0.20 N·m and 0.80 N·m:")
    assert said.again is not None


def test_a_reading_nobody_can_believe_is_read_again_first(paper: Paper) -> None:
    said = advice(told(paper, ("2.52", "2.53", "60")))
    assert said.title == "Read trial 1 again"
    assert said.text.startswith("Trial 1 reads 60.00 N·m, far from what was to be expected: read it again")


def test_one_direction_alone_is_advised_on_too(paper: Paper) -> None:
    job = came_in_with(paper())
    for entry, text in (("ring_gear_side", "2.52"), ("opposite_side", "2.53"), ("torque_forward", "0.20")):
        job.read("preload", entry, text, trial=1)
    assert advice(job).title == "Too loose"


def test_within_the_limits_one_way_the_other_way_is_read_before_anything_is_taken_apart(paper: Paper) -> None:
    job = came_in_with(paper())
    for entry, text in (("ring_gear_side", "2.52"), ("opposite_side", "2.53"), ("torque_back", "0.70")):
        job.read("preload", entry, text, trial=1)
    said = advice(job)
    assert said.title == "Trial 1 is read one way only"
    assert said.text.startswith("Turn it the other way and read that too")
    job.read("preload", "torque_forward", "0.71", trial=1)
    assert advice(job).title == "Trial 1 conforms"


def test_a_trial_that_conforms_is_to_be_accepted(paper: Paper) -> None:
    said = advice(told(paper, ("2.50", "2.50", "0.05"), ("2.52", "2.53", "0.60")))
    assert (said.title, said.why, said.offer) == ("Trial 2 conforms", "", None)
    assert said.text == "Accept it; the ring sum stays as it is."


def test_after_acceptance_there_is_nothing_to_say(paper: Paper) -> None:
    assert advise("preload", paper().preload().state(), Known(DRAWER)) is None


@pytest.mark.parametrize(
    "limit",
    [None, Limit("turning_torque", 0.5, None), Limit("turning_torque", None, 1.0), Limit("turning_torque", 1.0, 0.5)],
    ids=["none", "no high side", "no low side", "crossed"],
)
def test_without_both_limits_there_is_nothing_to_aim_for(paper: Paper, limit: Limit | None) -> None:
    job = told(paper, ("2.50", "2.50", "0.05"), limits={"turning_torque": limit})
    assert advise("preload", job.state(), Known(DRAWER)) is None


def test_millimetres_and_inches_give_the_same_pair(paper: Paper) -> None:
    metric = advice(told(paper, ("2.500", "2.500", "0.30"), ("2.540", "2.540", "1.30")))
    inches = advice(
        told(
            paper,
            ("0.0984251968504 in", "0.0984251968504 in", "2.65522371137 in-lb"),
            ("0.1 in", "0.1 in", "11.5059694159 in-lb"),
        )
    )
    assert inches.offer is not None
    assert metric.offer is not None
    assert inches.offer.parts == metric.offer.parts
    assert inches.offer.chance == pytest.approx(metric.offer.chance, abs=1e-6)
    size = f"{metric.offer.pair.ring_gear_side_mm / 25.4:.4f} in"
    assert f"Fit {size} from " in inches.text
    assert re.search(r"Expected \d+\.\d+ lbf·in", inches.text)
    assert "mm" not in inches.text


def test_a_trial_whose_ring_was_taken_back_does_not_count(paper: Paper) -> None:
    once = advice(told(paper, ("2.50", "2.50", "0.05")))
    job = told(paper, ("2.50", "2.50", "0.05"), ("2.56", "2.54", "1.40"))
    job.withdraw("preload", "opposite_side", trial=2)
    assert advice(job).offer == once.offer


# --- the drawer -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("parts", [[], drawer(2.52, 1, pieces=1), drawer(2.52, 3, pieces=0)])
def test_a_drawer_without_a_pair_is_told_what_to_order_or_grind(paper: Paper, parts: list[Part]) -> None:
    said = advice(told(paper, ("2.50", "2.50", "0.05"), ("2.56", "2.54", "1.40")), parts)
    assert (said.offer, said.runner_up) == (None, None)
    assert "The drawer has no pair for this." in said.text
    assert said.wanted is not None
    assert 5.03 < said.wanted.sum_mm < 5.09
    ordered = [note for note in said.notes if note.startswith("Order or grind ")]
    assert len(ordered) == 1
    sizes = [float(size) for size in re.findall(r"(\d\.\d{3}) mm", ordered[0])]
    assert sum(sizes) == pytest.approx(said.wanted.sum_mm, abs=0.002)


def test_a_drawer_far_off_names_the_ring_to_make_and_its_partner(paper: Paper) -> None:
    said = advice(told(paper, ("2.50", "2.50", "0.05"), ("2.56", "2.54", "1.40")), drawer(2.40, 3, 0.05))
    assert said.offer is not None
    assert said.offer.chance < 0.3
    note = next(note for note in said.notes if note.startswith("Order or grind "))
    one, other = (float(size) for size in re.findall(r"(\d\.\d{3}) mm", note))
    assert one + other == pytest.approx(5.06, abs=0.02)
    assert "to go with 2." in note
    assert other in {2.40, 2.45, 2.50}


def test_what_the_family_cannot_take_is_neither_fitted_nor_ordered(paper: Paper) -> None:
    job = told(paper, ("2.30", "2.30", "0.05"), ("2.36", "2.36", "5.0"))
    said = advice(job, [Part(1, "ring", "", "A1", 0.5, 2), Part(2, "ring", "", "A2", 4.16, 2)])
    assert said.offer is None
    absurd = came_in_with(paper())
    for entry, text in (("stack_casing", "200.00"), ("stack_carrier", "199.99")):
        absurd.read("preload", entry, text)
    for side in ("left", "right"):
        absurd.read("preload", "cup_stand", "0", side)
    for side in ("ring_gear_side", "opposite_side"):
        absurd.withdraw("teardown", f"rings_found_{side}")
    assert any("No rings of this family make the sum" in note for note in advice(absurd).notes)


def test_a_seal_is_no_ring(paper: Paper) -> None:
    parts = [
        Part(1, "seal", "", "S1", 2.53, 9),
        Part(2, "spacer", "", "T1", 2.53, 9),
        Part(3, "ring", "", "R1", None, 9),
    ]
    assert advice(told(paper, ("2.50", "2.50", "0.30")), parts).offer is None


# --- gauges -----------------------------------------------------------------------------------------------------------

WRENCH = Gauge(1, "torque wrench", "torque", "torque", 0.05, 0.03)
SCALE = Gauge(2, "spring scale", "torque", "torque", 0.2, 0.3)


def read_with(paper: Paper, gauge: Gauge) -> Any:
    job = paper(gauges=[gauge])
    for entry, text in (("ring_gear_side", "2.50"), ("opposite_side", "2.50")):
        job.read("preload", entry, text, trial=1)
    for entry in ("torque_forward", "torque_back"):
        job.read("preload", entry, "0.2", trial=1, gauge=gauge.id)
    return job


def test_a_gauge_no_reading_of_which_can_conform_is_said_and_the_shops_finer_one_named(paper: Paper) -> None:
    said = advice(read_with(paper, SCALE), gauges=[SCALE, WRENCH])
    assert "With spring scale no reading can conform: its doubt is wider than the limits. Read with torque wrench." in (
        said.notes
    )
    alone = next(note for note in advice(read_with(paper, SCALE), gauges=[SCALE]).notes if "spring scale" in note)
    assert re.search(r"A gauge that reads to ±0\.1\d+ N·m in steps no coarser would do\.", alone)
    assert not any("no reading can conform" in note for note in advice(read_with(paper, WRENCH)).notes)


# --- nuts -------------------------------------------------------------------------------------------------------------


def test_nuts_are_set_by_notches(paper: Paper) -> None:
    said = advice(told(paper, ("2", "2", "0.9"), ("3", "3", "2.9"), family="Vask T"), [])
    assert said.offer is not None
    assert said.offer.notches is not None
    one, other = said.offer.notches
    assert (said.title, one + other) == ("Too tight", 5)
    assert f"Set {one} notches on the ring-gear side (left) and {other} on the opposite side (right)." in said.text
    assert said.offer.parts is None
    assert "notches of both nuts together" in said.why
    assert not any("Order or grind" in note for note in said.notes)


def test_notches_counted_from_anywhere_are_learned_from_the_trials(paper: Paper) -> None:
    said = advice(told(paper, ("12", "12", "0.6"), ("13", "13", "2.6"), family="Vask T"), [])
    assert said.offer is not None
    assert said.offer.notches is not None
    assert sum(said.offer.notches) == 25


@pytest.mark.parametrize("lacking", ["nut_thread_pitch", "nut_notches"])
@pytest.mark.parametrize(
    ("torque", "title", "text"),
    [("0.5", "Too loose", "Turn a nut in by a notch."), ("3", "Too tight", "Turn a nut out by a notch.")],
)
def test_nuts_of_unknown_pitch_are_turned_a_notch(
    paper: Paper, lacking: str, torque: str, title: str, text: str
) -> None:
    job = paper("Vask T", facts={lacking: None})
    assert advise("preload", job.state(), Known()) is None
    job.preload_trial("12", "12", torque, torque, 1)
    said = advise("preload", job.state(), Known())
    assert said is not None
    assert (said.title, said.text) == (title, text)
    assert said.offer is None
    job.preload_trial("13", "12", "1.7", "1.7", 2)
    conforms = advise("preload", job.state(), Known())
    assert conforms is not None
    assert conforms.title == "Trial 2 conforms"
