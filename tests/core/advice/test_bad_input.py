"""Readings, drawers and cards nobody would wish for: an honest answer all the same."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from answering import check_answer

from core.advice import Advice, Known, advise
from core.facts import CardFact, Gauge, Limit, Part

Paper = Callable[..., Any]
SIZES = [round(2.40 + at / 100, 2) for at in range(31)]
DRAWER = [Part(at, "ring", "", f"B{at}", size, 2, measured_mm=(size,)) for at, size in enumerate(SIZES, 1)]
COARSE = Gauge(1, "spring scale", "torque", "torque", 0.5, 0.5)

PRELOAD: dict[str, tuple[tuple[str, ...], ...]] = {
    "none": (),
    "one, loose": (("2.50", "2.50", "0.05"),),
    "one, tight": (("2.60", "2.60", "3.5"),),
    "identical": (("2.50", "2.50", "0.30"),) * 3,
    "identical rings, other torques": (("2.50", "2.50", "0.30"), ("2.50", "2.50", "0.45"), ("2.50", "2.50", "0.20")),
    "torque falls as the sum grows": (("2.50", "2.50", "1.5"), ("2.55", "2.55", "0.8"), ("2.60", "2.60", "0.1")),
    "forward and back far apart": (("2.52", "2.53", "0.05", "2.50"),),
    "no torque at all": (("2.50", "2.50", "0"), ("2.60", "2.60", "0")),
    "more than any wrench": (("2.50", "2.50", "60"), ("2.45", "2.45", "60")),
    "nothing, then everything": (("2.50", "2.50", "0"), ("2.51", "2.51", "60")),
    "thinnest and thickest": (("2.30", "2.30", "0.05"), ("2.80", "2.80", "30")),
    "many": tuple(
        (f"{2.45 + at / 100:.2f}", "2.50", f"{0.05 + at / 10:.2f}") for at in range(12) if at not in (6, 7, 8)
    ),
}
BACKLASH: dict[str, tuple[tuple[str, str, Any], ...]] = {
    "none": (),
    "one": (("2.52", "2.53", "0.14"),),
    "one place only": (("2.52", "2.53", ["0.14"]),),
    "identical": (("2.52", "2.53", "0.14"),) * 3,
    "identical rings, other backlash": (("2.52", "2.53", "0.14"), ("2.52", "2.53", "0.11")),
    "falls the wrong way": (("2.52", "2.53", "0.03"), ("2.48", "2.57", "0.00")),
    "jammed": (("2.52", "2.53", "0"), ("2.48", "2.57", "0")),
    "more than any dial": (("2.52", "2.53", "3"), ("2.48", "2.57", "3")),
    "nothing, then everything": (("2.52", "2.53", "0"), ("2.53", "2.52", "3")),
    "every place another": (("2.52", "2.53", [f"{at / 10}" for at in range(8)]),),
}
DRAWERS: dict[str, list[Part]] = {
    "usual": DRAWER,
    "empty": [],
    "one ring only": [Part(1, "ring", "", "B1", 2.5, 1)],
    "one kind of ring": [Part(1, "ring", "", "B1", 2.5, 9)],
    "none with a size": [Part(1, "ring", "", "B1", None, 9)],
    "all taken": [Part(at, "ring", "", f"B{at}", 2.5, 0) for at in range(1, 5)],
    "four hundred": [Part(at, "ring", "", f"B{at}", round(2.30 + at / 800, 4), 1) for at in range(1, 401)],
    "all too thick": [Part(at, "ring", "", f"B{at}", 30.0, 3) for at in range(1, 5)],
}
CARDS: dict[str, dict[str, Any]] = {
    "usual": {},
    "no geometry": {"facts": dict.fromkeys(("gear_outer_diameter", "face_width", "spiral_angle", "pressure_angle"))},
    "no ring sizes": {"facts": dict.fromkeys(("ring_smallest", "ring_largest", "ring_step", "ring_sum_tolerance"))},
    "an offset pinion": {"facts": {"pinion_offset": CardFact("pinion_offset", 38.0, "38 mm")}},
    "hardly any limits": {"limits": {"turning_torque": Limit("turning_torque", 0.7, 0.7001), "backlash": None}},
    "one-sided limits": {
        "limits": {"turning_torque": Limit("turning_torque", 0.5, None), "backlash": Limit("backlash", None, 0.1)}
    },
    "limits down to nothing": {
        "limits": {"turning_torque": Limit("turning_torque", 0.0, 0.2), "backlash": Limit("backlash", 0.0, 0.02)}
    },
}


def said(job: Any, stage: str, parts: list[Part] | None = None) -> Advice | None:
    answer = advise(stage, job.state(), Known(DRAWER if parts is None else parts, gauges=[COARSE]))
    check_answer(answer)
    return answer


def with_preload(job: Any, trials: str) -> Any:
    for number, (one, other, *torques) in enumerate(PRELOAD[trials], start=1):
        job.preload_trial(one, other, torques[0], torques[-1], number)
    return job


def with_backlash(job: Any, trials: str) -> Any:
    job.preload()
    for number, (one, other, places) in enumerate(BACKLASH[trials], start=1):
        job.backlash_trial(one, other, places, number)
    return job


@pytest.mark.parametrize("trials", PRELOAD)
def test_any_preload_is_answered_with_a_pair(paper: Paper, trials: str) -> None:
    answer = said(with_preload(paper(), trials), "preload")
    assert answer is not None
    assert answer.offer is not None


@pytest.mark.parametrize("trials", BACKLASH)
def test_any_backlash_is_answered_with_a_pair(paper: Paper, trials: str) -> None:
    answer = said(with_backlash(paper(), trials), "backlash")
    assert answer is not None
    assert answer.offer is not None


@pytest.mark.parametrize("parts", DRAWERS)
@pytest.mark.parametrize("card", CARDS)
def test_any_drawer_and_any_card_is_answered(paper: Paper, card: str, parts: str) -> None:
    for trials in ("one, loose", "more than any wrench"):
        answer = said(with_preload(paper(**CARDS[card]), trials), "preload", DRAWERS[parts])
        assert (answer is None) == (card == "one-sided limits")
    for trials in ("one", "jammed"):
        answer = said(with_backlash(paper(**CARDS[card]), trials), "backlash", DRAWERS[parts])
        assert (answer is None) == (card in ("one-sided limits", "hardly any limits"))


@pytest.mark.parametrize("lacking", ["", "nut_thread_pitch", "nut_notches"])
@pytest.mark.parametrize("notches", ["0", "1", "12", "400"])
@pytest.mark.parametrize("torque", ["0", "1.9", "60"])
def test_any_nuts_are_answered(paper: Paper, lacking: str, notches: str, torque: str) -> None:
    job = paper("Vask T", facts={lacking: None} if lacking else {})
    for trial in (1, 2):
        job.preload_trial(notches, notches, torque, torque, trial)
        assert said(job, "preload") is not None
    job.read("preload", "accepted", "yes", trial=2)
    assert (said(job, "backlash") is None) == bool(lacking)


def test_readings_that_contradict_each_other_promise_less_than_those_that_agree(paper: Paper) -> None:
    agree = said(with_preload(paper(), "thinnest and thickest"), "preload")
    falls = said(with_preload(paper(), "torque falls as the sum grows"), "preload")
    again = said(with_preload(paper(), "nothing, then everything"), "preload")
    assert agree is not None
    for answer in (falls, again):
        assert answer is not None
        assert answer.again is not None
        assert answer.offer is not None
        assert answer.offer.chance < 0.9


def test_a_ring_never_measured_widens_the_interval(paper: Paper) -> None:
    job = paper()
    job.preload_trial("2.50", "2.50", "0.30", "0.30", 1)
    job.preload_trial("2.55", "2.54", "1.30", "1.30", 2)
    stamped = [Part(at, "ring", "", f"B{at}", size, 2) for at, size in enumerate(SIZES, 1)]
    sure, unsure = said(job, "preload"), said(job, "preload", stamped)
    assert sure is not None
    assert unsure is not None
    assert sure.offer is not None
    assert unsure.offer is not None
    assert unsure.offer.high - unsure.offer.low > 1.2 * (sure.offer.high - sure.offer.low)
    assert unsure.offer.chance < sure.offer.chance


def test_with_rings_as_found_alone_a_first_pair_is_offered_and_its_doubt_is_said(paper: Paper) -> None:
    job = paper(is_limited_slip=False)
    for side, text in (("ring_gear_side", "2.53"), ("opposite_side", "2.52")):
        job.read("teardown", f"rings_found_{side}", text)
    answer = said(job, "preload")
    assert answer is not None
    assert answer.offer is not None
    assert answer.offer.low < 0.2
    assert answer.offer.high > 1.5
    assert any("One axle differs from the next" in note for note in answer.notes)


def test_a_gauge_too_coarse_for_the_limits_names_what_would_do(paper: Paper) -> None:
    job = paper(gauges=[COARSE])
    for entry, text, gauge in (
        ("ring_gear_side", "2.50", None), ("opposite_side", "2.50", None), ("torque_forward", "0.5", 1),
        ("torque_back", "0.5", 1),
    ):  # fmt: skip
        job.read("preload", entry, text, trial=1, gauge=gauge)
    answer = said(job, "preload")
    assert answer is not None
    assert any("With spring scale no reading can conform" in note for note in answer.notes)
    assert any("would do." in note for note in answer.notes)
