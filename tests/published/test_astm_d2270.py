"""ASTM D2270, viscosity index: examples 5.1.4 and 6.1.4 (1) and (2), reported as whole numbers.

Behind them `data/chemicals_1_5_2_viscosity_index.csv`: the standard's table read by another program. The equations used
here are the standard's own fit to that table; between VI 0 and 400 they stay within 0.3.
"""

import csv
from pathlib import Path

import pytest

from core.mechanics.viscosity import viscosity_index

TABLE = Path(__file__).parent / "data" / "chemicals_1_5_2_viscosity_index.csv"


@pytest.mark.parametrize(("at_40", "at_100", "index"), [(73.30, 8.86, 92), (22.83, 5.05, 156), (53.47, 7.80, 111)])
def test_examples(at_40, at_100, index):
    assert round(viscosity_index(at_40, at_100)) == index


def test_example_before_rounding():
    assert viscosity_index(73.30, 8.86) == pytest.approx(92.43, abs=0.05)
    assert viscosity_index(22.83, 5.05) == pytest.approx(156.37, abs=0.1)


def test_against_the_package_chemicals():
    with TABLE.open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    for row in rows:
        found = viscosity_index(float(row["viscosity_40"]), float(row["viscosity_100"]))
        assert found == pytest.approx(float(row["index"]), abs=0.3)
    assert len(rows) > 100
