"""Laws of a move by the pieces there are: only where they reach, never for worse, by steps where none is near."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.advice.contact_belief import ContactBelief
from core.advice.contact_move import LEAST_OFF_MM, OFF_SHARE, Aim, Reachable, best_move
from core.advice.contact_seen import look
from core.advice.next_pair import Window

AIM, LASH = Aim((0.5,) * 4, (0.1,) * 4), Window(0.06, 0.10)


@pytest.fixture
def belief(paper: Callable[..., Any]) -> ContactBelief:
    """Return a set whose prints are high on both flanks: its pinion stands too far out."""
    job = paper().tell("orrin", upto="backlash")
    for key, text in (("drive_along", "48"), ("drive_depth", "72"), ("coast_along", "48"), ("coast_depth", "70")):
        job.read("contact_pattern", key, text, trial=1)
    seen = look(job.context)
    assert seen is not None
    return seen.belief


def test_the_move_goes_where_a_shim_and_a_pair_of_rings_reach(belief: ContactBelief) -> None:
    free = best_move(belief, AIM, LASH)
    shims = (free.pinion_mm - 0.031, free.pinion_mm + 0.013, free.pinion_mm + 0.3)
    rings = (free.gear_mm - 0.017, free.gear_mm + 0.008, -0.4)
    move = best_move(belief, AIM, LASH, reachable=Reachable(shims, rings))
    assert move.pinion_mm in shims[:2]
    assert move.gear_mm in rings[:2]
    assert move.chance > 0.5


def test_pieces_that_are_nowhere_near_leave_the_step(belief: ContactBelief) -> None:
    free = best_move(belief, AIM, LASH)
    far = Reachable((free.pinion_mm + 0.9, free.pinion_mm - 0.9), (0.7,))
    move = best_move(belief, AIM, LASH, reachable=far)
    assert (move.pinion_mm / 0.02, move.gear_mm / 0.02) == pytest.approx(
        (round(move.pinion_mm / 0.02), round(move.gear_mm / 0.02))
    )
    assert (move.pinion_mm, move.gear_mm) == pytest.approx((free.pinion_mm, free.gear_mm), abs=0.021)


def test_a_shim_that_misses_is_made_up_for_by_the_ring_gear(belief: ContactBelief) -> None:
    free = best_move(belief, AIM, LASH)
    off_mm = 0.045
    move = best_move(belief, AIM, LASH, reachable=Reachable((free.pinion_mm + off_mm,)))
    assert move.pinion_mm == free.pinion_mm + off_mm
    assert LASH.low - 0.006 <= move.backlash_mm <= LASH.high + 0.006


def test_where_it_stands_is_reached_without_any_piece(belief: ContactBelief) -> None:
    free = best_move(belief, AIM, LASH, steps_mm=(0.001, 0.001))
    move = best_move(belief, AIM, LASH, (free.pinion_mm, free.gear_mm), reachable=Reachable((5.0,), (5.0,)))
    assert (move.pinion_mm, move.gear_mm) == pytest.approx((free.pinion_mm, free.gear_mm))


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(offs=st.lists(st.floats(-0.2, 0.2), min_size=1, max_size=12))
def test_whatever_the_drawer_has_the_pinion_stands_on_it_or_on_a_step(belief: ContactBelief, offs: list[float]) -> None:
    free = best_move(belief, AIM, LASH, steps_mm=(0.001, 0.001))
    shims = tuple(free.pinion_mm + off for off in offs)
    move = best_move(belief, AIM, LASH, reachable=Reachable(shims))
    is_near = min(abs(off) for off in offs) <= max(OFF_SHARE * abs(free.pinion_mm), LEAST_OFF_MM) - 0.005
    if is_near:
        assert move.pinion_mm in shims
    assert move.pinion_mm in shims or move.pinion_mm / 0.02 == pytest.approx(round(move.pinion_mm / 0.02))
