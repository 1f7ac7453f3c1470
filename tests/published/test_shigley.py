"""Textbook machine design (Shigley's and its kind): clutches, press fits, and a square groove; from memory.

Radii 45 and 75 mm: mean radius 60.000 (uniform wear) and 61.250 mm (uniform pressure). Eight faces, μ 0.1, 5 kN at
60 mm: 240 N·m. Locking value 0.40: bias ratio 2.333. Press fit d 50, D 100, solid steel shaft, δ 0.050 mm, E 207 GPa:
77.625 MPa. Square-cut retaining-ring groove in torsion: 3 as a first estimate.
"""

import pytest

from core.mechanics.clutch import UNIFORM_PRESSURE, UNIFORM_WEAR, bias_ratio, mean_radius_mm, pack_torque_nm
from core.mechanics.groove import SQUARE_CUT_CONCENTRATION, groove_concentration
from core.mechanics.press import press_pressure_mpa


@pytest.mark.parametrize(("model", "radius"), [(UNIFORM_WEAR, 60.000), (UNIFORM_PRESSURE, 61.250)])
def test_mean_radius(model, radius):
    assert mean_radius_mm(45.0, 75.0, model) == pytest.approx(radius, abs=0.0005)


def test_pack_torque():
    assert pack_torque_nm(8, 0.1, 5000.0, 45.0, 75.0) == pytest.approx(240.0, abs=0.5)


def test_bias_ratio():
    assert bias_ratio(0.40) == pytest.approx(2.333, abs=0.0005)


def test_press_fit():
    assert press_pressure_mpa(50.0, 100.0, 0.050) == pytest.approx(77.625, abs=0.0005)


def test_a_square_cut_is_worse_than_any_usual_radius():
    assert groove_concentration(30.0, 28.0, 0.3).highest < SQUARE_CUT_CONCENTRATION
