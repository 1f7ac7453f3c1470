"""The practice of reading prints: what is called right is right by the model, and answers are graded alike."""

from __future__ import annotations

from functools import lru_cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputError, RangeError
from core.mechanics.contact import Flank
from core.mechanics.contact.backlash import in_each_way, play_change_rad
from core.mechanics.outline import is_inside, is_on_tooth, measure
from core.mechanics.pattern import ALONG_BAND, DEPTH_BAND
from core.practice import (
    IN_A_ROW,
    LEAVE,
    Answer,
    Grade,
    Level,
    Says,
    Sitting,
    flecks,
    grade,
    question,
    rough_rings,
)
from core.practice.question import BACKLASH_MM, OFF, SETTINGS, WELL, length_mm
from core.practice.words import graded_words, print_words, score_words, set_words, setting_words, why_words

MOVES = [level for level in Level if level is not Level.CENTRED]
WAYS = [(pinion, gear) for pinion in (-1, 0, 1) for gear in (-1, 0, 1)]
kept = lru_cache(maxsize=None)(question)


def moved(pinion: float, gear: float) -> Answer:
    return Answer(Says.MOVE, pinion, gear)


def seen_anew(asked, setting):
    """Centres and backlash after a move, from the set itself and not from the question's table."""
    at = asked.misalignment(setting)
    centres = [asked.pair.patch(flank, at, asked.crowns[flank]).centre for flank in Flank]
    backlash = 0.12 + asked.rates[0] * at.pinion_mm + asked.rates[1] * at.gear_mm
    return centres, backlash


def is_within(asked, setting) -> bool:
    centres, backlash = seen_anew(asked, setting)
    return BACKLASH_MM[0] <= backlash <= BACKLASH_MM[1] and all(
        ALONG_BAND[0] <= centre.along_ratio <= ALONG_BAND[1] and DEPTH_BAND[0] <= centre.depth_ratio <= DEPTH_BAND[1]
        for centre in centres
    )


# --- questions -------------------------------------------------------------------------------------------------------


@given(number=st.integers(0, 10**9))
def test_every_seed_yields_a_question(number):
    asked = question(Level.CENTRED, number)
    assert asked.now.miss <= WELL or asked.now.prints_miss >= OFF


@pytest.mark.parametrize("level", Level)
@pytest.mark.parametrize("number", [0, 5, 10**9])
def test_the_same_seed_always_asks_the_same(level, number):
    one, other = kept(level, number), question(level, number)
    assert (one.hidden, one.pair.gear_set, one.crowns) == (other.hidden, other.pair.gear_set, other.crowns)
    assert one.level is level
    assert one.now.miss <= WELL or one.now.miss >= OFF or one.right is None


@pytest.mark.parametrize("level", MOVES)
@pytest.mark.parametrize("number", range(6))
def test_the_right_move_brings_all_four_centres_within_or_none_does(level, number):
    asked = kept(level, number)
    if asked.hollow is not None:
        assert asked.right is None
    elif asked.right is None:
        assert not any(is_within(asked, setting) for setting in SETTINGS)
    else:
        assert is_within(asked, asked.right)
        shorter = [s for s in SETTINGS if length_mm(s) < length_mm(asked.right) - 1e-9]
        assert all(asked.looks[s].miss > WELL for s in shorter)


@pytest.mark.parametrize("number", range(20))
def test_the_first_level_is_centred_or_plainly_not(number):
    asked = kept(Level.CENTRED, number)
    centres, backlash = seen_anew(asked, LEAVE)
    off = max(max(abs(c.along_ratio - 0.475) / 0.125, abs(c.depth_ratio - 0.5) / 0.1) for c in centres)
    assert off <= WELL or off >= OFF
    assert BACKLASH_MM[0] <= backlash <= BACKLASH_MM[1]


def test_the_levels_ask_for_what_they_say():
    for number in range(6):
        plain, mixed = kept(Level.PLAIN, number).right, kept(Level.MIXED, number).right
        assert plain is not None
        assert mixed is not None
        assert (plain[0] == 0.0) != (plain[1] == 0.0)
        assert 0.0 not in mixed
    rights = [kept(Level.NONE_HELPS, number).right for number in range(16)]
    assert None in rights
    assert LEAVE in rights
    assert any(right not in (None, LEAVE) for right in rights)
    assert {kept(Level.CENTRED, number).now.miss <= WELL for number in range(20)} == {True, False}


def test_many_kinds_of_sets_are_asked():
    sets = [kept(Level.CENTRED, number).pair.gear_set for number in range(80)]
    assert len({(one.cut, one.hand, one.offset_mm > 0.0) for one in sets}) == 8


def test_the_backlash_told_is_near_that_of_the_flanks():
    # The flanks' own play grows a little otherwise than in proportion (derived; see the contact's own tests).
    asked = kept(Level.MIXED, 0)
    opened = in_each_way(asked.pair.cones, play_change_rad(asked.pair, asked.hidden)).normal_heel_ratio
    assert asked.now.backlash_mm == pytest.approx(0.12 + opened, abs=0.02)


def test_a_negative_seed_is_refused():
    with pytest.raises(RangeError):
        question(Level.PLAIN, -1)


# --- prints ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", range(10))
def test_a_rough_print_lies_where_the_computed_one_does(number):
    asked = kept(Level.CENTRED, number)
    for flank in Flank:
        rings = rough_rings(asked, flank)
        smooth = asked.pair.outline(flank, asked.hidden, asked.crowns[flank])
        centre = asked.now.prints[flank].centre
        assert is_on_tooth(rings)
        assert rings == rough_rings(asked, flank)
        assert [tuple(map(tuple, edge)) for edge in smooth] != list(rings)
        found = measure(rings)
        assert (found.along, found.depth) == pytest.approx((centre.along_ratio, centre.depth_ratio), abs=0.03)


# --- grades ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("number", range(8))
def test_at_the_first_level_one_of_two_answers_is_right(number):
    asked = kept(Level.CENTRED, number)
    is_centred = is_within(asked, LEAVE)
    assert grade(asked, moved(0, 0)).grade is (Grade.FULL if is_centred else Grade.WRONG)
    assert grade(asked, Answer(Says.NOT_CENTRED)).grade is (Grade.WRONG if is_centred else Grade.FULL)


@pytest.mark.parametrize("level", [Level.PLAIN, Level.MIXED, Level.NONE_HELPS])
@pytest.mark.parametrize("number", range(6))
def test_every_grade_is_what_the_prints_after_it_say(level, number):
    asked = kept(level, number)
    for ways in WAYS:
        found = grade(asked, moved(*ways))
        assert found.tried is not None
        reached = [s for s in SETTINGS if moved(*s).ways == ways and is_within(asked, s)]
        if found.grade is Grade.FULL:
            assert reached
            assert asked.right is not None
            # No gear is moved that could stay.
            assert all(way == 0 or other != 0 for way, other in zip(ways, moved(*asked.right).ways, strict=True))
        elif found.grade is Grade.PARTLY:
            assert is_within(asked, found.tried) or asked.looks[found.tried].distance < asked.now.distance
        elif asked.hollow is not None:
            # Whatever a move does to the common centre, the print stays in two, or is driven off one end of the tooth.
            assert found.grade is Grade.WRONG
        elif asked.right is None:
            assert asked.looks[found.tried].distance > 0.9 * asked.now.distance
        else:
            # Wrong as a whole, or not the right way for either gear: never the shortest right one.
            assert ways != moved(*asked.right).ways
    best = asked.right
    right = Answer(Says.NO_SETTING) if best is None else moved(*(moved(*best).ways))
    assert grade(asked, right).grade is Grade.FULL
    no_setting = grade(asked, Answer(Says.NO_SETTING))
    assert (no_setting.grade is Grade.FULL) == (best is None)


@pytest.mark.parametrize("number", range(6))
def test_how_far_is_judged_by_the_very_move(number):
    asked = kept(Level.HOW_FAR, number)
    assert asked.right is not None
    assert grade(asked, moved(*asked.right)).grade is Grade.FULL
    for setting in SETTINGS[::7]:
        found = grade(asked, moved(*setting))
        assert found.tried == setting
        is_needless = any(way and not other for way, other in zip(setting, asked.right, strict=True))
        assert (found.grade is Grade.FULL) == (is_within(asked, setting) and not is_needless)


def test_leaving_what_is_centred_is_right_and_a_move_is_not():
    asked = next(q for q in (kept(Level.NONE_HELPS, n) for n in range(16)) if q.right == LEAVE)
    assert grade(asked, moved(0, 0)).grade is Grade.FULL
    assert all(grade(asked, moved(*ways)).grade is not Grade.FULL for ways in WAYS if ways != (0, 0))


@pytest.mark.parametrize(
    ("level", "answer"),
    [
        (Level.CENTRED, moved(1, 0)),
        (Level.CENTRED, Answer(Says.NO_SETTING)),
        (Level.PLAIN, Answer(Says.NOT_CENTRED)),
        (Level.HOW_FAR, moved(0.07, 0.0)),
    ],
)
def test_an_answer_not_asked_for_is_refused(level, answer):
    with pytest.raises(InputError):
        grade(kept(level, 0), answer)


# --- words -----------------------------------------------------------------------------------------------------------


def test_the_move_is_told_with_its_ways():
    assert setting_words((-0.10, 0.05)) == (
        "the pinion 0.10 mm toward the ring gear's axis, the ring gear 0.05 mm away from the pinion"
    )
    assert setting_words((0.20, 0.0)) == "the pinion 0.20 mm away from the ring gear's axis, the ring gear stays"
    assert setting_words(LEAVE) == "leave both"


@pytest.mark.parametrize("number", range(6))
def test_only_the_two_rules_are_said_of_every_set_and_they_hold(number):
    asked = kept(Level.MIXED, number)
    said = " ".join(why_words(asked))
    assert said.count("on every set") == 2
    before, away = seen_anew(asked, LEAVE)[0], seen_anew(asked, (0.02, 0.0))[0]
    assert all(then.depth_ratio > now.depth_ratio for now, then in zip(before, away, strict=True))
    away = seen_anew(asked, (0.0, 0.02))[0]
    assert away[0].along_ratio > before[0].along_ratio


def test_an_answer_is_told_with_what_is_right_what_it_did_and_the_manuals():
    asked = kept(Level.MIXED, 0)
    assert asked.right is not None
    wrong = moved(*(-way for way in moved(*asked.right).ways))
    told = graded_words(grade(asked, wrong))
    assert told[0].startswith("Not right.")
    assert setting_words(asked.right) in told[0]
    assert "no better than before" in told[1]
    assert told[-2].startswith("The manuals have for these prints:")
    assert told[-1].startswith("Directions on which TM 10-3930-671-24")
    assert "%" in print_words(asked.now)
    assert "wanted 0.08 – 0.16 mm" in set_words(asked)


@pytest.mark.parametrize("number", range(6))
def test_a_print_is_thin_in_places_within_it_always_the_same(number):
    asked = kept(Level.CENTRED, number)
    for flank in Flank:
        rings = rough_rings(asked, flank)
        found = flecks(asked, flank, rings)
        assert found == flecks(question(Level.CENTRED, number), flank, rings)
        assert len(found) >= 3
        # Noise for the eye, not another print: no fleck is worth a shift of the centre.
        assert sum(measure([fleck]).area for fleck in found) < 0.1 * measure(rings).area
        assert all(any(is_inside(point, ring) for ring in rings) for fleck in found for point in fleck)


# --- a print in two patches ------------------------------------------------------------------------------------------


ODD = [asked for asked in (kept(Level.NONE_HELPS, number) for number in range(24)) if asked.hollow]


def test_some_prints_are_in_two_patches():
    assert 2 <= len(ODD) <= 12
    assert {asked.hollow for asked in ODD} == set(Flank)
    assert not any(kept(level, number).hollow for level in Level for number in range(4) if level != Level.NONE_HELPS)


@pytest.mark.parametrize("asked", ODD, ids=lambda asked: str(asked.number))
def test_its_common_centre_looks_right_and_lies_where_nothing_touches(asked):
    rings = rough_rings(asked, asked.hollow)
    assert len(rings) == asked.now.patches[asked.hollow] == 2
    centre = asked.now.prints[asked.hollow].centre
    assert ALONG_BAND[0] <= centre.along_ratio <= ALONG_BAND[1]
    assert not any(is_inside((centre.along_ratio, centre.depth_ratio), ring) for ring in rings)
    (other,) = set(Flank) - {asked.hollow}
    assert asked.now.patches[other] == len(rough_rings(asked, other)) == 1


@pytest.mark.parametrize("asked", ODD[:3], ids=lambda asked: str(asked.number))
def test_no_move_is_right_for_it_and_the_lesson_says_why(asked):
    assert asked.right is None
    for pinion, gear in WAYS:
        assert grade(asked, moved(pinion, gear)).grade is Grade.WRONG
    told = graded_words(grade(asked, Answer(Says.NO_SETTING)))
    assert told[0].startswith("Right. The print on the")
    assert "two patches" in told[0] and "second print" in told[0]
    assert "common centre" in told[1]
    assert told[2].startswith("Read by their centres alone, the manuals would have")
    assert "It lies in 2 patches." in print_words(asked.now)


# --- the sitting -----------------------------------------------------------------------------------------------------


def test_four_right_in_a_row_lead_to_the_next_level_and_no_further_than_the_last():
    sitting = Sitting(number=7)
    for grades, level in (("FFFP", 1), ("FFF", 1), ("F", 2), ("FFFF", 3), ("FFFFFFFF", 5), ("FFFFF", 5)):
        for letter in grades:
            sitting = sitting.answered(Grade.FULL if letter == "F" else Grade.PARTLY).next_one()
        assert sitting.level == level
    assert (sitting.right, sitting.partly, sitting.asked, sitting.number) == (24, 1, 25, 32)
    assert IN_A_ROW == 4
    assert sitting.at_level(Level.PLAIN).level is Level.PLAIN


def test_a_question_answered_before_changes_no_score():
    sitting = Sitting(number=3).answered(Grade.FULL)
    assert sitting.is_done
    assert sitting.answered(Grade.WRONG) == sitting
    other = sitting.at_number(" 12 ")
    assert (other.number, other.is_done, other.level) == (12, False, Level.CENTRED)
    assert other.answered(Grade.WRONG).asked == 2
    # The same number is another question on another level.
    assert not sitting.at_level(Level.MIXED).at_number("3").is_done


@pytest.mark.parametrize("typed", ["", "x", "-2", "2.5", "1000000"])
def test_no_question_has_such_a_number(typed):
    with pytest.raises(InputError):
        Sitting(number=3).at_number(typed)


def test_the_score_says_what_leads_on():
    sitting = Sitting(number=0)
    assert score_words(sitting) == "Level 1: 4 right in a row lead to level 2, 0 so far."
    sitting = sitting.answered(Grade.FULL).next_one().answered(Grade.PARTLY).next_one().answered(Grade.FULL)
    assert score_words(sitting, "Tam Ollerby") == (
        "Tam Ollerby, since the window was opened: 2 of 3 right, 1 partly right. "
        "Level 1: 4 right in a row lead to level 2, 1 so far."
    )
    assert score_words(sitting.at_level(Level.HOW_FAR)).endswith("Level 5, the last.")
