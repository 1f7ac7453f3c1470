"""An uncertainty budget: what each influence adds, and how sure the sum itself is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from core.mechanics.checks import at_least, finite
from core.mechanics.uncertainty import combined_u, coverage_factor, effective_degrees, expanded_u


@dataclass(frozen=True)
class Influence:
    """One line of a budget.

    `standard_u` is in the influence's own unit, `sensitivity` turns it into the unit of the result; `degrees` are the
    degrees of freedom, infinite for what is known, such as resolution and stated error.
    """

    label: str
    standard_u: float
    sensitivity: float = 1.0
    degrees: float = math.inf

    @property
    def contribution(self) -> float:
        """Standard uncertainty it adds to the result [unit of the result]."""
        return abs(self.sensitivity) * self.standard_u


@dataclass(frozen=True)
class Budget:
    """A worked-out budget [unit of the result]; `shares` are of the variance, in the order of the influences."""

    influences: tuple[Influence, ...]
    standard_u: float
    degrees: float
    coverage: float
    expanded: float
    shares: tuple[float, ...]


def budget(influences: Sequence[Influence]) -> Budget:
    """Work out an uncertainty budget.

    u = √Σ(c_i u_i)², effective degrees of freedom by Welch–Satterthwaite, k for about 95 % from them, U = k u.

    Parameters
    ----------
    influences : sequence of Influence
        Lines of the budget, independent of each other; one or more.

    Returns
    -------
    Budget
        Standard and expanded uncertainty, and each influence's share of the variance.

    Raises
    ------
    RangeError
        For no influence, a negative uncertainty, a sensitivity that is not a number or less than 1 degree of freedom.

    Notes
    -----
    Source: GUM (JCGM 100:2008) 5.1.2, G.4.1, G.6.4. Its example H.1 (25, 9.7, 2.9 and 16.6 nm with 18, 25.6, 50 and 2
    degrees of freedom) gives 32 nm with 16 degrees (from memory).

    Examples
    --------
    >>> found = budget([Influence("gauge", 0.0028868), Influence("stated error", 0.0086603), Influence("s", 0.0023094)])
    >>> round(found.standard_u, 6), round(found.expanded, 4), [round(share, 2) for share in found.shares]
    (0.009416, 0.0188, [0.09, 0.85, 0.06])
    """
    at_least("number of influences", len(influences), 1)
    for line in influences:
        finite("sensitivity", line.sensitivity)
    parts = [line.contribution for line in influences]
    total = combined_u(*parts)
    degrees = effective_degrees(total, [(line.contribution, line.degrees) for line in influences])
    coverage = coverage_factor(max(1.0, degrees))  # never below the smallest of them but by rounding
    shares = tuple((part / total) ** 2 if total else 0.0 for part in parts)
    return Budget(tuple(influences), total, degrees, coverage, expanded_u(total, coverage), shares)
