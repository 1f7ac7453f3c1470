"""Conversions against NIST Special Publication 811 (2008), appendix B.

The factors printed in bold there are exact and are the definitions everything else follows from: 1 in = 25.4 mm,
1 lb = 0.453 592 37 kg, 1 kgf = 9.806 65 N, 1 US gallon = 231 in³, t/°C = (t/°F − 32)/1.8; the imperial gallon of
4.546 09 L is exact too. The others are checked to the digits printed (the table as reproduced by third parties).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from core.quantities import KINDS, from_unit, parse, to_unit

INCH_MM = Fraction("25.4")
POUND_KG = Fraction("0.45359237")
GRAVITY = Fraction("9.80665")
GALLON_L = 231 * INCH_MM**3 / 10**6
IMPERIAL_GALLON_L = Fraction("4.54609")

EXACT = [
    # (kind, unit, how much of the canonical unit it is)
    ("length", "um", Fraction(1, 1000)),
    ("length", "cm", Fraction(10)),
    ("length", "m", Fraction(1000)),
    ("length", "in", INCH_MM),  # B.8: inch (in) 2.54 E+01 mm
    ("length", "thou", INCH_MM / 1000),  # B.8: mil (0.001 in) 2.54 E-02 mm
    ("torque", "n_cm", Fraction(1, 100)),
    ("torque", "lbf_in", POUND_KG * GRAVITY * INCH_MM / 1000),
    ("torque", "lbf_ft", POUND_KG * GRAVITY * INCH_MM * 12 / 1000),
    ("torque", "ozf_in", POUND_KG / 16 * GRAVITY * INCH_MM / 1000),
    ("torque", "kgf_cm", GRAVITY / 100),
    ("torque", "kgf_m", GRAVITY),  # B.8: kilogram-force meter 9.806 65 E+00 N·m
    ("force", "kn", Fraction(1000)),
    ("force", "kgf", GRAVITY),  # B.8: kilogram-force (kgf) 9.806 65 E+00 N
    ("force", "lbf", POUND_KG * GRAVITY),
    ("volume", "ml", Fraction(1, 1000)),
    ("volume", "us_gal", GALLON_L),
    ("volume", "us_qt", GALLON_L / 4),
    ("volume", "us_pt", GALLON_L / 8),
    ("volume", "imp_qt", IMPERIAL_GALLON_L / 4),
    ("volume", "imp_pt", IMPERIAL_GALLON_L / 8),
    ("mass", "g", Fraction(1, 1000)),
    ("mass", "lb", POUND_KG),  # B.8: pound (avoirdupois) 4.535 923 7 E-01 kg
    ("mass", "oz", POUND_KG / 16),
    ("temperature_difference", "c_diff", Fraction(1)),
    ("temperature_difference", "f_diff", Fraction(5, 9)),  # B.8: degree Fahrenheit (interval) 5.555 556 E-01 K
    ("viscosity", "cst", Fraction(1)),  # B.8: centistokes 1.0 E-06 m²/s
    ("ratio", "percent", Fraction(1, 100)),
    ("area", "cm2", Fraction(100)),
    ("area", "in2", INCH_MM**2),  # B.8: square inch (in²) 6.4516 E+02 mm²
    ("stress", "n_mm2", Fraction(1)),
    ("stress", "gpa", Fraction(1000)),
    ("stress", "pa", Fraction(1, 10**6)),
    ("stress", "psi", POUND_KG * GRAVITY / INCH_MM**2),
    ("stress", "ksi", 1000 * POUND_KG * GRAVITY / INCH_MM**2),
    ("stiffness", "kn_mm", Fraction(1000)),
    ("stiffness", "n_um", Fraction(1000)),
    ("stiffness", "lbf_in", POUND_KG * GRAVITY / INCH_MM),
    ("expansion", "ppm_k", Fraction(1, 10**6)),
    ("expansion", "ppm_f", Fraction(9, 5) / 10**6),  # a Fahrenheit interval is 5/9 K
]

PRINTED = [
    # (kind, unit, as printed in B.8, half a unit of the last printed digit)
    ("torque", "lbf_in", 1.129848e-01, 0.5e-7),  # pound-force inch
    ("torque", "lbf_ft", 1.355818, 0.5e-6),  # pound-force foot
    ("torque", "ozf_in", 7.061552e-03, 0.5e-9),  # ounce (avoirdupois)-force inch
    ("force", "lbf", 4.448222, 0.5e-6),  # pound-force
    ("stress", "psi", 6.894757e-03, 0.5e-9),  # pound-force per square inch (psi) 6.894 757 E+03 Pa
    ("stiffness", "lbf_in", 1.751268e-01, 0.5e-7),  # pound-force per inch 1.751 268 E+02 N/m
    ("volume", "us_gal", 3.785412, 0.5e-6),  # gallon (U.S.)
    ("volume", "us_qt", 9.463529e-01, 0.5e-7),  # quart (U.S. liquid)
    ("volume", "us_pt", 4.731765e-01, 0.5e-7),  # pint (U.S. liquid)
    ("mass", "oz", 2.834952e-02, 0.5e-8),  # ounce (avoirdupois)
    ("angle", "rad", 57.29578, 0.5e-5),  # radian, from degree 1.745 329 E-02 rad
]


@pytest.mark.parametrize(("kind", "unit", "factor"), EXACT)
def test_exact_factors_to_the_last_bit(kind: str, unit: str, factor: Fraction) -> None:
    assert from_unit(kind, 1.0, unit) == float(factor)
    assert from_unit(kind, 40.0, unit) == float(40 * factor)
    assert to_unit(kind, 1.0, unit) == float(1 / factor)


@pytest.mark.parametrize(("kind", "unit", "printed", "half_digit"), PRINTED)
def test_factors_as_printed(kind: str, unit: str, printed: float, half_digit: float) -> None:
    assert from_unit(kind, 1.0, unit) == pytest.approx(printed, abs=half_digit, rel=0)


def test_every_unit_is_checked_here() -> None:
    checked = {(kind, unit) for kind, unit, *_ in [*EXACT, *PRINTED]}
    checked |= {("temperature", unit.id) for unit in KINDS["temperature"].units}
    every = {(kind.key, unit.id) for kind in KINDS.values() for unit in kind.units if unit is not kind.canonical}
    assert every <= checked


@pytest.mark.parametrize(
    ("unit", "typed", "celsius"),
    [
        # NIST SP 811 B.8: t/°C = (t/°F − 32)/1.8 and t/°C = T/K − 273.15; both exact.
        ("deg_f", 32.0, 0.0),
        ("deg_f", 212.0, 100.0),
        ("deg_f", 68.0, 20.0),
        ("deg_f", -40.0, -40.0),
        ("k", 273.15, 0.0),
        ("k", 0.0, -273.15),
        ("deg_c", 95.0, 95.0),
    ],
)
def test_temperatures(unit: str, typed: float, celsius: float) -> None:
    assert from_unit("temperature", typed, unit) == celsius
    assert to_unit("temperature", celsius, unit) == typed


def test_a_difference_of_temperature_is_not_a_temperature() -> None:
    assert to_unit("temperature_difference", 10.0, "f_diff") == 18.0
    assert to_unit("temperature", 10.0, "deg_f") == 50.0


@pytest.mark.parametrize(
    ("kind", "text", "canonical"),
    [
        ("length", "0.006 in", 0.1524),
        ("length", "3 thou", 0.0762),
        ("torque", "1 lbf·in", 0.1129848290276167),
        ("torque", "1 lbf·ft", 1.3558179483314004),
        ("torque", "1 kgf·cm", 0.0980665),
        ("volume", "1 qt", 0.946352946),
        ("volume", "1 imp qt", 1.1365225),
    ],
)
def test_from_the_typed_text(kind: str, text: str, canonical: float) -> None:
    assert parse(kind, text).value == canonical
