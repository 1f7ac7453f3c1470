"""Drawings of what is measured where: all there, inside their bounds, readable, and in whatever language is chosen."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations
from typing import Any

import pytest
from PySide6.QtSvg import QSvgRenderer
from reportlab.graphics.shapes import Drawing, String

from core import language
from core.calculations.registry import CALCULATIONS, calculation
from core.sheet.figures import PRINT_PALETTE, as_svg
from core.sheet.figures.measured import MEASURED, measured_figure
from core.sheet.figures.measured.strokes import named, wrapped
from core.sheet.fonts import width_pt


def longer(text: str) -> str:
    return " ".join(word + "en" if word.isalpha() else word for word in text.split(" "))


@pytest.fixture(params=[str, str.upper, longer], ids=["English", "shouted", "longer words"])
def spoken(request: pytest.FixtureRequest) -> Iterator[Callable[[str], str]]:
    language.use_translation(request.param)
    yield request.param
    language.use_translation(None)


def texts(drawing: Drawing) -> list[String]:
    return [shape for shape in drawing.contents if isinstance(shape, String)]


def box(text: String) -> tuple[float, float, float, float]:
    wide = width_pt(text.text, text.fontName, text.fontSize)
    left = text.x - {"start": 0.0, "middle": wide / 2, "end": wide}[text.textAnchor]
    return left, text.y - 0.2 * text.fontSize, left + wide, text.y + 0.75 * text.fontSize


def overlaps(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def drawn(name: str) -> Drawing:
    drawing = measured_figure(name, PRINT_PALETTE)
    assert drawing is not None
    return drawing


def test_every_drawing_a_calculation_names_exists_and_every_drawing_is_named() -> None:
    assert {c.figure for c in CALCULATIONS} - {""} == set(MEASURED)


def test_a_name_without_a_drawing_gives_none() -> None:
    assert measured_figure("", PRINT_PALETTE) is None


@pytest.mark.parametrize("name", MEASURED)
def test_a_small_svg_reader_takes_it(name: str) -> None:
    svg = as_svg(drawn(name))
    assert QSvgRenderer(svg).isValid()
    assert not [word for word in (b"opacity", b"clipPath", b"Gradient", b"url(", b"nan") if word in svg]


@pytest.mark.parametrize("name", MEASURED)
def test_nothing_lies_outside_and_no_label_over_another(name: str, spoken: Callable[[str], str]) -> None:
    drawing = drawn(name)
    shapes: list[Any] = [shape for shape in drawing.contents if not isinstance(shape, String)]
    places = {shape: shape.getBounds() for shape in shapes} | {text: box(text) for text in texts(drawing)}
    for shape, (left, low, right, high) in places.items():
        what = getattr(shape, "text", shape)
        assert left >= 0 and low >= 0 and right <= drawing.width and high <= drawing.height, (what, places[shape])
    clashes = [(a.text, b.text) for a, b in combinations(texts(drawing), 2) if overlaps(box(a), box(b))]
    assert clashes == []


@pytest.mark.parametrize("name", MEASURED)
def test_nothing_is_cut_short_in_english(name: str) -> None:
    assert [text.text for text in texts(drawn(name)) if "…" in text.text] == []


@pytest.mark.parametrize("name", MEASURED)
def test_every_word_is_translated(name: str) -> None:
    language.use_translation(str.upper)
    try:
        words = [text.text for text in texts(drawn(name))]
    finally:
        language.use_translation(None)
    assert words
    assert words == [word.upper() for word in words]


def test_labels_are_the_words_of_the_inputs_without_the_aside() -> None:
    label = calculation("adapter-torque").input("adapter_angle").label
    assert named("adapter-torque", "adapter_angle") == "Angle of the adapter"
    assert label.startswith("Angle of the adapter (")


def test_a_label_is_wrapped_and_what_is_too_long_is_cut() -> None:
    assert wrapped("Height of the level", 10, 60, 2) == ["Height of the", "level"]
    assert wrapped("Height of the level over the bottom", 10, 60, 2)[-1].endswith("…")
