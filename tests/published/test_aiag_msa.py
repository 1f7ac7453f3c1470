"""AIAG, Measurement Systems Analysis: the crossed study of 10 parts, 3 people, 3 repeats, analysis of variance.

Data and results from memory; six printed digits: repeatability 0.199933, reproducibility 0.226838, both 0.302373, parts
1.042327, total 1.085; 4 categories. That data and results fit each other to the last digit speaks for the memory.
"""

import pytest

from core.mechanics.gauge_study import gauge_study

DATA = """
 0.29 -0.56 1.34 0.47 -0.80  0.02 0.59 -0.31 2.26 -1.36
 0.41 -0.68 1.17 0.50 -0.92 -0.11 0.75 -0.20 1.99 -1.25
 0.64 -0.58 1.27 0.64 -0.84 -0.21 0.66 -0.17 2.01 -1.31
 0.08 -0.47 1.19 0.01 -0.56 -0.20 0.47 -0.63 1.80 -1.68
 0.25 -1.22 0.94 1.03 -1.20  0.22 0.55  0.08 2.12 -1.62
 0.07 -0.68 1.34 0.20 -1.28  0.06 0.83 -0.34 2.19 -1.50
 0.04 -1.38 0.88 0.14 -1.46 -0.29 0.02 -0.46 1.77 -1.49
-0.11 -1.13 1.09 0.20 -1.07 -0.67 0.01 -0.56 1.45 -1.77
-0.15 -0.96 0.67 0.11 -1.45 -0.49 0.21 -0.49 1.87 -2.16
"""
LINES = [[float(value) for value in line.split()] for line in DATA.strip().splitlines()]
READINGS = [[[LINES[3 * who + again][part] for again in range(3)] for who in range(3)] for part in range(10)]


def test_example():
    study = gauge_study(READINGS)
    assert study.repeatability == pytest.approx(0.199933, abs=5e-7)
    assert study.reproducibility == pytest.approx(0.226838, abs=6e-7)
    assert study.interaction == 0.0
    assert study.gauge_and_people == pytest.approx(0.302373, abs=2e-6)
    assert study.parts == pytest.approx(1.042327, abs=6e-7)
    assert study.total == pytest.approx(1.085, abs=0.0005)
    assert study.share_ratio == pytest.approx(0.279, abs=0.0005)
    assert study.categories == 4
