"""Several teeth: the mean print, and how far they scatter."""

from __future__ import annotations

import math
from statistics import stdev

import pytest

from core.errors import InputError
from core.mechanics.contact.patch import Patch
from core.mechanics.outline import measure
from core.mechanics.pattern import Centre
from core.tooth_photo import PrintKind, ToothReading, averaged


def oval(along: float, depth: float, kind: PrintKind = PrintKind.DISPLACED) -> ToothReading:
    turns = [2 * math.pi * k / 40 for k in range(40)]
    loop = tuple((along + 0.2 * math.cos(t), depth + 0.3 * math.sin(t)) for t in turns)
    ends = (along - 0.2, along + 0.2), (depth - 0.3, depth + 0.3)
    return ToothReading((loop,), Patch(Centre(along, depth), *ends, 0.06 * math.pi, 4.0), kind, 0.9, 0.0)


def test_teeth_alike_are_their_own_mean_and_do_not_scatter() -> None:
    mean = averaged([oval(0.4, 0.5)] * 3)
    assert mean.teeth == 3
    assert mean.patch.centre.along_ratio == pytest.approx(0.4)
    assert mean.patch.depth_ends == pytest.approx((0.2, 0.8))
    assert mean.scatter is not None and mean.scatter.along_ratio == pytest.approx(0.0, abs=1e-12)
    (loop,) = mean.outline
    assert min(x for x, _ in loop) == pytest.approx(0.2, abs=0.01)
    assert max(y for _, y in loop) == pytest.approx(0.8, abs=0.02)


def test_mean_and_scatter_are_those_of_what_was_read() -> None:
    along = (0.35, 0.40, 0.48)
    mean = averaged([oval(x, 0.5) for x in along])
    assert mean.patch.centre.along_ratio == pytest.approx(sum(along) / 3)
    assert mean.scatter is not None
    assert mean.scatter.along_ratio == pytest.approx(stdev(along))
    assert mean.scatter.along_ends == pytest.approx((stdev(along), stdev(along)))
    assert mean.scatter.depth_ratio == pytest.approx(0.0, abs=1e-12)
    # The edge lies in the mean of the edges.
    (loop,) = mean.outline
    assert min(x for x, _ in loop) == pytest.approx(0.21, abs=0.012)
    assert max(x for x, _ in loop) == pytest.approx(0.61, abs=0.012)


def test_the_outline_of_two_teeth_lies_half_way_and_not_where_either_is_marked() -> None:
    mean = averaged([oval(0.36, 0.5), oval(0.46, 0.5)])
    numbers = measure(mean.outline)
    assert numbers.along == pytest.approx(0.41, abs=0.002)
    assert numbers.length == pytest.approx(0.40, abs=0.025)


def test_the_order_of_the_teeth_does_not_matter() -> None:
    teeth = [oval(0.35, 0.5), oval(0.4, 0.55), oval(0.5, 0.45)]
    one, other = averaged(teeth), averaged(teeth[::-1])
    assert one.outline == other.outline
    assert one.patch.centre.along_ratio == pytest.approx(other.patch.centre.along_ratio)


def test_a_single_tooth_has_no_scatter() -> None:
    mean = averaged([oval(0.4, 0.5)])
    assert mean.teeth == 1 and mean.scatter is None


def test_what_has_no_mean_is_refused() -> None:
    with pytest.raises(InputError, match="No tooth"):
        averaged([])
    with pytest.raises(InputError, match="one kind of print"):
        averaged([oval(0.4, 0.5), oval(0.4, 0.5, PrintKind.TRANSFERRED)])
    with pytest.raises(InputError, match="different places"):
        averaged([oval(0.22, 0.5), oval(0.78, 0.5)])
