"""What the public manuals say of any set, found again on 80 random ones of each kind; and that the rest is not so."""

from functools import cache

import numpy as np
import pytest
from contact_sets import random_set

from core.mechanics.contact import Crown, Cut, Flank, Misalignment, contact_set

KINDS = {"bevel, generated": (False, Cut.GENERATED), "hypoid, formed": (True, Cut.FORMED)}


@cache
def motions(kind):
    """Motion of the centre along and in depth, by move and flank, for each of 80 sets."""
    rng = np.random.default_rng(80)
    is_hypoid, cut = KINDS[kind]
    found = {}
    for _ in range(80):
        pair = contact_set(random_set(rng, is_hypoid=is_hypoid, cut=cut), (24, 12))
        crown = Crown(rng.uniform(0.020, 0.045), rng.uniform(0.010, 0.020))
        for flank in Flank:
            start = pair.patch(flank, crown=crown).centre
            for name in ("pinion_mm", "gear_mm"):
                end = pair.patch(flank, Misalignment(**{name: 0.05}), crown).centre
                way = (end.along_ratio - start.along_ratio, end.depth_ratio - start.depth_ratio)
                found.setdefault((name, flank), []).append(way)
    return {key: np.array(ways) for key, ways in found.items()}


@pytest.mark.parametrize("kind", KINDS)
def test_pinion_away_moves_both_flanks_toward_the_face(kind):
    for flank in Flank:
        assert (motions(kind)["pinion_mm", flank][:, 1] > 0.0).all()


@pytest.mark.parametrize("kind", KINDS)
def test_ring_gear_away_moves_drive_toward_the_heel(kind):
    assert (motions(kind)["gear_mm", Flank.DRIVE][:, 0] > 0.0).all()


def test_the_rest_depends_on_the_set():
    """The depth answer to the ring gear changes sign between generated and formed gears; coast does along the tooth."""
    generated, formed = (motions(kind) for kind in KINDS)
    assert (generated["gear_mm", Flank.COAST][:, 1] < 0.0).mean() > 0.8
    assert (formed["gear_mm", Flank.COAST][:, 1] > 0.0).mean() > 0.8
    assert (generated["gear_mm", Flank.COAST][:, 0] > 0.0).mean() > 0.6
    assert (formed["gear_mm", Flank.COAST][:, 0] > 0.0).mean() < 0.4
