"""What the contact pattern asks for at the bench: the computed move, the card's bands, used gears, honest gaps."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from core.advice import Advice, Known, advise
from core.advice.contact_scatter import shop_scatter
from core.facts import CardFact, Limit, Part

Paper = Callable[..., Any]
KEYS = ("drive_along", "drive_depth", "coast_along", "coast_depth")


def read(job: Any, *centres: str, trial: int = 1) -> Any:
    for key, text in zip(KEYS, centres, strict=True):
        job.read("contact_pattern", key, text, trial=trial)
    return job


def advice(job: Any, parts: tuple[Part, ...] = ()) -> Advice:
    said = advise("contact_pattern", job.state(), Known(parts))
    assert said is not None
    return said


def choice(key: str, text: str) -> dict[str, CardFact]:
    return {key: CardFact(key, None, text)}


def test_until_both_sides_have_a_centre_there_is_nothing_to_say(paper: Paper) -> None:
    job = paper()
    for key in KEYS:
        assert advise("contact_pattern", job.state(), Known()) is None
        job.read("contact_pattern", key, "50", trial=1)
    assert advise("contact_pattern", job.state(), Known()) is not None


def test_a_centred_pattern_is_left_alone(paper: Paper) -> None:
    said = advice(read(paper(), "46", "52", "48", "49"))
    assert said.title == "Trial 1 is centred"
    assert "Both prints are centred" in said.text
    assert said.text.endswith("Accept the trial.")


@pytest.mark.parametrize(
    ("depths", "way", "plain"),
    [
        (("75", "72"), "toward the ring gear's axis", "move the pinion in"),
        (("24", "27"), "away from the ring gear's axis", "move the pinion out"),
    ],
)
def test_high_or_low_on_both_sides_moves_the_pinion_as_all_manuals_say(
    paper: Paper, depths: tuple[str, str], way: str, plain: str
) -> None:
    said = advice(read(paper(), "48", depths[0], "48", depths[1]))
    assert said.title == "Trial 1: what the pattern asks for"
    assert "Move the pinion" in said.text and way in said.text
    assert "Chance" in said.text
    assert any(plain in note for note in said.notes), "the manuals' direction stands beside the computed move"
    assert any(note.startswith("Expected then: drive") for note in said.notes)


def test_what_was_taken_as_usual_is_named(paper: Paper) -> None:
    job = read(paper(facts={"cutter_radius": None, "gear_cut": None}), "48", "75", "48", "72")
    assert any("taken as usual: cutter radius" in note for note in advice(job).notes)


def test_the_last_trial_is_the_one_that_is_answered(paper: Paper) -> None:
    job = read(read(paper(), "48", "75", "48", "72"), "47", "51", "48", "50", trial=2)
    assert advice(job).title == "Trial 2 is centred"


def test_the_cards_band_decides_what_is_central(paper: Paper) -> None:
    centres = ("64", "50", "64", "50")
    assert "centred" not in advice(read(paper(), *centres)).title
    wide = {"contact_along": Limit("contact_along", 0.3, 0.7)}
    assert "centred" in advice(read(paper(limits=wide), *centres)).title


@pytest.mark.parametrize(
    "limit", [None, Limit("contact_along", 0.3, None), Limit("contact_along", None, 0.7)], ids=["none", "low", "high"]
)
def test_without_both_limits_the_usual_band_holds(paper: Paper, limit: Limit | None) -> None:
    job = read(paper(limits={"contact_along": limit}), "38", "50", "37", "50")
    assert "centred" in advice(job).title, "the usual band favours the toe: 35 to 60 %"


def test_used_gears_are_to_show_the_pattern_found(paper: Paper) -> None:
    job = paper()
    for key, text in zip(KEYS, ("66", "50", "62", "52"), strict=True):
        job.read("teardown", f"contact_{key}", text)
    read(job, "64", "51", "60", "50")
    assert advice(job).title == "Trial 1 reproduces the pattern found"
    read(job, "46", "75", "46", "74", trial=2)
    assert any("the one to reproduce" in note for note in advice(job).notes)


def test_an_accepted_pattern_is_not_moved(paper: Paper) -> None:
    job = read(paper(), "48", "75", "48", "72")
    for key in ("drive_length", "drive_height", "coast_length", "coast_height"):
        job.read("contact_pattern", key, "55", trial=1)
    job.read("contact_pattern", "accepted", "yes", trial=1)
    assert advise("contact_pattern", job.state(), Known()) is None


@pytest.mark.parametrize(("effect", "is_thicker"), [("in", True), ("out", False)])
def test_a_shim_is_named_where_the_card_says_what_it_does(paper: Paper, effect: str, is_thicker: bool) -> None:
    job = read(paper(facts=choice("pinion_shim_effect", effect)), "48", "75", "48", "72")
    job.read("contact_pattern", "pinion_shim", "1.30", trial=1)
    said = advice(job).text
    new = float(said.split("a shim of ")[1].split(" mm")[0])
    assert "instead of 1.300 mm" in said
    assert (new > 1.30) == is_thicker


def test_what_a_shim_does_is_learned_from_a_move_where_the_card_does_not_say(paper: Paper) -> None:
    job = read(paper(facts={"pinion_shim_effect": None}), "48", "75", "48", "72")
    job.read("contact_pattern", "pinion_shim", "1.30", trial=1)
    assert "depends on where it sits" in advice(job).text
    # A thicker shim brought both prints down: it moves the pinion in.
    read(job, "48", "62", "48", "61", trial=2)
    job.read("contact_pattern", "pinion_shim", "1.36", trial=2)
    said = advice(job).text
    assert float(said.split("a shim of ")[1].split(" mm")[0]) > 1.36


def test_the_rings_that_move_the_ring_gear_are_named_with_their_place(paper: Paper) -> None:
    job = read(paper().tell("orrin", upto="backlash"), "66", "52", "64", "50")
    for key in KEYS:
        job.withdraw("teardown", f"contact_{key}")
    free = advice(job).text
    assert "toward the pinion" in free and "The drawer has" not in free
    sizes = (2.45, 2.46, 2.47, 2.48, 2.58, 2.59, 2.60, 2.61, 2.62, 2.63, 2.64)
    said = advice(job, tuple(Part(at, "ring", "", f"B{at}", s, 1, measured_mm=(s,)) for at, s in enumerate(sizes))).text
    named = re.search(
        r"The drawer has (\d\.\d{3}) mm from (B\d+) and (\d\.\d{3}) mm from (B\d+) for it; make them", said
    )
    assert named is not None, said
    one, place, other, other_place = named.groups()
    assert (sizes[int(place[1:])], sizes[int(other_place[1:])]) == (float(one), float(other))
    assert float(one) > 2.60 > 2.45 >= float(other) - 0.021, "thicker on the ring-gear side carries it to the pinion"
    # What is said to be moved is what these two move it by.
    move_mm = float(said.split("Move the ring gear ")[1].split(" mm")[0])
    assert move_mm == pytest.approx(0.5 * ((float(one) - float(other)) - (2.60 - 2.45)), abs=0.0006)


def test_nuts_are_set_by_notches(paper: Paper) -> None:
    said = advice(read(paper("Vask T").tell("vask", upto="backlash"), "70", "52", "68", "50")).text
    assert re.search(r"Set \d+ and \d+ notches for it, as a further trial of backlash\.", said), said


def test_sizes_no_set_can_have_leave_the_manuals_directions(paper: Paper) -> None:
    odd = {"gear_outer_diameter": CardFact("gear_outer_diameter", 20.0, "20", "mm")}
    said = advice(read(paper(facts=odd), "48", "75", "48", "72"))
    assert "move the pinion in" in said.text
    assert said.notes[0].startswith("No move was computed")


def test_prints_that_contradict_each_other_are_said_to_be_beyond_any_setting(paper: Paper) -> None:
    said = advice(read(paper(), "15", "85", "85", "15"))
    assert said.title == "No setting brings both flanks there"
    assert "belong together" in said.text


def test_where_the_concave_flank_drives_the_sides_change_places(paper: Paper) -> None:
    facts = choice("drive_flank", "concave")
    usual = advice(read(paper(), "62", "70", "42", "66"))
    other = advice(read(paper(facts=facts), "42", "66", "62", "70"))
    assert usual.text == other.text


def test_backlash_beside_the_prints_says_where_the_ring_gear_stands(paper: Paper) -> None:
    job = read(paper(), "48", "75", "48", "72")
    plain = advice(job).text
    job.read("contact_pattern", "backlash_now", "0.20", trial=1)
    assert "toward the pinion" in advice(job).text
    assert advice(job).text != plain


def test_sizes_the_card_gives_as_a_band_are_named_with_it(paper: Paper) -> None:
    banded = {"cutter_radius": CardFact("cutter_radius", 86.5, "78 – 95 mm", "mm")}
    notes = advice(read(paper(facts=banded), "48", "75", "48", "72")).notes
    assert any(note.startswith("On the card as a band: cutter radius 86 mm (78 – 95 mm)") for note in notes), notes


def test_less_is_promised_where_a_size_is_only_a_band(paper: Paper) -> None:
    centres = ("30", "80", "38", "78")
    exact = chance_of(advice(read(paper(), *centres)))
    wide = {"spiral_angle": CardFact("spiral_angle", 35.0, "25 – 45°", "deg")}
    assert chance_of(advice(read(paper(facts=wide), *centres))) < exact


def chance_of(said: Advice) -> int:
    return int(said.text.split("Chance ")[1].split(" %")[0])


def test_between_sound_and_hopeless_it_is_said_that_perhaps_none_does(
    paper: Paper,
) -> None:
    titles: dict[str, list[int]] = {}
    for apart in range(6, 40, 3):
        said = advice(read(paper(), str(50 - apart), "62", str(50 + apart), "62"))
        titles.setdefault(said.title, []).append(apart)
    assert list(titles) == [
        "Trial 1: what the pattern asks for",
        "Perhaps no setting brings both flanks there",
        "No setting brings both flanks there",
    ], "the further the flanks are apart, the plainer it is said"


def test_a_shop_that_reads_roughly_is_told_so(paper: Paper) -> None:
    job = read(paper(), "48", "75", "48", "72")
    rough = shop_scatter([np.array([-30.0, -20.0, -9.0, -4.0, 0.0, -2.0])] * 8)
    said = advise("contact_pattern", job.state(), Known((), scatter=rough))
    assert said is not None
    assert any("2.0 times as roughly" in note for note in said.notes), said.notes
    assert chance_of(said) < chance_of(advice(job))
