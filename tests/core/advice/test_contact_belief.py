"""Laws of the belief about the contact: what the model itself printed is found again, and moves keep their limits."""

from __future__ import annotations

import numpy as np
import pytest

from core.advice.contact_belief import ContactBelief
from core.advice.contact_fit import believe_contact
from core.advice.contact_model import ContactModel, ContactPrior, Looked, Print
from core.advice.contact_move import Aim, best_move
from core.advice.contact_scatter import usual_scatter
from core.advice.next_pair import Window
from core.mechanics.contact import ContactSet, Flank, GearSet, contact_set

PRIOR = ContactPrior(0.08, 0.03, 0.70, 0.33)
CENTRED = Aim((0.5, 0.5, 0.5, 0.5), (0.1, 0.1, 0.1, 0.1))


@pytest.fixture(scope="module")
def pair() -> ContactSet:
    return contact_set(
        GearSet(
            pinion_teeth=9,
            ring_gear_teeth=41,
            outer_diameter_mm=205.0,
            face_width_mm=31.0,
            spiral_angle_deg=35.0,
            pressure_angle_deg=20.0,
            cutter_radius_mm=82.55,
        )
    )


def known(pair: ContactSet, truth: np.ndarray) -> ContactBelief:
    """Return the belief of somebody who knows the unknowns."""
    at, scatter = truth / PRIOR.sds, usual_scatter()
    count = len(scatter.weights)
    model, spread = ContactModel(pair, PRIOR), np.tile(np.eye(12), (count, 1, 1))
    return ContactBelief(model, scatter, at, np.tile(at, (count, 1)), spread, np.zeros(count))


def told(pair: ContactSet, truth: np.ndarray, pinion_mm: float = 0.0, gear_mm: float = 0.0) -> Looked:
    """Return the prints of a set that is off as `truth` says, read without any error."""
    at = known(pair, truth)
    prints = {}
    for flank, (along, depth) in zip(Flank, at.centres(pinion_mm, gear_mm).reshape(2, 2), strict=True):
        found = at.print_on(flank, pinion_mm, gear_mm)
        prints[flank] = Print(float(along), float(depth), found.along_extent_ratio, found.depth_extent_ratio)
    return Looked(pinion_mm, gear_mm, prints, at.backlash_mm(pinion_mm, gear_mm))


TRUTH = np.array([0.15, -0.08, 0.01, 0.1, -0.1, 0.1, 0.0, 0.05, 0.01, 0.0, -0.01, 0.02])


def test_where_the_gears_sit_is_found_again(pair: ContactSet) -> None:
    belief = believe_contact(pair, PRIOR, [told(pair, TRUTH)])
    assert (belief.at * PRIOR.sds)[:2] == pytest.approx(TRUTH[:2], abs=0.03)
    assert belief.centres(-0.15, 0.08) == pytest.approx([0.5] * 4, abs=0.06)


def test_a_real_move_makes_it_surer(pair: ContactSet) -> None:
    one = believe_contact(pair, PRIOR, [told(pair, TRUTH)])
    two = believe_contact(pair, PRIOR, [told(pair, TRUTH), told(pair, TRUTH, -0.1, 0.04)])
    assert np.trace(two.covariance) < np.trace(one.covariance)
    assert np.abs(two.at - TRUTH / PRIOR.sds).max() <= np.abs(one.at - TRUTH / PRIOR.sds).max() + 0.1


def test_one_flank_alone_is_read_too(pair: ContactSet) -> None:
    whole = told(pair, TRUTH)
    half = Looked(0.0, 0.0, {Flank.DRIVE: whole.prints[Flank.DRIVE]}, whole.backlash_mm)
    belief = believe_contact(pair, PRIOR, [half])
    assert np.isfinite(belief.at).all()
    assert np.trace(belief.covariance) > np.trace(believe_contact(pair, PRIOR, [whole]).covariance)


def test_a_print_far_out_misleads_little(pair: ContactSet) -> None:
    sound = [told(pair, TRUTH), told(pair, TRUTH, -0.1), told(pair, TRUTH, -0.14)]
    slip = Looked(-0.1, 0.0, {Flank.DRIVE: Print(0.95, 0.05), Flank.COAST: sound[1].prints[Flank.COAST]})
    off = believe_contact(pair, PRIOR, [sound[0], slip, sound[2]]).at - believe_contact(pair, PRIOR, sound).at
    assert abs(off[0]) * PRIOR.sds[0] < 0.05


def test_without_any_print_nothing_is_learned(pair: ContactSet) -> None:
    belief = believe_contact(pair, PRIOR, [Looked(0.0, 0.0, {})])
    assert belief.at == pytest.approx(np.zeros(12))


def test_the_move_centres_the_prints_and_keeps_backlash(pair: ContactSet) -> None:
    belief = believe_contact(pair, PRIOR, [told(pair, TRUTH)])
    move = best_move(belief, CENTRED, Window(0.06, 0.10))
    assert CENTRED.is_met(move.centres)
    assert 0.055 <= move.backlash_mm <= 0.105
    assert 0.0 <= move.hopeless <= 0.2 and 0.7 <= move.chance <= 1.0
    truth = known(pair, TRUTH)
    assert CENTRED.is_met(truth.centres(move.pinion_mm, move.gear_mm))


def test_moves_come_in_the_steps_there_are(pair: ContactSet) -> None:
    belief = believe_contact(pair, PRIOR, [told(pair, TRUTH)])
    move = best_move(belief, CENTRED, Window(0.0, 1.0), (0.013, -0.007), (0.05, 0.04))
    assert (move.pinion_mm - 0.013) / 0.05 == pytest.approx(round((move.pinion_mm - 0.013) / 0.05))
    assert (move.gear_mm + 0.007) / 0.04 == pytest.approx(round((move.gear_mm + 0.007) / 0.04))


def test_a_wider_tolerance_is_met_more_surely(pair: ContactSet) -> None:
    belief = believe_contact(pair, PRIOR, [told(pair, TRUTH)])
    strict = best_move(belief, Aim((0.5,) * 4, (0.05,) * 4), Window(0.06, 0.10))
    wide = best_move(belief, Aim((0.5,) * 4, (0.15,) * 4), Window(0.06, 0.10))
    assert wide.chance >= strict.chance
    assert wide.hopeless <= strict.hopeless


def test_a_move_adds_to_the_backlash_that_was_read(pair: ContactSet) -> None:
    seen = told(pair, TRUTH)
    # Made for more backlash than is usual: that is not a ring gear that sits further out.
    readings = [Looked(0.0, 0.0, seen.prints, 0.12)]
    belief = believe_contact(pair, PRIOR, readings)
    assert belief.backlash_mm(0.0, 0.0) == pytest.approx(0.12)
    assert belief.backlash_mm(0.1, -0.1) == pytest.approx(0.12 + 0.1 * (PRIOR.pinion_rate - PRIOR.gear_rate))
