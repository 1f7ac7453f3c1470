"""Laws of what is a set's own: drawn to the print that was read, never surer nor less sure than it can be known."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from contact_sets import SET_A
from hypothesis import given, settings
from hypothesis import strategies as st

from core.advice.contact_belief import ContactBelief
from core.advice.contact_fit import believe_contact
from core.advice.contact_model import OWN as UNKNOWNS
from core.advice.contact_model import ContactPrior, Looked, Print
from core.advice.what_if_own import FADES_MM, GAIN_SD, OWN_SD, Own, own_of
from core.mechanics.contact import ContactSet, Flank, contact_set

PRIOR = ContactPrior(0.08, 0.03, 0.70, 0.33)
READING_SDS = np.array([0.03, 0.05, 0.03, 0.05])
NOW = np.zeros((1, 2))
SLOPES = st.integers(0, 2**32 - 1).map(lambda seed: 0.04 * np.random.default_rng(seed).normal(size=(4, UNKNOWNS)))
SHARES = st.floats(0.15, 0.85)
STEPS = st.floats(0.0, 0.1)
AWAY = st.floats(0.0, 2.0 * np.pi).map(lambda turn: (np.cos(turn), np.sin(turn)))


def own(rests: np.ndarray, slopes: np.ndarray, settings_mm: np.ndarray = NOW, sd: float = OWN_SD) -> Own:
    """Return what is a set's own where the unknowns are known from just these readings."""
    noise = np.tile(READING_SDS**2 + sd**2, len(settings_mm))
    rows = slopes.reshape(-1, UNKNOWNS)
    covariance = np.linalg.inv(np.eye(UNKNOWNS) + rows.T @ (rows / noise[:, None]))
    return Own(settings_mm, rests, slopes, covariance, READING_SDS, sd)


@given(SLOPES, st.lists(st.floats(-0.2, 0.2), min_size=4, max_size=4), st.floats(0.03, 0.2))
def test_as_the_gears_stand_nothing_is_less_well_known_than_it_was_read(
    slopes: np.ndarray, rests: list[float], sd: float
) -> None:
    offs, sds = own(np.array([rests]), slopes[None], sd=sd).after(0.0, 0.0, slopes)
    assert (sds <= READING_SDS + 1e-12).all()
    assert (offs * rests >= 0.0).all(), "between the belief and what was read"
    assert (np.abs(offs) <= np.abs(rests)).all()
    assert offs == pytest.approx(np.array(rests) * sd**2 / (sd**2 + READING_SDS**2))


@given(SLOPES, st.floats(0.0, 0.5), STEPS, AWAY)
def test_the_farther_a_gear_is_moved_the_less_is_known_and_the_less_of_the_print_is_kept(
    slopes: np.ndarray, far_mm: float, step_mm: float, way: tuple[float, float]
) -> None:
    # Slopes that do not change with the move: what else makes a doubt grow or shrink is the belief's.
    found = own(np.full((1, 4), 0.1), slopes[None])
    near, far = (found.after(at * way[0], at * way[1], slopes) for at in (far_mm, far_mm + step_mm))
    assert (far[1] >= near[1] - 1e-12).all()
    assert (far[0] <= near[0] + 1e-12).all()


def test_far_off_nothing_of_the_print_is_left_and_the_doubt_is_that_of_the_belief_and_the_move() -> None:
    slopes = 0.04 * np.random.default_rng(3).normal(size=(4, UNKNOWNS))
    found = own(np.full((1, 4), 0.1), slopes[None])
    far_mm = 5.0 * FADES_MM
    offs, sds = found.after(far_mm, 0.0, slopes)
    assert offs == pytest.approx(np.zeros(4), abs=1e-4)
    believed = np.einsum("ij,jk,ik->i", slopes, found.covariance, slopes)
    assert sds == pytest.approx(np.sqrt(believed + OWN_SD**2 + (GAIN_SD * far_mm) ** 2), rel=1e-3)


def test_two_prints_of_one_setting_say_more_than_one_and_a_print_far_off_says_little() -> None:
    slopes = np.zeros((4, UNKNOWNS))
    once, twice, elsewhere = (
        own(np.full((len(at), 4), 0.1), np.zeros((len(at), 4, UNKNOWNS)), np.array(at)).after(0.0, 0.0, slopes)
        for at in ([(0.0, 0.0)], [(0.0, 0.0)] * 2, [(0.0, 0.0), (0.4, 0.0)])
    )
    assert (twice[0] > once[0] * 1.2).all()
    assert (twice[1] < once[1]).all()
    assert elsewhere[0] == pytest.approx(once[0], rel=0.15)


def test_a_flank_that_was_not_read_stays_where_the_belief_puts_it() -> None:
    slopes = np.zeros((4, UNKNOWNS))
    offs, sds = own(np.array([[0.1, 0.1, np.nan, np.nan]]), slopes[None]).after(0.0, 0.0, slopes)
    assert offs[2:] == pytest.approx([0.0, 0.0])
    assert (offs[:2] > 0.02).all()
    assert sds[2:] == pytest.approx([OWN_SD, OWN_SD])
    none = own(np.empty((0, 4)), np.empty((0, 4, UNKNOWNS)), np.empty((0, 2))).after(0.1, 0.0, slopes)
    assert none[0] == pytest.approx(np.zeros(4))


# -- of real sets ------------------------------------------------------------------------------------------------------


@cache
def made(name: str) -> ContactSet:
    return contact_set(SET_A[name])


def read(name: str, *centres: float) -> tuple[ContactBelief, Own]:
    pair = made(name)
    prints = {flank: Print(*centres[2 * at : 2 * at + 2], 0.55, 0.6) for at, flank in enumerate(Flank)}
    readings = [Looked(0.0, 0.0, prints, 0.08)]
    belief = believe_contact(pair, PRIOR, readings)
    return belief, own_of(belief, readings, (0.0, 0.0))


@settings(max_examples=25)
@given(st.sampled_from(sorted(SET_A)), st.tuples(SHARES, SHARES, SHARES, SHARES))
def test_whatever_was_read_is_drawn_near_and_known_as_well_as_it_was_read(
    name: str, centres: tuple[float, ...]
) -> None:
    belief, found = read(name, *centres)
    offs, sds = found.after(0.0, 0.0, belief.slopes(0.0, 0.0))
    assert (sds <= found.reading_sds).all()
    before, after = (np.abs(at - np.array(centres)) for at in (belief.centres(0, 0), belief.centres(0, 0) + offs))
    assert (after <= before + 1e-12).all()
    assert (after <= 2.0 * found.reading_sds).all()
    moved = found.after(-0.2, 0.1, belief.slopes(-0.2, 0.1))[1]
    assert (moved > sds).all()


@pytest.mark.parametrize("name", sorted(SET_A))
def test_a_print_that_lies_off_as_no_reading_would_is_taken_as_the_sets_own(name: str) -> None:
    belief, found = read(name, 0.70, 0.52, 0.66, 0.49)
    usual = replace(found, sd=OWN_SD)
    assert found.sd > 1.3 * OWN_SD
    slopes = belief.slopes(0.0, 0.0)
    assert found.after(0.0, 0.0, slopes)[0][0] > 1.3 * usual.after(0.0, 0.0, slopes)[0][0]
    assert read(name, 0.50, 0.52, 0.50, 0.49)[1].sd == OWN_SD, "a print that is explained says nothing of it"
