"""The crossed gauge study."""

import math

import numpy as np
import pytest

from core.errors import RangeError
from core.mechanics.gauge_study import GaugeStudy, gauge_study


def invented(repeat, people, both, parts, seed=3):
    """Readings of 30 parts by 10 people, 5 times, with known standard deviations."""
    draw = np.random.default_rng(seed)
    table = (
        draw.normal(0.0, parts, (30, 1, 1))
        + draw.normal(0.0, people, (1, 10, 1))
        + draw.normal(0.0, both, (30, 10, 1))
        + draw.normal(0.0, repeat, (30, 10, 5))
    )
    return gauge_study(table.tolist())


def test_known_scatter_is_found_again():
    study = invented(0.010, 0.012, 0.020, 0.080)
    assert study.repeatability == pytest.approx(0.010, rel=0.05)
    assert study.interaction == pytest.approx(0.020, rel=0.1)
    assert study.parts == pytest.approx(0.080, rel=0.35)
    assert study.reproducibility == pytest.approx(0.012, rel=0.6)
    assert study.gauge_and_people**2 + study.parts**2 == pytest.approx(study.total**2)


def test_without_people_and_interaction_all_is_repeatability():
    study = gauge_study([[[1.0, 1.2], [1.2, 1.0]], [[3.0, 3.2], [3.2, 3.0]]])
    assert (study.reproducibility, study.interaction) == (0.0, 0.0)
    assert study.repeatability > 0.0


def test_a_gauge_that_does_not_scatter():
    study = gauge_study([[[1.0, 1.0], [1.0, 1.0]], [[3.0, 3.0], [3.0, 3.0]]])
    assert study.categories is None
    assert study.share_ratio == 0.0


def test_share_of_tolerance():
    assert GaugeStudy(0.003, 0.004, 0.0, 0.1).share_of_tolerance(0.1) == pytest.approx(0.3)
    with pytest.raises(RangeError):
        GaugeStudy(0.003, 0.004, 0.0, 0.1).share_of_tolerance(0.0)


@pytest.mark.parametrize(
    "readings",
    [
        [],
        [[[1.0, 1.1], [1.2, 1.3]]],
        [[[1.0, 1.1]], [[1.2, 1.3]]],
        [[[1.0], [1.1]], [[1.2], [1.3]]],
        [[[1.0, 1.1], [1.2]], [[1.2, 1.3], [1.0, 1.1]]],
        [[[1.0, 1.1], [1.2, 1.3]], [[1.2, 1.3]]],
        [[[1.0, 1.1], [1.2, math.nan]], [[1.2, 1.3], [1.0, 1.1]]],
        [[[1.0, 1.0], [1.0, 1.0]], [[1.0, 1.0], [1.0, 1.0]]],
    ],
)
def test_refusals(readings):
    with pytest.raises(RangeError):
        gauge_study(readings)
