"""The benchmark of "what if" in small: prints are foretold nearer than by the belief alone, and the doubt is right."""

from __future__ import annotations

import pytest

from tests.benchmarks.virtual_set import World
from tests.benchmarks.what_if_doubt import MOVES_MM, asked, rms, within_two


@pytest.mark.long
def test_prints_are_foretold_nearer_from_the_one_that_was_read_and_the_doubt_is_right() -> None:
    found = [one for seed in range(40) for one in asked(seed, World(), 1)]
    assert len(found) > 10 * len(MOVES_MM)
    here = [one for one in found if one.move_mm == 0.0]
    alone, drawn = rms([one.by_belief for one in here]), rms([one.off for one in here])
    assert sum(drawn) < 0.98 * sum(alone)
    near, far = ([one for one in found if one.move_mm in moves] for moves in (MOVES_MM[:3], MOVES_MM[3:]))
    for told in (near, far):
        assert 0.88 < within_two(told) < 0.995
