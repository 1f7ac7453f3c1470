"""How roughly prints are read is learned from them, and what is not known of a set is carried through."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from contact_sets import SET_A
from hypothesis import given
from hypothesis import strategies as st

from core.advice.contact_belief import ContactBelief
from core.advice.contact_fit import READING_SDS, believe_contact
from core.advice.contact_hope import hopelessness
from core.advice.contact_model import OWN, ContactModel, ContactPrior, Looked, Print, Variant
from core.advice.contact_scatter import SCALES, Scatter, shop_scatter, usual_scatter
from core.advice.next_pair import Window
from core.mechanics.contact import ContactSet, Flank, contact_set

PRIOR = ContactPrior(0.08, 0.03, 0.70, 0.33)
MIDDLE, TENTH = np.full(4, 0.5), np.full(4, 0.1)
LASH = Window(0.06, 0.10)


@pytest.fixture(scope="module")
def pair() -> ContactSet:
    return contact_set(SET_A["bevel"])


def printed(pair: ContactSet, rng: np.random.Generator, roughness: float, moves: int = 2) -> list[Looked]:
    """Draw a set by the prior and return its prints after some moves, read so much more roughly than usual."""
    model = ContactModel(pair, PRIOR)
    at = rng.normal(size=OWN)
    readings = []
    for number in range(moves):
        pinion_mm, gear_mm = (0.0, 0.0) if number == 0 else rng.normal(0.0, 0.06, 2)
        prints = {}
        for flank in Flank:
            along, depth, length, height = model.told(at, flank, pinion_mm, gear_mm)
            sds = roughness * np.array(READING_SDS) * (1.0, 1.0, length, height)
            prints[flank] = Print(*(np.array([along, depth, length, height]) + sds * rng.normal(size=4)).tolist())
        readings.append(Looked(float(pinion_mm), float(gear_mm), prints))
    return readings


def shop(pair: ContactSet, roughness: float, jobs: int = 12) -> Scatter:
    rng = np.random.default_rng(5)
    logs = [believe_contact(pair, PRIOR, printed(pair, rng, roughness)).log_likelihoods for _ in range(jobs)]
    return shop_scatter(logs)


def test_a_shop_learns_how_roughly_it_reads(pair: ContactSet) -> None:
    usual, rough = shop(pair, 1.0), shop(pair, 2.0)
    assert 0.75 < usual.mean < 1.3
    assert 1.5 < rough.mean < 2.5
    assert rough.weights[SCALES >= 1.4].sum() > 0.9


def test_where_prints_are_read_roughly_less_is_known(pair: ContactSet) -> None:
    told = printed(pair, np.random.default_rng(3), 1.0)
    fine, rough = (believe_contact(pair, PRIOR, told, only(scale)) for scale in (0.7, 2.0))
    assert np.trace(rough.covariance) > np.trace(fine.covariance)
    assert (np.diag(rough.covariance) >= np.diag(fine.covariance) - 0.05).all()


def test_prints_that_agree_make_a_job_believed_to_be_read_finely(pair: ContactSet) -> None:
    rng = np.random.default_rng(8)
    exact, rough = printed(pair, rng, 0.0, moves=4), printed(pair, rng, 3.0, moves=4)
    scales = [believe_contact(pair, PRIOR, told).scatter.mean for told in (exact, rough)]
    assert scales[0] < usual_scatter().mean < scales[1]


LOGS = st.lists(st.lists(st.floats(-80.0, 80.0), min_size=6, max_size=6).map(np.array), max_size=20)


@given(LOGS)
def test_shares_are_shares(logs: list[np.ndarray]) -> None:
    weights = shop_scatter(logs).weights
    assert weights.sum() == pytest.approx(1.0)
    assert (weights > 0.0).all(), "nothing is ruled out for good"


@given(LOGS)
def test_the_order_of_the_jobs_and_what_they_have_in_common_do_not_matter(logs: list[np.ndarray]) -> None:
    there = shop_scatter(logs).weights
    assert shop_scatter([log + 7.0 for log in reversed(logs)]).weights == pytest.approx(there, rel=1e-6, abs=1e-9)


def test_a_job_that_says_nothing_changes_nothing() -> None:
    assert shop_scatter([np.zeros(6)] * 5).weights == pytest.approx(shop_scatter([]).weights)


# -- sizes known only as a band ----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def wider(pair: ContactSet) -> Variant:
    """Return the same set with its spiral angle three degrees further."""
    return Variant(contact_set(replace(SET_A["bevel"], spiral_angle_deg=38.0)))


def test_a_size_known_as_a_band_makes_a_move_less_sure(pair: ContactSet, wider: Variant) -> None:
    told = printed(pair, np.random.default_rng(4), 1.0, moves=1)
    sds = []
    for variants in ((), (wider,)):
        belief = believe_contact(pair, PRIOR, told, variants=variants)
        slopes = belief.slopes(-0.3, 0.2)
        sds.append(np.sqrt(np.einsum("ij,jk,ik->i", slopes, belief.covariance, slopes)))
    assert (sds[1] >= sds[0] - 0.002).all()
    assert (sds[1] > sds[0] + 0.002).any()


def test_prints_tell_of_a_size_that_is_off(pair: ContactSet, wider: Variant) -> None:
    model = ContactModel(wider.pair, PRIOR)
    moves = [(0.0, 0.0), (0.3, 0.0), (-0.3, 0.0), (0.0, 0.3), (0.0, -0.3), (0.3, -0.3)]
    told = []
    for pinion_mm, gear_mm in moves:
        prints = {flank: Print(*model.told(np.zeros(OWN), flank, pinion_mm, gear_mm).tolist()) for flank in Flank}
        told.append(Looked(pinion_mm, gear_mm, prints))
    belief = believe_contact(pair, PRIOR, told, only(0.5), (wider,))
    assert belief.at[OWN] > 0.5, "toward the set that made the prints"
    assert belief.covariance[OWN, OWN] < 0.9


def test_the_print_is_drawn_where_the_sizes_put_it(pair: ContactSet, wider: Variant) -> None:
    model = ContactModel(pair, PRIOR, (wider,))
    at = np.zeros(OWN + 1)
    at[OWN] = 1.0
    for flank in Flank:
        of_other = ContactModel(wider.pair, PRIOR).told(np.zeros(OWN), flank, 0.1, -0.1)
        assert model.told(at, flank, 0.1, -0.1) == pytest.approx(of_other)


# -- whether any setting helps -----------------------------------------------------------------------------------------


def only(scale: float) -> Scatter:
    """Return the belief of somebody who knows the scatter."""
    weights = np.where(scale == SCALES, 1.0, 1.0e-12)
    return Scatter(weights / weights.sum())


def known(pair: ContactSet, at: np.ndarray) -> ContactBelief:
    count = len(SCALES)
    spread = np.tile(1.0e-9 * np.eye(OWN), (count, 1, 1))
    return ContactBelief(
        ContactModel(pair, PRIOR), usual_scatter(), at, np.tile(at, (count, 1)), spread, np.zeros(count)
    )


def test_a_set_that_is_only_off_can_be_set(pair: ContactSet) -> None:
    at = np.zeros(OWN)
    at[0] = 1.5
    belief = known(pair, at)
    assert hopelessness(belief, MIDDLE, TENTH, LASH, (-0.18, 0.0), np.zeros((1, 4))) == 0.0


def test_flanks_pulled_apart_by_a_wrong_offset_cannot(pair: ContactSet) -> None:
    at = np.zeros(OWN)
    at[2] = 0.35 / PRIOR.offset_sd_mm
    belief = known(pair, at)
    assert hopelessness(belief, MIDDLE, TENTH, LASH, (0.0, 0.0), np.zeros((1, 4))) == 1.0
    assert hopelessness(belief, MIDDLE, 10.0 * TENTH, LASH, (0.0, 0.0), np.zeros((1, 4))) == 0.0


def test_backlash_that_must_be_kept_can_make_it_hopeless(pair: ContactSet) -> None:
    # Only the ring gear is out, and the set is made for backlash where it stands.
    at = np.zeros(OWN)
    at[1] = 4.0
    off = np.array([[0.0, 0.0, 0.09, 0.0]])
    belief = replace(known(pair, at), backlash_off_mm=-PRIOR.gear_rate * 4.0 * PRIOR.gear_sd_mm)
    kept = hopelessness(belief, MIDDLE, TENTH, LASH, (0.0, 0.0), off)
    free = hopelessness(belief, MIDDLE, TENTH, Window(-np.inf, np.inf), (0.0, -0.45), off)
    assert kept >= free
    assert (kept, free) == (1.0, 0.0)
