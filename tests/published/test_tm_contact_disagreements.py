"""What the manuals disagree on in reading a contact pattern, and what the program shows of it.

Pinion too far out: TM 9-2320-266-34, 19-5 c, has the drive side high at the heel and the coast side high at the toe.
TM 5-3805-260-24, p. 3-244, and TM 5-2410-233-23, p. 0102 00-9, have the convex side at the toe and the concave side at
the top of the heel. Thicker shim: in (the same, and TM 10-3930-653-14&P, p. 4-181) or out (TM 5-3805-260-24, p. 3-244;
TM 5-3810-306-34, p. 8-42). TM 10-3930-643-34, p. 16-30, sets toe and heel by the pinion, high and low by the backlash.
"""

import pytest
from contact_sets import SET_A

from core.mechanics.contact import Crown, Flank, Misalignment, contact_set
from core.mechanics.manuals import DISAGREEMENTS, FAR_PINION, THICKER_SHIM, WHICH_GEAR, disagreement_words
from core.mechanics.pattern import Centre, Direction, read_pattern, sources_words

TOE, HEEL = 0.2, 0.8


def asked(drive, coast):
    return read_pattern(Centre(*drive), Centre(*coast))


@pytest.mark.parametrize(("drive", "coast"), [(TOE, HEEL), (HEEL, TOE)])
def test_one_side_at_the_toe_the_other_at_the_heel_gets_no_direction_but_both_opinions(drive, coast):
    found = asked((drive, 0.5), (coast, 0.5))
    assert {item.direction for item in found} == {Direction.SPLIT_ALONG, Direction.ASK_SHIM_PLACE}
    said = sources_words(found)
    assert said == (disagreement_words(FAR_PINION), disagreement_words(THICKER_SHIM))


@pytest.mark.parametrize(
    ("along", "depth", "also"),
    [(0.5, 0.8, (WHICH_GEAR, THICKER_SHIM)), (0.5, 0.2, (WHICH_GEAR, THICKER_SHIM)), (TOE, 0.5, (WHICH_GEAR,)),
     (HEEL, 0.5, (WHICH_GEAR,)), (0.5, 0.5, ())],
)  # fmt: skip
def test_beside_a_direction_it_is_said_who_differs(along, depth, also):
    said = sources_words(asked((along, depth), (along, depth)))
    assert said[0].startswith("Directions on which TM 10-3930-671-24, TM 10-3930-638-24&P, TM 10-3930-660-34 agree")
    assert said[1:] == tuple(disagreement_words(found) for found in also)


@pytest.mark.parametrize(
    ("manual", "says"),
    [
        ("TM 9-2320-266-34", "drive side toward the heel, coast side toward the toe"),
        ("TM 5-3805-260-24", "convex side, usually drive, toward the toe, concave side toward the heel"),
        ("TM 5-2410-233-23", "convex side, usually drive, toward the toe, concave side toward the heel"),
        ("TM 9-2320-266-34", "it moves the pinion in"),
        ("TM 10-3930-653-14&P", "it moves the pinion in"),
        ("TM 5-2410-233-23", "it moves the pinion in"),
        ("TM 5-3805-260-24", "it moves the pinion out"),
        ("TM 5-3810-306-34", "it moves the pinion out"),
        ("TM 10-3930-643-34", "the ring gear for high and low, the pinion for toe and heel"),
        ("TM 9-2320-280-34", "by old − new"),
        ("TM 9-2320-266-34", "by old − new"),
        ("TM 5-3895-369-14", "by new − old"),
    ],
)
def test_each_manual_is_named_beside_what_it_says(manual, says):
    told = " ".join(disagreement_words(found) for found in DISAGREEMENTS)
    (named,) = (part for part in told.replace(".", ";").split(";") if f"{says} (" in part)
    assert manual in named.partition(says)[2]


def test_both_opinions_on_the_pinion_too_far_out_are_true_of_some_set():
    """Set A of the contact model, pinion 0.1 mm out: a generated set without offset, and a formed hypoid."""

    def moved(kind):
        pair, crown = contact_set(SET_A[kind]), Crown(0.030, 0.015)
        looks = [[pair.patch(f, Misalignment(out), crown).centre.along_ratio for f in Flank] for out in (0.0, 0.1)]
        return [then - before for before, then in zip(*looks, strict=True)]

    convex, concave = moved("bevel")
    assert convex < 0 < concave
    convex, concave = moved("hypoid")
    assert convex > 0 > concave
