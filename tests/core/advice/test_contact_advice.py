"""What the contact pattern asks for: directions of the manuals, bands of the card, used gears."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from core.advice import Advice, advise
from core.facts import Limit

Paper = Callable[..., Any]
KEYS = ("drive_along", "drive_depth", "coast_along", "coast_depth")


def read(job: Any, *centres: str, trial: int = 1) -> Any:
    for key, text in zip(KEYS, centres, strict=True):
        job.read("contact_pattern", key, text, trial=trial)
    return job


def advice(job: Any) -> Advice:
    said = advise("contact_pattern", job.state(), [])
    assert said is not None
    return said


def test_until_both_sides_have_a_centre_there_is_nothing_to_say(paper: Paper) -> None:
    job = paper()
    for key in KEYS:
        assert advise("contact_pattern", job.state(), []) is None
        job.read("contact_pattern", key, "50", trial=1)
    assert advise("contact_pattern", job.state(), []) is not None


@pytest.mark.parametrize(
    ("centres", "wanted", "unwanted"),
    [
        (("46", "52", "53", "49"), ["Both prints are centred"], ["move the"]),
        (("50", "80", "50", "75"), ["move the pinion in", "depends on where the shim sits"], ["ring gear away"]),
        (("50", "20", "50", "25"), ["move the pinion out", "depends on where the shim sits"], ["toward"]),
        (("20", "50", "25", "50"), ["move the ring gear away", "backlash grows"], ["pinion in,"]),
        (("80", "50", "75", "50"), ["move the ring gear toward", "backlash shrinks"], ["pinion in,"]),
        (("20", "50", "80", "50"), ["The manuals disagree"], ["backlash grows", "backlash shrinks"]),
        (("50", "50", "80", "50"), ["Only one side is at the toe or heel"], ["The manuals disagree"]),
        (("20", "80", "25", "75"), ["move the pinion in", "move the ring gear away"], []),
    ],
)
def test_each_pattern_gets_its_direction(
    paper: Paper, centres: tuple[str, ...], wanted: list[str], unwanted: list[str]
) -> None:
    said = advice(read(paper(), *centres))
    assert said.title == "Trial 1: what the pattern asks for"
    assert said.why == "Directions on which TM 10-3930-671-24, TM 10-3930-638-24&P, TM 10-3930-660-34 agree."
    for part in wanted:
        assert part in said.text
    for part in unwanted:
        assert part not in said.text


def test_the_last_trial_is_the_one_that_is_read(paper: Paper) -> None:
    job = read(read(paper(), "20", "50", "25", "50"), "46", "52", "53", "49", trial=2)
    assert advice(job).title == "Trial 2: what the pattern asks for"
    assert "centred" in advice(job).text


def test_the_cards_band_decides_what_is_central(paper: Paper) -> None:
    centres = ("62", "50", "63", "50")
    assert "toward the pinion" in advice(read(paper(), *centres)).text
    wide = {"contact_along": Limit("contact_along", 0.3, 0.7)}
    assert "centred" in advice(read(paper(limits=wide), *centres)).text


@pytest.mark.parametrize(
    "limit", [None, Limit("contact_along", 0.3, None), Limit("contact_along", None, 0.7)], ids=["none", "low", "high"]
)
def test_without_both_limits_the_usual_band_holds(paper: Paper, limit: Limit | None) -> None:
    job = read(paper(limits={"contact_along": limit}), "38", "50", "37", "50")
    assert "centred" in advice(job).text, "the usual band favours the toe: 35 to 60 %"
    assert "toward the pinion" in advice(read(job, "62", "50", "63", "50")).text


def test_used_gears_are_to_show_the_pattern_found(paper: Paper) -> None:
    job = paper()
    job.read("teardown", "contact_drive_along", "62")
    assert "the pattern found at teardown is the one to reproduce" in advice(read(job, "46", "52", "53", "49")).text
    assert "teardown" not in advice(read(paper(), "46", "52", "53", "49")).text
