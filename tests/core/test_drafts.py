"""The intake: what was typed checked field by field, and what the tooth counts say."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from core.drafts import (
    JobDraft,
    checked,
    hunting_words,
    ratio_words,
    read_draft,
    tag_differs,
    tooth_remarks,
)
from core.errors import InputError, RuleError, UserError

GOOD = JobDraft(
    number="2407",
    serial="K-1183",
    customer="Brackwater Hill-climb Club",
    contact="clubhouse",
    vehicle="rear axle",
    asked_for="Quiet,\nand documented.",
    ring_gear_teeth="43",
    pinion_teeth="11",
    tag_ratio="3.91",
    is_limited_slip=True,
    card_id=1,
)


def test_a_good_draft_is_read_whole() -> None:
    ready = checked(GOOD)
    assert (ready.ring_gear_teeth, ready.pinion_teeth, ready.tag_ratio) == (43, 11, 3.91)
    assert (ready.number, ready.asked_for, ready.card_id) == ("2407", "Quiet,\nand documented.", 1)
    assert ready.is_limited_slip is True
    assert read_draft(GOOD)[1] == {}


def test_an_empty_draft_names_every_field_that_is_needed() -> None:
    read, refused = read_draft(JobDraft())
    assert sorted(refused) == ["card_id", "customer", "number", "pinion_teeth", "ring_gear_teeth", "serial"]
    assert read == {"contact": "", "vehicle": "", "asked_for": "", "tag_ratio": None, "is_limited_slip": False}
    assert all(str(error).endswith(".") for error in refused.values())


def test_blanks_are_no_words() -> None:
    blank = replace(GOOD, contact="  ", vehicle="\n", asked_for=" \t", tag_ratio=" ")
    ready = checked(blank)
    assert (ready.contact, ready.vehicle, ready.asked_for, ready.tag_ratio) == ("", "", "", None)


def test_the_first_refusal_in_the_order_of_the_form_is_raised() -> None:
    with pytest.raises(UserError, match="Nothing was typed"):
        checked(replace(GOOD, serial="", pinion_teeth="eleven"))
    with pytest.raises(RuleError, match="needs a spec card"):
        checked(replace(GOOD, card_id=None))


@pytest.mark.parametrize(("field", "most"), [("number", 80), ("serial", 80), ("customer", 200), ("vehicle", 200)])
def test_a_line_is_as_long_as_the_logbook_keeps(field: str, most: int) -> None:
    assert field not in read_draft(replace(GOOD, **{field: "x" * most}))[1]
    error = read_draft(replace(GOOD, **{field: "x" * (most + 1)}))[1][field]
    assert f"Shorten it to {most} characters." in str(error)


def test_a_line_is_made_one_line() -> None:
    ready = checked(replace(GOOD, serial="  K-1183 \n", customer="Brackwater\nHill-climb  Club"))
    assert (ready.serial, ready.customer) == ("K-1183", "Brackwater Hill-climb Club")


@pytest.mark.parametrize("teeth", ["3", "121", "0", "99999999999"])
def test_impossible_counts_are_refused(teeth: str) -> None:
    error = read_draft(replace(GOOD, ring_gear_teeth=teeth))[1]["ring_gear_teeth"]
    assert str(error) == f"{int(teeth)} teeth is impossible. Count again: 4 to 120 is accepted."


@pytest.mark.parametrize("teeth", ["4,5", "11 teeth", "eleven", "-11", "1e2"])
def test_a_count_is_a_whole_number(teeth: str) -> None:
    assert isinstance(read_draft(replace(GOOD, pinion_teeth=teeth))[1]["pinion_teeth"], InputError)


@pytest.mark.parametrize(("gear", "pinion"), [("11", "43"), ("11", "11")])
def test_swapped_counts_are_pointed_at(gear: str, pinion: str) -> None:
    refused = read_draft(replace(GOOD, ring_gear_teeth=gear, pinion_teeth=pinion))[1]
    assert list(refused) == ["pinion_teeth"]
    assert "check whether they were swapped" in str(refused["pinion_teeth"])


def test_the_least_and_the_most_teeth_are_accepted() -> None:
    assert checked(replace(GOOD, ring_gear_teeth="120", pinion_teeth="4")).ring_gear_teeth == 120


@pytest.mark.parametrize(
    ("typed", "ratio"), [("3.91", 3.91), ("3,91", 3.91), ("3.91:1", 3.91), ("1", 1.0), ("30", 30.0)]
)
def test_a_tag_is_read_as_people_write_it(typed: str, ratio: float) -> None:
    assert checked(replace(GOOD, tag_ratio=typed)).tag_ratio == pytest.approx(ratio)


@pytest.mark.parametrize("typed", ["0.99", "30.1", "391"])
def test_an_impossible_tag_is_refused(typed: str) -> None:
    error = read_draft(replace(GOOD, tag_ratio=typed))[1]["tag_ratio"]
    assert f"A final-drive ratio of {typed} is impossible." in str(error)


def test_every_field_of_a_draft_is_read() -> None:
    read, _ = read_draft(GOOD)
    assert list(read) == [field.name for field in fields(JobDraft)]


@pytest.mark.parametrize(
    ("gear", "pinion", "words", "hunts"),
    [(43, 11, "43 : 11 = 3.909", True), (40, 10, "40 : 10 = 4.000", False), (41, 9, "41 : 9 = 4.556", True)],
)
def test_ratio_and_hunting_in_words(gear: int, pinion: int, words: str, hunts: bool) -> None:
    assert ratio_words(gear, pinion) == words
    assert hunting_words(gear, pinion).startswith("hunting" if hunts else "not hunting")


@pytest.mark.parametrize(
    ("gear", "pinion", "tag", "differs"),
    [
        (43, 11, 3.91, False),
        (43, 11, 3.9, True),
        (43, 11, 4.10, True),
        (39, 11, 3.55, False),  # 3.5455, rounded on the tag
        (41, 9, 4.56, False),
        (43, 11, None, False),
    ],
)
def test_a_tag_that_names_another_pair_is_told_from_a_rounded_one(
    gear: int, pinion: int, tag: float | None, differs: bool
) -> None:
    assert tag_differs(gear, pinion, tag) is differs


def test_remarks_on_a_good_pair_are_one_line() -> None:
    (remark,) = tooth_remarks(43, 11, 3.91, "43:11, 41:10, 40:9")
    assert remark.text == "43 : 11 = 3.909, hunting: every pinion tooth meets every ring-gear tooth"
    assert not remark.is_warning


def test_remarks_on_a_wrong_tag_and_a_pair_the_card_does_not_offer() -> None:
    first, tag, offered = tooth_remarks(42, 11, 3.91, "43:11, 41 : 10")
    assert "not hunting" not in first.text
    assert tag.text == (
        "The tag says 3.91, but the counted teeth give 3.818: count again, or note that the tag is wrong."
    )
    assert offered.text == "The card offers 43:11, 41 : 10 for this family: check the counts."
    assert tag.is_warning
    assert offered.is_warning
    assert len(tooth_remarks(41, 10, None, "43:11, 41 : 10")) == 1, "blanks in the card are no difference"


@pytest.mark.parametrize("offered", ["", " , "])
def test_a_card_that_offers_no_pairs_says_nothing(offered: str) -> None:
    assert len(tooth_remarks(42, 11, None, offered)) == 1
