"""Bad input around the tooth contact: each gets a sentence that says what to do, and the rest is kept."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from typing import Any

import pytest
from PIL import Image
from tooth_renderer import Scene, render

from core.calculations import calculation, work_out
from core.drafts import JobDraft
from core.errors import InputError, UserError
from core.shop_inputs import LimitText
from core.stages.size_bands import SIZES_BY_KEY

STAGE = "contact_pattern"
ROUND = "30 30; 60 30; 60 70; 30 70"
TAM = "Tam Ollerby"


def readings(workshop: Any, job: Any) -> list[tuple[str, str]]:
    return [(r.entry, r.text) for r in workshop.state(job.id).context.readings]


@contextmanager
def refused(words: str, workshop: Any = None, job: Any = None) -> Iterator[None]:
    """Expect a sentence with these words, what to do after it, and readings and photos that did not change."""
    kept = job and (readings(workshop, job), workshop.photos(job.id))
    with pytest.raises(UserError) as raised:
        yield
    assert words in str(raised.value)
    assert raised.value.message.endswith(".") and raised.value.remedy.endswith(".")
    if job:
        assert (readings(workshop, job), workshop.photos(job.id)) == kept


# --- teeth and sizes -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gear", "pinion", "words"),
    [
        ("11", "43", "check whether they were swapped"),
        ("43", "43", "check whether they were swapped"),
        ("43", "3", "Count again: 4 to 120"),
        ("0", "11", "Count again"),
        ("430", "11", "Count again"),
        ("43.5", "11", "is not a whole number"),
        ("-43", "11", "is not a whole number"),
    ],
)
def test_teeth_that_cannot_mesh(workshop: Any, job: Any, gear: str, pinion: str, words: str) -> None:
    draft = JobDraft("9", "S-9", "Pim Averlock", ring_gear_teeth=gear, pinion_teeth=pinion, card_id=job.card.id)
    before = len(workshop.find_jobs())
    assert any(words in sentence for sentence in workshop.check_draft(draft).values())
    with refused(words):
        workshop.new_job(draft)
    assert len(workshop.find_jobs()) == before


def test_teeth_that_cannot_mesh_are_named_by_the_calculation() -> None:
    typed = {"pinion_teeth": "43", "gear_teeth": "11", "gear_outer_diameter": "200", "face_width": "30",
             "mean_spiral_angle": "35"}  # fmt: skip
    with refused("gear_teeth is 11, but must be 43 or more"):
        work_out(calculation("bevel-geometry"), typed)


@pytest.mark.parametrize("typed", ["11:43", "43:11, 10:41", "40 : 40"])
def test_teeth_the_wrong_way_round_are_refused_on_the_card(workshop: Any, job: Any, typed: str) -> None:
    with refused("Write the ring gear's count first"):
        card_with(workshop, job, tooth_counts=typed)
    assert card_with(workshop, job, tooth_counts="43:11, 41 : 10 and others").text("tooth_counts")


def card_with(workshop: Any, job: Any, **facts: str) -> Any:
    told = {key: fact.text for key, fact in job.card.facts.items()} | facts
    limits = {key: LimitText(limit.low_text, limit.high_text, limit.source) for key, limit in job.card.limits.items()}
    return workshop.save_card("Odd 1", limits, told, TAM)


@pytest.mark.parametrize(
    ("key", "typed"),
    [("pinion_offset", "100 mm"), ("face_width", "100 mm"), ("cutter_radius", "420 mm"), ("pinion_offset", "5 to 2")],
)
def test_sizes_the_gear_does_not_allow_are_refused_on_the_card(workshop: Any, job: Any, key: str, typed: str) -> None:
    families = [card.family for card in workshop.cards()]
    with refused(typed):
        card_with(workshop, job, **{key: typed})
    assert [card.family for card in workshop.cards()] == families


def test_an_offset_too_large_for_these_teeth_costs_the_computed_move_alone(workshop: Any, job: Any) -> None:
    card = card_with(workshop, job, pinion_offset="95 mm")
    draft = JobDraft("9", "S-9", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=card.id)
    other = workshop.new_job(draft)
    for side in ("drive", "coast"):
        workshop.record(other.id, STAGE, f"{side}_along", "45", trial=1)
        workshop.record(other.id, STAGE, f"{side}_depth", "80", trial=1)
    said = workshop.advice(other.id, STAGE)
    assert "High on both sides: move the pinion in" in said.text
    (note,) = said.notes
    assert note.startswith("No move was computed: pinion offset is 95, but must be smaller")


# --- prints ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("outline", "words"),
    [
        ("-5 30; 60 30; 60 70", "leaves the tooth"),
        ("30 30; 60 30; 60 170", "leaves the tooth"),
        ("20 20; 80 80; 80 20; 20 80", "crosses itself"),
        ("20 20; 60 20; 60 60 | 30 30; 70 30; 70 70", "lie over each other"),
        ("20 20; 21 20; 20 21", "too small to be a print"),
        ("20 20; 60 60", "at least three points"),
        (" | ".join([ROUND] * 5), "has 5 patches"),
        ("round the middle", "is no point of an outline"),
        ("20 20; 60 20; 60 60;" * 400, "characters long"),
    ],
)
def test_a_print_that_cannot_be(workshop: Any, job: Any, outline: str, words: str) -> None:
    workshop.record(job.id, STAGE, "drive_outline", ROUND, trial=1)
    with refused(words, workshop, job):
        workshop.record(job.id, STAGE, "coast_outline", outline, trial=1)


def test_one_flank_only(workshop: Any, job: Any, tmp_path: Any) -> None:
    workshop.record(job.id, STAGE, "drag", "light")
    workshop.record(job.id, STAGE, "drive_outline", ROUND, trial=1)
    state = workshop.state(job.id).stage(STAGE)
    assert "coast side" in state.next_thing
    assert workshop.advice(job.id, STAGE) is None
    # What there is goes onto the sheet all the same.
    assert workshop.write_sheet(job.id, tmp_path / "sheet.pdf", copy="shop").exists()


# --- photos ----------------------------------------------------------------------------------------------------------


def png(width: int, height: int) -> bytes:
    held = BytesIO()
    Image.new("1", (width, height)).save(held, "PNG")
    return held.getvalue()


def test_a_photo_of_a_hundred_megapixels(workshop: Any, job: Any) -> None:
    workshop.record(job.id, STAGE, "drive_outline", ROUND, trial=1)
    with refused("more pixels than can be opened here", workshop, job):
        workshop.add_photo(job.id, png(10_000, 10_000), stage=STAGE)


def test_a_photo_that_was_cut_short(workshop: Any, job: Any) -> None:
    whole = render(Scene(size=(800, 600))).jpeg
    with refused("damaged or cut short", workshop, job):
        workshop.add_photo(job.id, whole[: len(whole) // 2], stage=STAGE)
    assert workshop.add_photo(job.id, whole, stage=STAGE)


def test_four_corners_that_cross(workshop: Any, job: Any) -> None:
    made = render(Scene(size=(800, 600)))
    photo = workshop.add_photo(job.id, made.jpeg, stage=STAGE)
    a, b, c, d = made.corners
    for corners, words in (((a, c, b, d), "cross or make a dent"), ((a, a, a, a), ""), ((a, b, c), "four corners")):
        with refused(words, workshop, job):
            workshop.read_print(photo.id, corners)


def test_every_size_refuses_a_band_that_is_none() -> None:
    from core.shop_inputs import read_fact

    for key in SIZES_BY_KEY:
        with pytest.raises(InputError):
            read_fact(key, "9 - 5")
