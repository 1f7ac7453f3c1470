"""ISO 898-1, nominal stress areas [mm²] and proof loads [N] of coarse threads, as reproduced by fastener suppliers.

Printed to three digits. The standard multiplies the stress area **as printed**, so a load computed from the exact area
may differ by the rounding of that area (up to 0.7 %, M6 8.8). The fine threads' areas are from memory.
"""

import pytest

from core.mechanics.threads import PROPERTY_CLASSES, proof_load_n, thread

LOADS = {
    # thread: printed area, then proof loads for 8.8, 10.9, 12.9
    "M6": (20.1, 11600, 16700, 19500),
    "M8": (36.6, 21200, 30400, 35500),
    "M10": (58.0, 33700, 48100, 56300),
    "M12": (84.3, 48900, 70000, 81800),
    "M14": (115.0, 66700, 95500, 112000),
    "M16": (157.0, 91000, 130000, 152000),
}
FINE_AREAS = {"M8x1": 39.2, "M10x1.25": 61.2, "M10x1": 64.5, "M12x1.5": 88.1, "M14x1.5": 125.0, "M16x1.5": 167.0}


def three_digits(value: float) -> float:
    return float(f"{value:.3g}")


@pytest.mark.parametrize("name", LOADS)
def test_stress_area(name):
    assert three_digits(thread(name).stress_area_mm2) == LOADS[name][0]


@pytest.mark.parametrize(("name", "area"), [*FINE_AREAS.items(), ("M12x1.25", 92.1)])
def test_stress_area_of_fine_threads(name, area):
    assert three_digits(thread(name).stress_area_mm2) == area


@pytest.mark.parametrize("grade", PROPERTY_CLASSES)
@pytest.mark.parametrize("name", LOADS)
def test_proof_load(name, grade):
    area, *loads = LOADS[name]
    printed = loads[list(PROPERTY_CLASSES).index(grade)]
    # One unit of the last printed digit: the standard rounds 33 640 N (M10, 8.8) up to 33 700.
    assert PROPERTY_CLASSES[grade].proof_mpa * area == pytest.approx(printed, abs=10 ** (len(str(printed)) - 3))
    assert proof_load_n(thread(name), PROPERTY_CLASSES[grade]) == pytest.approx(printed, rel=0.007)
