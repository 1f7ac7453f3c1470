"""The theme: contrast of every text on every ground, type steps, and no colour named anywhere else."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtGui import QFontDatabase, QFontMetricsF
from PySide6.QtWidgets import QApplication, QCheckBox, QLabel, QLineEdit, QMenu, QWidget

import app
from app import theme
from app.settings import SCHEMES, TEXT_SCALES
from core.verdict import Answer

# WCAG 2.1, success criterion 1.4.3: text of any size passes at this ratio.
LEAST_CONTRAST = 4.5
LITERAL = re.compile(r"#[0-9A-Fa-f]{6}\b|\brgba?\(|QColor\(\s*[\"'0-9]|GlobalColor\.(?!transparent)")


@pytest.fixture(autouse=True)
def _plain_theme(qapp: QApplication) -> Iterator[None]:
    yield
    theme.apply(qapp, "light", 100)


def test_every_scheme_the_settings_offer_is_there() -> None:
    assert set(theme.SCHEMES) == set(SCHEMES)


@pytest.mark.parametrize("scheme", theme.SCHEMES)
def test_every_text_can_be_read_on_every_ground(scheme: str) -> None:
    colours = theme.SCHEMES[scheme]
    for text, ground in product(colours.texts, colours.grounds):
        assert theme.contrast(text, ground) >= LEAST_CONTRAST, (text, ground)
    # What is chosen is written in the ground's colour on the accent.
    assert theme.contrast(colours.ground, colours.accent) >= LEAST_CONTRAST
    assert theme.contrast(colours.ground, colours.quiet) >= LEAST_CONTRAST


def test_contrast_of_black_on_white_is_twenty_one() -> None:
    # WCAG 2.1, definition of contrast ratio: 21 is the largest there is.
    assert theme.contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert theme.contrast("#777777", "#777777") == 1.0


def test_high_contrast_tells_verdicts_without_colour() -> None:
    colours = theme.SCHEMES["contrast"]
    assert {colours.of(answer) for answer in Answer} == {colours.ink}


def test_no_other_file_names_a_colour() -> None:
    home = Path(app.__file__).parent
    for path in home.rglob("*.py"):
        if path.name != "theme.py":
            found = LITERAL.search(path.read_text(encoding="utf-8"))
            assert found is None, f"{path.relative_to(home)} names a colour: {found and found[0]}"


@pytest.mark.parametrize("scale", TEXT_SCALES)
def test_type_grows_with_the_text_size(qapp: QApplication, qtbot: Any, scale: int) -> None:
    theme.apply(qapp, "light", scale)
    page, label, title = QWidget(), QLabel("words"), QLabel("title")
    qtbot.addWidget(page)
    for widget in (label, title):
        widget.setParent(page)
    theme.give_role(title, "title")
    page.setProperty("bench", True)
    page.show()
    # The bench is one step up from the desk: 17 for the body, 30 for a title.
    assert label.fontInfo().pixelSize() == round(17 * scale / 100)
    assert title.fontInfo().pixelSize() == round(30 * scale / 100)


def test_digits_line_up(qapp: QApplication, qtbot: Any) -> None:
    theme.apply(qapp, "light", 100)
    assert theme.FAMILY in QFontDatabase.families()
    field = QLineEdit()
    qtbot.addWidget(field)
    theme.give_role(field, "number")
    field.show()
    widths = {QFontMetricsF(field.font()).horizontalAdvance(digit) for digit in "0123456789"}
    assert field.fontInfo().family() == theme.FAMILY
    assert len(widths) == 1


@pytest.mark.parametrize("scheme", theme.SCHEMES)
def test_figures_are_drawn_in_the_window_s_colours(qapp: QApplication, scheme: str) -> None:
    palette = theme.apply(qapp, scheme, 100).figure_palette()
    colours = theme.SCHEMES[scheme]
    assert (palette.ground, palette.ink, palette.accent) == (colours.ground, colours.ink, colours.accent)
    assert all(palette.of(answer) == colours.of(answer) for answer in Answer)


def test_a_property_is_drawn_at_once(qapp: QApplication, qtbot: Any) -> None:
    theme.apply(qapp, "light", 100)
    label = QLabel("words")
    qtbot.addWidget(label)
    label.show()
    before = label.fontInfo().pixelSize()
    theme.give_role(label, "title")
    assert label.fontInfo().pixelSize() > before


def test_a_look_in_force_already_restyles_nothing(qapp: QApplication, qtbot: Any) -> None:
    class Restyled(QLabel):
        times = 0

        def changeEvent(self, event: QEvent) -> None:
            self.times += event.type() == QEvent.Type.StyleChange
            super().changeEvent(event)

    theme.apply(qapp, "light", 100)
    label = Restyled("words")
    qtbot.addWidget(label)
    label.show()
    before = label.times
    theme.apply(qapp, "light", 100)
    assert label.times == before
    theme.apply(qapp, "dark", 100)
    assert label.times > before


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_chosen_line_of_a_menu_is_light_on_dark_or_dark_on_light(
    qapp: QApplication, qtbot: Any, scheme: str
) -> None:
    theme.apply(qapp, scheme, 100)
    menu = QMenu()
    qtbot.addWidget(menu)
    # Letters without a gap: some of their pixels have the text's own colour.
    action = menu.addAction("▇▇▇▇")
    menu.resize(menu.sizeHint())
    menu.setActiveAction(action)
    picture, line = menu.grab().toImage(), menu.actionGeometry(action)
    seen = {
        picture.pixelColor(x, y).name()
        for x in range(line.left(), line.right())
        for y in range(line.top(), line.bottom())
    }
    colours = theme.current().colours
    assert {colours.accent.lower(), colours.ground.lower()} <= seen


@pytest.mark.parametrize("scheme", SCHEMES)
def test_a_box_to_tick_is_seen_and_so_is_its_tick(qapp: QApplication, qtbot: Any, scheme: str) -> None:
    theme.apply(qapp, scheme, 100)
    box = QCheckBox()
    qtbot.addWidget(box)
    box.resize(box.sizeHint())

    def colours() -> set[str]:
        picture = box.grab().toImage()
        return {picture.pixelColor(x, y).name() for x in range(box.width()) for y in range(box.height())}

    found = theme.current().colours
    assert found.quiet.lower() in colours()
    box.setChecked(True)
    assert found.accent.lower() in colours()
