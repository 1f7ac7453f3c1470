"""Figures: any readings, none, or absurd ones; the same drawing on paper and as SVG in the window."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import inf, nan
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtGui import QFontDatabase, QImage, QPainter
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QApplication
from reportlab.graphics.shapes import Drawing, Group, String

from core.facts import LEFT
from core.mechanics.print_shapes import SHAPES
from core.sheet.figures import FIGURES, PRINT_PALETTE, SIZES, Palette, as_svg, figure, verdict_mark
from core.sheet.figures.contact import ContactInput, Patch, ToothInput, contact
from core.sheet.figures.draw import Sheet, finite
from core.sheet.figures.groove import GrooveInput, groove
from core.sheet.figures.palette import mix
from core.sheet.figures.preload_curve import CurveInput, Trial, preload_curve
from core.sheet.figures.ring_stack import StackInput, ring_stack
from core.sheet.figures.wheel import Place, WheelInput, backlash_wheel
from core.stages.card import ADJUSTER_NUTS, CONCAVE, SHIMS_UNDER_CONE
from core.stages.tooth import Tooth
from core.verdict import Answer

DARK = Palette(
    "#14191C", "#1C2327", "#0E1214", "#E8ECEA", "#A3AFB4", "#6CC3D0", "#79C79A", "#F0897D", "#E3B35A"
)  # fmt: skip
BLACK_AND_WHITE = Palette("#000000", "#000000", "#000000", *["#FFFFFF"] * 6)
STRANGE = (None, nan, inf, -inf, 0.0, -1.0, 1e-12, 0.08, 1e9)


def places(values: list[float | None], answer: Answer | None = None) -> list[Place]:
    return [Place(360 * i / len(values), f"{i}", v, answer) for i, v in enumerate(values)]


def words_of(node: Any) -> list[str]:
    if isinstance(node, String):
        return [node.text]
    if isinstance(node, Drawing | Group):
        return [word for child in node.contents for word in words_of(child)]
    return []


def numbers_of(node: Any) -> list[float]:
    if isinstance(node, Drawing | Group):
        return [n for child in node.contents for n in numbers_of(child)]
    found: list[float] = []
    for value in node.getProperties().values():
        found += [v for v in (value if isinstance(value, list | tuple) else [value]) if isinstance(v, float)]
    return found


def check(drawing: Drawing) -> str:
    """Check that a drawing holds only finite numbers and that a small SVG reader takes it; return its words."""
    assert all(finite(n) is not None for n in numbers_of(drawing))
    svg = as_svg(drawing)
    root = ElementTree.fromstring(svg)
    assert root.tag.endswith("svg")
    for forbidden in (b"opacity", b"clipPath", b"Gradient", b"url(", b"nan", b"inf"):
        assert forbidden not in svg
    assert QSvgRenderer(svg).isValid()
    return " ".join(words_of(drawing))


WHEELS = {
    "eight": WheelInput(places([0.07, 0.07, 0.08, 0.09, 0.09, 0.09, 0.08, 0.07], Answer.CONFORMS), 0.06, 0.10),
    "one place": WheelInput(places([0.08]), 0.06, None),
    "all equal": WheelInput(places([0.08] * 8), None, 0.1, teeth=0),
    "all nought": WheelInput(places([0.0] * 4)),
    "400 places": WheelInput(places([0.05 + i / 9000 for i in range(400)], Answer.UNCERTAIN), 0.06, 0.1, teeth=999),
    "strange": WheelInput(places(list(STRANGE)), nan, inf, places(list(STRANGE)), -5, "inch"),
    "found only": WheelInput([], 0.06, 0.10, places([0.14, 0.15])),
}


@pytest.mark.parametrize("name", WHEELS)
@pytest.mark.parametrize("palette", [PRINT_PALETTE, DARK, BLACK_AND_WHITE])
def test_wheel(qapp: QApplication, name: str, palette: Palette) -> None:
    check(backlash_wheel(WHEELS[name], palette, (300, 320)))


def test_wheel_names_smallest_largest_and_mean(qapp: QApplication) -> None:
    words = check(backlash_wheel(WHEELS["eight"], PRINT_PALETTE, (420, 420)))
    for said in ("0.080", "smallest 0.070 at 0", "largest 0.090 at 3", "variation 0.020 mm", "0.060 – 0.100 mm"):
        assert said in words
    inches = check(backlash_wheel(WheelInput(places([0.0762]), units="inch"), PRINT_PALETTE, (420, 420)))
    assert "0.0030" in inches
    assert "mean, in" in inches


def test_ring_stack_puts_the_ring_gear_side_where_it_is(qapp: QApplication) -> None:
    left = ring_stack(StackInput(2.60, 2.45, "left", title="trial 2"), PRINT_PALETTE, (440, 330))
    right = ring_stack(StackInput(2.60, 2.45, "right"), PRINT_PALETTE, (440, 330))
    assert "left, ring-gear side" in check(left)
    assert "right, opposite side" in check(left)
    assert "right, ring-gear side" in check(right)
    for said in ("2.600 mm", "2.450 mm", "ring sum 5.050 mm", "split 0.150", "trial 2", "pinion"):
        assert said in check(left)
    assert "split −0.150" in check(ring_stack(StackInput(2.45, 2.60), PRINT_PALETTE, (440, 330)))


@pytest.mark.parametrize(("one", "other"), list(product(STRANGE, STRANGE)))
def test_ring_stack_takes_any_thickness(qapp: QApplication, one: float | None, other: float | None) -> None:
    for setting in (ADJUSTER_NUTS, SHIMS_UNDER_CONE):
        check(ring_stack(StackInput(one, other, "right", setting), DARK, (230, 160)))


CURVES = {
    "three": CurveInput(
        [
            Trial(1, 5.0, [0.05, 0.05], Answer.DOES_NOT_CONFORM),
            Trial(2, 5.1, [1.40, 1.45], Answer.DOES_NOT_CONFORM),
            Trial(3, 5.05, [0.60, 0.65], Answer.CONFORMS, is_accepted=True),
        ],
        0.5,
        1.0,
    ),
    "one": CurveInput([Trial(1, 5.0, [0.0])]),
    "same sum": CurveInput([Trial(i, 5.0, [0.6]) for i in (1, 2)], None, 1.0, "inch"),
    "no sums": CurveInput([Trial(i, None, [0.1 * i]) for i in (1, 2, 3)], 0.5),
    "400": CurveInput([Trial(i, 5 + i / 1e4, [i / 1e3, i / 5e2], Answer.UNCERTAIN) for i in range(400)], 0.1, 0.2),
    "strange": CurveInput([Trial(i, v, [v, nan, 0.5]) for i, v in enumerate(STRANGE)], nan, inf),
    "huge": CurveInput([Trial(1, 1e-9, [1e-9]), Trial(2, 1e-9, [1e12])]),
}


@pytest.mark.parametrize("name", CURVES)
def test_preload_curve(qapp: QApplication, name: str) -> None:
    words = check(preload_curve(CURVES[name], PRINT_PALETTE, (440, 300)))
    assert "turning torque" in words


def test_preload_curve_names_the_accepted_trial(qapp: QApplication) -> None:
    words = check(preload_curve(CURVES["three"], PRINT_PALETTE, (440, 300)))
    for said in ("trial 3, accepted", "5.050", "ring sum, mm", "turning torque, N·m"):
        assert said in words


def test_contact_tells_both_flanks(qapp: QApplication) -> None:
    shown = ContactInput(
        ToothInput(Patch(0.46, 0.52, 0.48, 0.62), Patch(0.62, 0.48, 0.45, 0.60), (0.4, 0.6), (0.4, None)),
        ToothInput(Patch(0.53, 0.49, 0.47, 0.60)),
        Tooth(30 / 9),
    )
    words = check(contact(shown, PRINT_PALETTE, (620, 260)))
    for said in ("drive side", "coast side", "toe", "heel", "face", "flank", "46 % along, 52 % up, 48 × 62 %",
                 "found 62 % along, 48 % up",
                 "solid: as it is now · outlined: as found · box: where the centre belongs"):  # fmt: skip
        assert said in words


def test_contact_says_of_how_many_patches_a_print_is(qapp: QApplication) -> None:
    two = SHAPES[6].rings
    shown = ContactInput(ToothInput(Patch(0.5, 0.5, 0.86, 0.5, two)), ToothInput(Patch(0.5, 0.5)), Tooth(30 / 9))
    words = check(contact(shown, PRINT_PALETTE, (620, 260)))
    assert "50 % along, 50 % up, 86 × 50 %, 2 patches" in words
    assert "box:" not in words


def test_contact_toe_is_inside_and_the_tooth_in_proportion(qapp: QApplication) -> None:
    shown = ContactInput(ToothInput(Patch(0.5, 0.5)), ToothInput(Patch(0.5, 0.5)), Tooth(5.0))
    drawing = contact(shown, PRINT_PALETTE, (620, 260))
    at = {(s.text, s.x > 310): s.x for s in drawing.contents if isinstance(s, String)}
    assert at["heel", False] < at["toe", False] < at["toe", True] < at["heel", True]
    outline = next(p for p in drawing.contents if type(p).__name__ == "Polygon").points
    length = max(outline[::2]) - min(outline[::2])
    depth_in_the_middle = (outline[7] - outline[1] + outline[5] - outline[3]) / 2
    assert length / depth_in_the_middle == pytest.approx(5.0)


@pytest.mark.parametrize("value", STRANGE)
def test_contact_takes_any_print(qapp: QApplication, value: float | None) -> None:
    tooth = ToothInput(Patch(value, 0.5, value, value), Patch(0.5, value), (value, value), (None, value))
    check(contact(ContactInput(tooth, tooth), DARK, (260, 140)))


def test_contact_draws_outlines_and_says_what_is_only_usual(qapp: QApplication) -> None:
    rings = tuple(ring for shape in SHAPES if shape.key == "two" for ring in shape.rings)
    slanting = (((0.2, 0.2), (0.8, 0.6), (0.8, 0.8), (0.2, 0.4)),)
    shown = ContactInput(
        ToothInput(Patch(0.5, 0.5, 0.86, 0.5, rings)), ToothInput(Patch(0.5, 0.5, 0.6, 0.6, slanting)), Tooth()
    )
    drawing = contact(shown, PRINT_PALETTE, (620, 260))
    words = check(drawing)
    assert "50 % along, 50 % up, 60 × 60 %, tilted 12°" in words
    assert "as usual, not on the card: proportions, taper, hand of the ring gear, flank that drives" in words
    prints = [p for p in drawing.contents if type(p).__name__ == "Polygon"]
    # Two teeth, two patches on one and one on the other.
    assert len(prints) == 5
    assert len(prints[1].points) == 2 * len(rings[0])
    assert "as usual" not in check(contact(replace(shown, tooth=Tooth(assumed=())), PRINT_PALETTE, (620, 260)))


@pytest.mark.parametrize("size", [(620, 260), (520, 240), (360, 150), (316, 132), (280, 168)])
def test_contact_words_are_made_smaller_or_left_out_but_never_cut(qapp: QApplication, size: tuple[int, int]) -> None:
    slanting = (((0.2, 0.6), (0.8, 0.2), (0.8, 0.4), (0.2, 0.8)),)
    patch = Patch(0.5, 0.5, 0.6, 0.6, slanting)
    words = check(contact(ContactInput(ToothInput(patch, patch), ToothInput(patch, patch)), PRINT_PALETTE, size))
    # What is said of the prints comes before the names of the halves.
    assert "…" not in words[: words.index("face")]


@pytest.mark.parametrize(
    ("tooth", "left"),
    [
        (Tooth(), "drive side, convex"),
        (Tooth(drive=CONCAVE), "coast side, convex"),
        (Tooth(hand=LEFT), "coast side, concave"),
        (Tooth(hand=LEFT, drive=CONCAVE), "drive side, concave"),
    ],
)
def test_the_flank_whose_toe_is_seen_on_the_right_stands_left(qapp: QApplication, tooth: Tooth, left: str) -> None:
    drawing = contact(ContactInput(ToothInput(Patch(0.2, 0.5)), ToothInput(), tooth), PRINT_PALETTE, (620, 260))
    at = {s.text: s.x for s in drawing.contents if isinstance(s, String)}
    assert at[left] < 310
    assert "no print read" in at


@pytest.mark.parametrize("value", STRANGE)
def test_groove_takes_any_measure(qapp: QApplication, value: float | None) -> None:
    check(groove(GrooveInput(value, value, value, value, Answer.DOES_NOT_CONFORM, "inch"), DARK, (260, 190)))
    check(groove(GrooveInput(2.0, None, value), PRINT_PALETTE, (420, 300)))


def test_groove_tells_square_from_round(qapp: QApplication) -> None:
    assert "root radius 1.000 mm" in check(groove(GrooveInput(2.2, 26.0, 1.0, 8.5), PRINT_PALETTE, (420, 300)))
    assert "square root" in check(groove(GrooveInput(2.2, 26.0, 0.0), PRINT_PALETTE, (420, 300)))


def test_the_four_marks_differ_without_colour(qapp: QApplication) -> None:
    pictures = set()
    for answer in Answer:
        image = QImage(40, 40, QImage.Format.Format_Mono)
        image.fill(0)
        painter = QPainter(image)
        QSvgRenderer(as_svg(verdict_mark(answer, BLACK_AND_WHITE))).render(painter)
        painter.end()
        pictures.add(bytes(image.constBits()))
    assert len(pictures) == len(Answer)


@pytest.mark.parametrize("name", FIGURES)
@pytest.mark.parametrize("palette", [PRINT_PALETTE, DARK])
def test_every_figure_from_a_job(qapp: QApplication, told: Any, name: str, palette: Palette) -> None:
    state = told.state
    for stage in state.stages:
        for units in ("metric", "inch"):
            drawing = figure(name, stage, state, palette, SIZES[name], units)
            assert "yet" not in check(drawing)
            assert (drawing.width, drawing.height) == SIZES[name]


@pytest.mark.parametrize("name", FIGURES)
def test_every_figure_of_a_job_just_opened_says_that_there_is_nothing(
    qapp: QApplication, bench: Any, name: str
) -> None:
    state = bench.state
    for stage in state.stages:
        assert "yet" in check(figure(name, stage, state, PRINT_PALETTE, (300, 240)))


def test_every_declared_figure_exists(told: Any) -> None:
    assert {s.stage.figure for s in told.state.stages} - {""} <= set(FIGURES)
    assert set(SIZES) == set(FIGURES)


def test_the_wheel_of_teardown_is_as_found_and_of_backlash_as_left(qapp: QApplication, told: Any) -> None:
    state = told.state
    found = check(figure("backlash_wheel", state.stage("teardown"), state, PRINT_PALETTE, (420, 400)))
    left = check(figure("backlash_wheel", state.stage("backlash"), state, PRINT_PALETTE, (420, 400)))
    assert "0.158" in found
    assert "0.080" in left


def test_svg_keeps_colours_and_asks_for_the_sheets_typeface(qapp: QApplication) -> None:
    sheet = Sheet((100, 60), DARK)
    sheet.circle((50, 30), 10, fill="#79C79A", colour="#010203")
    sheet.path([(0, 0), (5, 9), (9, 5)], colour="#6CC3D0")
    sheet.text((50, 30.2), "a < b & \x00c 中", face="Roboto-Bold")
    svg = as_svg(sheet.drawing).decode()
    assert "#79c79a" in svg
    assert "#010203" in svg
    assert "font-family: Roboto" in svg
    assert "font-weight: 700" in svg
    assert "a &lt; b &amp; c [U+4E2D]" in svg
    line = next(e for e in ElementTree.fromstring(svg).iter() if e.tag.endswith("polyline"))
    assert "fill: none" in line.attrib["style"]


def test_mixing_colours() -> None:
    assert mix("#FFFFFF", "#000000", 1.0) == "#FFFFFF"
    assert mix("#FF0000", "#0000FF", 0.5) == "#800080"


@given(
    st.lists(st.floats(allow_nan=True, allow_infinity=True) | st.none(), max_size=12),
    st.floats(0, 1) | st.none(),
    st.floats(0, 1) | st.none(),
    st.integers(1, 900),
    st.integers(1, 900),
)
def test_a_wheel_of_any_size_and_readings(
    values: list[float | None], low: float | None, high: float | None, width: int, height: int
) -> None:
    drawing = backlash_wheel(WheelInput(places(values or [None]), low, high), PRINT_PALETTE, (width, height))
    assert all(finite(n) is not None for n in numbers_of(drawing))
    as_svg(drawing)


def test_the_typeface_is_there_for_the_window(qapp: QApplication) -> None:
    import font_roboto

    assert QFontDatabase.addApplicationFont(font_roboto.font_files["Roboto"]) >= 0
