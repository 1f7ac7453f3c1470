"""Press fits and heating: Lamé as a boundary-value problem, laws and refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_bvp

from core.errors import RangeError
from core.mechanics import press


def displacement_mm(pressure_in, pressure_out, inner_mm, outer_mm, young, poisson, at_mm):
    """Radial displacement of a ring, from equilibrium as a boundary-value problem (plane stress)."""
    stiffness = young / (1.0 - poisson**2)

    def equilibrium(radius, state):
        moved, slope = state
        return np.vstack((slope, moved / radius**2 - slope / radius))

    def radial_stress(radius, moved, slope):
        return stiffness * (slope + poisson * moved / radius)

    def ends(inside, outside):
        return np.array(
            [radial_stress(inner_mm, *inside) + pressure_in, radial_stress(outer_mm, *outside) + pressure_out]
        )

    radii = np.linspace(inner_mm, outer_mm, 40)
    solution = solve_bvp(equilibrium, ends, radii, np.full((2, radii.size), 1e-4), tol=1e-8)
    assert solution.success
    return float(solution.sol(at_mm)[0])


@pytest.mark.parametrize(
    ("diameter", "hub", "bore", "interference", "hub_e", "hub_nu", "shaft_e", "shaft_nu"),
    [
        (50.0, 100.0, 20.0, 0.050, 207e3, 0.30, 207e3, 0.30),
        (45.0, 75.0, 25.0, 0.020, 70e3, 0.33, 207e3, 0.30),
        (120.0, 160.0, 90.0, 0.060, 207e3, 0.30, 170e3, 0.27),
    ],
)
def test_lame_as_a_boundary_value_problem(diameter, hub, bore, interference, hub_e, hub_nu, shaft_e, shaft_nu):
    pressure = press.press_pressure_mpa(diameter, hub, interference, bore, hub_e, hub_nu, shaft_e, shaft_nu)
    joint = 0.5 * diameter
    widened = displacement_mm(pressure, 0.0, joint, 0.5 * hub, hub_e, hub_nu, joint)
    squeezed = displacement_mm(0.0, pressure, 0.5 * bore, joint, shaft_e, shaft_nu, joint)
    assert 2.0 * (widened - squeezed) == pytest.approx(interference, rel=1e-5)


@given(st.floats(20.0, 80.0), st.floats(1.2, 3.0), st.floats(0.001, 0.1), st.floats(0.0, 0.8))
def test_pressure_follows_interference_and_a_bore_makes_it_less(diameter, share, interference, bore_share):
    solid = press.press_pressure_mpa(diameter, share * diameter, interference)
    assert press.press_pressure_mpa(diameter, share * diameter, 2.0 * interference) == pytest.approx(2.0 * solid)
    assert press.press_pressure_mpa(diameter, share * diameter, interference, bore_share * diameter) <= solid * (
        1 + 1e-9
    )
    assert press.hub_hoop_stress_mpa(solid, diameter, share * diameter) > solid


@given(st.floats(20.0, 80.0), st.floats(0.0, 0.02), st.floats(0.0, 0.01), st.floats(10.0, 30.0))
def test_at_the_heating_temperature_the_bore_has_grown_enough(bore, interference, clearance, ambient):
    temperature = press.heating_temperature_c(bore, interference, clearance, ambient, highest_c=300.0)
    assert press.bore_growth_mm(bore, temperature, ambient) == pytest.approx(interference + clearance, abs=1e-12)


def test_slip_torque_follows_the_length():
    one = press.fit_slip_torque_nm(50.0, 45.0, 20.0, 0.12)
    assert press.fit_slip_torque_nm(50.0, 45.0, 40.0, 0.12) == pytest.approx(2.0 * one)


@pytest.mark.parametrize(
    "call",
    [
        lambda: press.bore_growth_mm(0.0, 100.0),
        lambda: press.bore_growth_mm(45.0, 500.0),
        lambda: press.bore_growth_mm(45.0, 100.0, -300.0),
        lambda: press.bore_growth_mm(45.0, 100.0, 20.0, 0.0),
        lambda: press.heating_temperature_c(45.0, -0.01, 0.0),
        lambda: press.heating_temperature_c(45.0, 0.01, -0.01),
        lambda: press.press_pressure_mpa(0.0, 100.0, 0.05),
        lambda: press.press_pressure_mpa(50.0, 50.0, 0.05),
        lambda: press.press_pressure_mpa(50.0, 100.0, -0.05),
        lambda: press.press_pressure_mpa(50.0, 100.0, 0.05, 50.0),
        lambda: press.press_pressure_mpa(50.0, 100.0, 0.05, poisson_hub=0.6),
        lambda: press.press_pressure_mpa(50.0, 100.0, 0.05, young_shaft_mpa=0.0),
        lambda: press.hub_hoop_stress_mpa(-1.0, 50.0, 100.0),
        lambda: press.fit_slip_torque_nm(-1.0, 50.0, 40.0, 0.1),
        lambda: press.fit_slip_torque_nm(1.0, 50.0, 40.0, 0.0),
        lambda: press.fit_slip_torque_nm(1.0, 50.0, 40.0, 0.7),
    ],
)
def test_refusals(call):
    with pytest.raises(RangeError):
        call()
