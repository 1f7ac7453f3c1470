"""The chart of a family: told in words, shapes and letters, in any colours, from any values."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from typing import Any
from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QApplication
from reportlab.graphics.shapes import Circle, Drawing, Line, Polygon, PolyLine, Rect, String

from core.charts import BY_GAUGE, BY_PERSON, FamilyChart, Point, quantity
from core.mechanics.control_chart import control_chart
from core.sheet.figures import PRINT_PALETTE, NothingYet, Palette, as_svg, family_chart_figure
from core.sheet.figures.control_chart import MOST_POINTS

BLACK_AND_WHITE = Palette("#000000", "#000000", "#000000", *["#FFFFFF"] * 6)
BEGUN = datetime(2025, 1, 1, 9, 0, tzinfo=UTC)
PEOPLE = ("Tam Ollerby", "Jory Pell")


def made(values: list[float | None], key: str = "backlash", **limits: Any) -> FamilyChart:
    points = tuple(
        Point(
            at,
            str(2400 + at),
            "K-1183",
            BEGUN + timedelta(days=at),
            value,
            person=PEOPLE[at % 2],
            gauges=("dial gauge 1",),
            **limits,
        )
        for at, value in enumerate(values)
    )
    return FamilyChart("Orrin B", quantity(key), points, control_chart(values))


def drawn(chart: FamilyChart, by: str = BY_PERSON, palette: Palette = PRINT_PALETTE, units: str = "metric") -> Drawing:
    drawing = family_chart_figure(chart, by, palette, units=units)
    svg = as_svg(drawing)
    assert ElementTree.fromstring(svg).tag.endswith("svg")
    for forbidden in (b"opacity", b"clipPath", b"Gradient", b"url(", b"nan", b"inf"):
        assert forbidden not in svg
    assert QSvgRenderer(svg).isValid()
    return drawing


def words(drawing: Drawing) -> list[str]:
    return [part.text for part in drawing.contents if isinstance(part, String)]


STEADY: list[float | None] = [0.08, 0.078, 0.081, 0.079, 0.08, 0.082, 0.079, 0.081, 0.08, 0.079]


def test_limits_of_both_sorts_are_named_and_told_apart_without_colour(qapp: QApplication) -> None:
    drawing = drawn(made(STEADY, low=0.06, high=0.10), palette=BLACK_AND_WHITE)
    for said in ("control limit, upper", "control limit, lower", "centre", "card, at most", "card, at least"):
        assert said in words(drawing)
    dashed = {round(part.points[1], 6) for part in drawing.contents if isinstance(part, PolyLine)}
    lines = [part for part in drawing.contents if isinstance(part, Line) and part.x2 - part.x1 > 100]
    solid = {round(line.y1, 6) for line in lines}
    assert len(dashed) == 2
    assert all(part.strokeDashArray for part in drawing.contents if isinstance(part, PolyLine))
    # A closed line would be dashed there and back, which fills its gaps.
    assert as_svg(drawing).count(b"<polyline") == 2
    assert not dashed & solid
    assert any(isinstance(part, Rect) for part in drawing.contents)


def test_no_limits_are_drawn_where_there_are_none(qapp: QApplication) -> None:
    said = words(drawn(made(STEADY[:5])))
    assert not any("control limit" in word or "card" in word for word in said)
    assert "2400" in said


def test_a_lower_limit_below_nothing_is_not_drawn(qapp: QApplication) -> None:
    said = words(drawn(made([0.0, 0.02, 0.0, 0.02, 0.0, 0.02, 0.0, 0.02, 0.0], "backlash_variation")))
    assert "control limit, upper" in said
    assert "control limit, lower" not in said


def test_the_card_may_change_between_jobs(qapp: QApplication) -> None:
    chart = made(STEADY, low=0.06, high=0.10)
    newer = tuple(
        Point(**{**vars(p), "high": 0.09 if at > 5 else p.high, "low": None if at > 7 else p.low})
        for at, p in enumerate(chart.points)
    )
    drawing = drawn(FamilyChart(chart.family, chart.quantity, newer, chart.chart))
    assert len([part for part in drawing.contents if isinstance(part, Rect)]) == 3
    assert "card, at least" not in words(drawing)


def test_people_are_told_apart_by_shape_and_letter(qapp: QApplication) -> None:
    drawing = drawn(made(STEADY), palette=BLACK_AND_WHITE)
    said = words(drawing)
    # Each once more in the key.
    assert (said.count("A"), said.count("B")) == (6, 6)
    assert {"Tam Ollerby", "Jory Pell"} <= set(said)
    squares = [part for part in drawing.contents if isinstance(part, Polygon)]
    assert len(squares) == 6
    by_gauge = drawn(made(STEADY), BY_GAUGE)
    assert words(by_gauge).count("A") == 11
    assert "dial gauge 1" in words(by_gauge)
    assert not any(isinstance(part, Polygon) for part in by_gauge.contents)


def test_more_people_than_shapes_still_have_letters_of_their_own(qapp: QApplication) -> None:
    chart = made(STEADY * 3)
    crowd = tuple(Point(**{**vars(p), "person": f"Hand {at}"}) for at, p in enumerate(chart.points))
    said = words(drawn(FamilyChart(chart.family, chart.quantity, crowd, chart.chart)))
    assert "…" in said, "the key says that it was cut short"


def test_what_is_unusual_has_a_ring_around_it(qapp: QApplication) -> None:
    def rings(values: list[float | None]) -> int:
        parts = drawn(made(values), BY_GAUGE).contents
        return sum(isinstance(part, Circle) and part.fillColor is None for part in parts)

    assert rings(STEADY) == 0
    assert rings([*STEADY, 0.2]) == len(made([*STEADY, 0.2]).chart.signalled) > 0


def test_a_gap_is_left_open(qapp: QApplication) -> None:
    def joints(values: list[float | None]) -> int:
        parts = drawn(made(values)).contents
        return sum(isinstance(part, Line) and part.x1 != part.x2 and part.y1 != part.y2 for part in parts)

    whole = joints([*STEADY, 0.083, 0.078])
    assert joints([*STEADY, None, 0.078]) < whole


def test_of_many_jobs_the_last_are_drawn(qapp: QApplication) -> None:
    chart = made(STEADY * 50)
    said = words(drawn(chart))
    assert "2400" not in said
    assert str(2400 + 500 - MOST_POINTS) in said
    assert "2025-01-01" not in " ".join(said)
    # The last ones may have no value at all.
    drawn(made(STEADY * 2 + [None] * MOST_POINTS))


def test_nothing_to_draw_is_said(qapp: QApplication) -> None:
    assert isinstance(family_chart_figure(made([]), BY_PERSON, PRINT_PALETTE), NothingYet)
    assert isinstance(family_chart_figure(made([None, None]), BY_PERSON, PRINT_PALETTE), NothingYet)


def test_units_of_the_shop(qapp: QApplication) -> None:
    assert "Backlash, mean, in" in words(drawn(made(STEADY), units="inch"))
    assert "Side-bearing turning torque, lbf·in" in words(drawn(made(STEADY, "turning_torque"), units="inch"))


@given(st.lists(st.none() | st.floats(-1e9, 1e9), max_size=30))
def test_any_values_can_be_drawn(values: list[float | None]) -> None:
    family_chart_figure(made(values, low=0.06), BY_PERSON, PRINT_PALETTE)


def test_values_that_differ_in_their_last_bit_are_drawn_as_the_same(qapp: QApplication) -> None:
    drawing = drawn(made([1.5, math.nextafter(1.5, 2.0)], "ring_sum"))
    assert {"1.490", "1.500", "1.510"} <= set(words(drawing))
