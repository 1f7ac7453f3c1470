"""The card says what is reckoned with for the sizes that are left empty, and takes a band where one is known."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from audit import assert_nothing_cut_off
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit

from app.drawer.page import ShopPage


@pytest.fixture
def page(qtbot: Any, workshop: Any) -> Iterator[ShopPage]:
    page = ShopPage(workshop, lambda: "Tam Ollerby")
    page.resize(1400, 900)
    qtbot.addWidget(page)
    with qtbot.waitExposed(page):
        page.show()
    page.activateWindow()
    page.show_section(page.cards)
    page.cards.list.choose([row.cells[0] for row in page.cards.list.rows_model.rows].index("Orrin B"))
    yield page


def line(page: ShopPage, key: str) -> QLineEdit:
    found = page.findChild(QLineEdit, key)
    assert found is not None
    return found


def retype(page: ShopPage, key: str, text: str) -> None:
    editor = line(page, key)
    editor.setFocus()
    editor.selectAll()
    QTest.keyClicks(editor, text) if text else editor.textEdited.emit(editor.setText("") or "")


def note(page: ShopPage, key: str) -> str:
    return str(page.cards.card.form.fields[key].note.text())


def test_an_empty_size_is_told_as_usual_for_its_size(page: ShopPage) -> None:
    said = note(page, "cutter_radius")
    # 43 : 11, outer diameter 200 mm, face 30 mm: mean cone distance 88.2 mm.
    assert said.startswith("While it is empty: usually 71 – 97 mm, taken as 81 mm.")
    assert note(page, "spiral_angle") == ""
    retype(page, "gear_outer_diameter", "100 mm")
    retype(page, "face_width", "15 mm")
    assert note(page, "cutter_radius").startswith("While it is empty: usually 35 – 49 mm, taken as 41 mm.")
    retype(page, "cutter_radius", "38")
    assert note(page, "cutter_radius") == ""
    retype(page, "spiral_angle", "")
    assert note(page, "spiral_angle").startswith("While it is empty: usually 30 – 40°, taken as 35°.")
    assert_nothing_cut_off(page)


def test_a_band_is_kept_as_typed_and_comes_back_so(page: ShopPage, workshop: Any) -> None:
    retype(page, "cutter_radius", "75 - 90 mm")
    page.cards.save.click()
    card = max((c for c in workshop.cards() if c.family == "Orrin B"), key=lambda c: c.revision)
    fact = card.facts["cutter_radius"]
    assert (fact.text, fact.value) == ("75 - 90 mm", pytest.approx(82.5))
    assert line(page, "cutter_radius").text() == "75 - 90 mm"


def test_a_band_the_wrong_way_round_is_refused_and_stays_as_typed(page: ShopPage, workshop: Any) -> None:
    before = len([c for c in workshop.cards() if c.family == "Orrin B"])
    retype(page, "cutter_radius", "90 - 75 mm")
    retype(page, "oil_grade", "80W-90")
    page.cards.save.click()
    assert "is no band" in note(page, "cutter_radius")
    assert (line(page, "cutter_radius").text(), line(page, "oil_grade").text()) == ("90 - 75 mm", "80W-90")
    assert len([c for c in workshop.cards() if c.family == "Orrin B"]) == before


def test_an_offset_the_gear_does_not_allow_is_refused_and_the_rest_stays(page: ShopPage, workshop: Any) -> None:
    retype(page, "pinion_offset", "120 mm")
    retype(page, "oil_grade", "80W-90")
    page.cards.save.click()
    assert "120 mm is more than a ring gear of 200 mm allows" in note(page, "pinion_offset")
    assert line(page, "oil_grade").text() == "80W-90"
    assert all(c.number("pinion_offset") == 0.0 for c in workshop.cards() if c.family == "Orrin B")
