"""The small plot beside the trials: any belief, any readings, any size; no two labels on one another."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QApplication
from reportlab.graphics.shapes import Drawing, Polygon, PolyLine, String

from core.advice.answer import BandPoint, Picture
from core.sheet.figures import PRINT_PALETTE, NothingYet, Palette, advice_plot, as_svg
from core.sheet.figures.advice import ADVICE_SIZE
from core.sheet.fonts import width_pt

DARK = Palette(
    "#14191C", "#1C2327", "#0E1214", "#E8ECEA", "#A3AFB4", "#6CC3D0", "#79C79A", "#F0897D", "#E3B35A"
)  # fmt: skip
BLACK_AND_WHITE = Palette("#000000", "#000000", "#000000", *["#FFFFFF"] * 6)
SIZES = [(40.0, 30.0), (160.0, 90.0), ADVICE_SIZE, (700.0, 300.0), (900.0, 1200.0)]
BAND = tuple(BandPoint(4.97 + i / 150, 0.2 + i / 60, 0.4 + i / 40, 0.6 + i / 20) for i in range(25))


def torque(*readings: tuple[int, float, float], **more: Any) -> Picture:
    told = {"band": BAND, "limit": (0.5, 1.0), "offers": ((5.06, 0.84), (5.07, 0.61))} | more
    return Picture("preload", "torque", told.pop("unit", "n_m"), told.pop("size_unit", "mm"), readings, **told)


PICTURES = {
    "before the first trial": torque(),
    "one": torque((1, 5.0, 0.05)),
    "two": torque((1, 5.0, 0.05), (2, 5.1, 1.4)),
    "six on one spot": torque(*((i, 5.05 + i / 1e5, 0.7) for i in range(1, 7))),
    "side by side": torque(*((i, 5.0 + i / 200, 0.6 + i / 200) for i in range(1, 9))),
    "one beyond all": torque((1, 5.0, 0.05), (2, 5.4, 12.0)),
    "pairs of one sum": torque((1, 5.0, 0.05), offers=((5.06, 0.84), (5.06, 0.61))),
    "pairs at the edges": torque((1, 5.0, 0.05), offers=((4.97, 0.999), (5.13, 0.002))),
    "no pair": torque((1, 5.0, 0.05), offers=()),
    "no band": torque((1, 5.0, 0.05), band=()),
    "very wide": torque(band=tuple(BandPoint(p.x_mm, 0.0, 3.0, 400.0) for p in BAND)),
    "inches": torque((1, 5.0, 0.05), (2, 5.1, 1.4), unit="lbf_in", size_unit="in"),
    "strange": torque((1, float("nan"), 1.0), (2, 5.0, float("inf")), (3, 5.0, -1.0), (4, 5.0, 1e-12)),
}


def strings(drawing: Drawing) -> list[String]:
    return [shape for shape in drawing.contents if isinstance(shape, String)]


def box_of(shape: String) -> tuple[float, float, float, float]:
    width = width_pt(shape.text, shape.fontName, shape.fontSize)
    left = shape.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[shape.textAnchor] * width
    return left, shape.y - 0.2 * shape.fontSize, left + width, shape.y + 0.72 * shape.fontSize


def check(drawing: Drawing) -> str:
    """Check that labels lie within the drawing and not on one another; return the words."""
    svg = as_svg(drawing)
    for forbidden in (b"opacity", b"clipPath", b"Gradient", b"url(", b"nan", b"inf"):
        assert forbidden not in svg
    assert QSvgRenderer(svg).isValid()
    boxes = [(shape.text, box_of(shape)) for shape in strings(drawing)]
    for text, (left, foot, right, top) in boxes:
        assert left >= -0.5 and right <= drawing.width + 0.5, text
        assert foot >= -0.5 and top <= drawing.height + 0.5, text
    for (one, a), (other, b) in combinations(boxes, 2):
        assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1], (one, other)
    return " | ".join(text for text, _ in boxes)


@pytest.mark.parametrize("name", PICTURES)
@pytest.mark.parametrize("size", SIZES)
def test_labels_lie_within_and_apart(qapp: QApplication, name: str, size: tuple[float, float]) -> None:
    for palette in (PRINT_PALETTE, DARK, BLACK_AND_WHITE):
        check(advice_plot(PICTURES[name], palette, size))


def test_it_says_what_is_where(qapp: QApplication) -> None:
    said = check(advice_plot(PICTURES["two"], PRINT_PALETTE))
    for word in ("turning torque, N·m", "ring sum, mm", "limits", "expected, 9 of 10", "84 %", "61 %", "1", "2"):
        assert word in said.split(" | ")
    assert "turning torque, lbf·in | ring sum, in" in check(advice_plot(PICTURES["inches"], PRINT_PALETTE))
    assert "12.00" in check(advice_plot(PICTURES["one beyond all"], PRINT_PALETTE))
    backlash = Picture("backlash", "length", "mm", "mm", ((1, 0.0, 0.08),), (), (0.06, 0.1), ())
    assert "backlash, mm | ring gear from the pinion, mm" in check(advice_plot(backlash, PRINT_PALETTE))


def test_trials_on_one_spot_share_their_label(qapp: QApplication) -> None:
    said = check(advice_plot(PICTURES["six on one spot"], PRINT_PALETTE))
    assert "1, 2, 3, 4, 5, 6" in said.split(" | ")


def test_nothing_to_draw_is_said(qapp: QApplication) -> None:
    drawn = advice_plot(torque(band=(), offers=()), PRINT_PALETTE)
    assert isinstance(drawn, NothingYet)
    assert check(drawn) == "Nothing measured yet"


def test_a_very_wide_belief_leaves_the_limits_in_sight(qapp: QApplication) -> None:
    """The limits take at least a fifth of the height they could have, whatever is believed."""
    drawn = advice_plot(PICTURES["very wide"], PRINT_PALETTE)
    limits = next(shape for shape in drawn.contents if isinstance(shape, Polygon))
    heights = limits.points[1::2]
    assert max(heights) - min(heights) > 0.1 * drawn.height
    for shape in drawn.contents:
        if isinstance(shape, Polygon | PolyLine):
            assert all(0.0 <= y <= drawn.height for y in shape.points[1::2])


@pytest.mark.parametrize("name", ["before the first trial", "one", "two", "side by side", "inches", "very wide"])
def test_marks_are_even_in_number(qapp: QApplication, name: str) -> None:
    drawn = advice_plot(PICTURES[name], PRINT_PALETTE)
    numbers = [shape for shape in strings(drawn) if shape.fillColor.hexval() == "0x566268" and _is_number(shape.text)]
    upward = [shape for shape in numbers if shape.textAnchor == "end"]
    across = [shape for shape in numbers if shape.textAnchor == "middle"]
    assert len(upward) in (4, 6)
    assert len(across) in (4, 6, 8)


def _is_number(text: str) -> bool:
    return text.replace(".", "").replace("-", "").isdigit()


@given(
    st.lists(st.tuples(st.floats(4.0, 6.0), st.floats(0.0, 9.0)), max_size=8),
    st.lists(st.tuples(st.floats(4.0, 6.0), st.floats(0.0, 1.0)), max_size=2),
    st.floats(0.01, 3.0),
    st.sampled_from(SIZES),
)
def test_any_readings_and_pairs(
    readings: list[tuple[float, float]],
    offers: list[tuple[float, float]],
    high: float,
    size: tuple[float, float],
) -> None:
    trials = tuple((number, *at) for number, at in enumerate(readings, start=1))
    check(advice_plot(torque(*trials, offers=tuple(offers), limit=(high / 2, high)), PRINT_PALETTE, size))
