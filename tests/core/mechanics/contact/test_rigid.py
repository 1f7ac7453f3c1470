"""The model against rigid bodies that are turned through and searched for where they touch."""

from dataclasses import replace

import numpy as np
import pytest
from contact_sets import SET_A
from rigid_contact import Move, RigidPair, centre

from core.mechanics.contact import Crown, Flank, Hand, Misalignment, contact_set
from core.mechanics.contact.flank import gear_flank

FILM_MM = 0.006
COARSE = {"places": (30, 16), "steps": 20, "window": 3}
QUICK = (Move(pinion=0.1), Move(gear=0.1, offset=0.1))
MOVES = (
    *(Move(), Move(pinion=0.1), Move(gear=0.1), Move(offset=0.1)),
    *(Move(pinion=-0.1), Move(gear=-0.1), Move(offset=-0.1), Move(0.08, -0.06, 0.05), Move(-0.05, 0.1, -0.08)),
)


def judged(kind, flank, move, hand=Hand.RIGHT, **grid):
    """Centres [%] and gaps by both, on the same places."""
    gear_set = replace(SET_A[kind], hand=hand)
    pair = contact_set(gear_set)
    rigid = RigidPair(gear_flank(pair.cones, flank), 0.030, 0.015, hand.sign)
    gap_mm = rigid.gap(move, **grid)
    told = Misalignment(move.pinion, move.gear, move.offset)
    found = pair.patch(flank, told, Crown(0.030, 0.015), FILM_MM).centre
    ours_mm = contact_set(gear_set, gap_mm.shape).gap_mm(flank, told)
    return centre(gap_mm, FILM_MM), (100.0 * found.along_ratio, 100.0 * found.depth_ratio), gap_mm, ours_mm


@pytest.mark.parametrize("move", QUICK, ids=str)
@pytest.mark.parametrize("flank", Flank)
@pytest.mark.parametrize("kind", SET_A)
def test_centres_agree(kind, flank, move):
    rigid, model, gap_mm, ours_mm = judged(kind, flank, move, **COARSE)
    assert model == pytest.approx(rigid, abs=0.3)
    assert np.abs(gap_mm - ours_mm)[ours_mm < FILM_MM].max() < 0.001


def test_a_left_hand_set_is_built_as_a_mirrored_body():
    rigid, model, _, _ = judged("hypoid", Flank.DRIVE, Move(0.05, 0.02, 0.08), Hand.LEFT, **COARSE)
    assert model == pytest.approx(rigid, abs=0.3)


@pytest.mark.long
@pytest.mark.parametrize("move", MOVES, ids=str)
@pytest.mark.parametrize("flank", Flank)
@pytest.mark.parametrize("kind", SET_A)
def test_centres_agree_closely(kind, flank, move):
    rigid, model, gap_mm, ours_mm = judged(kind, flank, move)
    assert model == pytest.approx(rigid, abs=0.3)
    assert np.abs(gap_mm - ours_mm)[ours_mm < FILM_MM].max() < 0.001


@pytest.mark.long
@pytest.mark.parametrize("flank", Flank)
@pytest.mark.parametrize("kind", SET_A)
def test_centres_agree_far_out(kind, flank):
    for move in (Move(pinion=0.3), Move(gear=0.3)):
        rigid, model, _, _ = judged(kind, flank, move)
        assert model == pytest.approx(rigid, abs=0.9)


@pytest.mark.parametrize("flank", Flank)
@pytest.mark.parametrize("kind", SET_A)
def test_in_place_without_crown_the_bodies_fit(kind, flank):
    """The envelope touches everywhere and bites nowhere; what is left is between the rolls that are looked at."""
    rigid = RigidPair(gear_flank(contact_set(SET_A[kind]).cones, flank), 0.0, 0.0)
    gap_mm = rigid.gap(Move(), **COARSE)
    assert gap_mm.min() > -0.0003
    assert gap_mm.max() < 0.001
