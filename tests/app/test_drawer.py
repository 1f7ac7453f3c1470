"""The shop's shelves: gauges, rings, spec cards and the shop itself, filled by keyboard."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QPushButton, QSpinBox, QWidget

from app import theme
from app.drawer.card_form import CardTexts, texts_of
from app.drawer.page import ShopPage
from app.drawer.section import ShelfSection
from app.jobs.form import ChoiceField, Field
from app.jobs.panes import Panes
from core.errors import LogbookError
from core.facts import Shop
from core.shop_inputs import LimitText
from core.stages.card import FACT_SPECS, LIMIT_SPECS


@pytest.fixture
def make_page(qtbot: Any) -> Callable[[Any], ShopPage]:
    def make(workshop: Any) -> ShopPage:
        page = ShopPage(workshop, lambda: "Tam Ollerby")
        page.resize(1400, 900)
        qtbot.addWidget(page)
        with qtbot.waitExposed(page):
            page.show()
        page.activateWindow()
        return page

    return make


@pytest.fixture
def page(make_page: Callable[[Any], ShopPage], workshop: Any) -> Iterator[ShopPage]:
    yield make_page(workshop)


@pytest.fixture
def bare(make_page: Callable[[Any], ShopPage], empty_workshop: Any) -> Iterator[ShopPage]:
    yield make_page(empty_workshop)


def line(page: QWidget, key: str) -> QLineEdit:
    found = page.findChild(QLineEdit, key)
    assert found is not None
    return found


def focused(page: QWidget) -> QWidget:
    return page.window().focusWidget()


def type_through(page: QWidget, *texts: str) -> None:
    """Type one text into each armed field and go on with Enter."""
    for text in texts:
        QTest.keyClicks(focused(page), text)
        QTest.keyClick(focused(page), Qt.Key.Key_Return)


def cells(section: Any) -> list[tuple[str, ...]]:
    return [row.cells for row in section.list.rows_model.rows]


def refusals(form: Any) -> dict[str, str]:
    return {key: field.refusal for key, field in form.fields.items() if field.refusal}


# -- shelves -----------------------------------------------------------------------------------------------------------


def test_what_only_the_logbook_refuses_is_said_below_the_form(
    page: ShopPage, workshop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise LogbookError("The disk is full.", "Make room.")

    monkeypatch.setattr(workshop, "add_part", full)
    page.parts.add()
    type_through(page.parts, "X9", "2.41", "", "", "", "")
    assert page.parts.adding.answer.text() == "The disk is full. Make room."
    assert line(page.parts, "place").text() == "X9"


def test_empty_shelves_say_what_they_are_for(bare: ShopPage) -> None:
    for section in (bare.parts, bare.gauges, bare.cards):
        bare.show_section(section)
        assert section.count.isVisible()
        assert section.count.text()


def test_values_are_shown_in_the_units_of_the_shop(page: ShopPage, workshop: Any) -> None:
    assert cells(page.parts)[0][3].endswith(" mm")
    workshop.save_shop(Shop("A", "B", "inch"))
    page.parts.refresh()
    assert cells(page.parts)[0][3].endswith(" in")


# -- shop --------------------------------------------------------------------------------------------------------------


def test_the_shop_is_kept_as_typed(qtbot: Any, page: ShopPage, workshop: Any) -> None:
    page.show_section(page.shop)
    assert line(page.shop, "name").text() == workshop.shop().name
    line(page.shop, "name").setFocus()
    line(page.shop, "name").selectAll()
    type_through(page.shop, "Tarn Row Driveline", "")
    QTest.keyClick(focused(page), Qt.Key.Key_Right)
    with qtbot.waitSignal(page.changed):
        QTest.keyClick(focused(page), Qt.Key.Key_Return)
    assert workshop.shop().name == "Tarn Row Driveline"
    assert workshop.shop().units == "inch"


def test_typing_about_the_shop_survives_another_section(page: ShopPage) -> None:
    page.show_section(page.shop)
    QTest.keyClicks(line(page.shop, "address"), ", back yard")
    page.show_section(page.parts)
    page.show_section(page.shop)
    assert "back yard" in line(page.shop, "address").text()


# -- spec cards --------------------------------------------------------------------------------------------------------


def choose_family(page: ShopPage, family: str) -> None:
    page.show_section(page.cards)
    page.cards.list.choose([row[0] for row in cells(page.cards)].index(family))


def test_every_declared_limit_and_fact_is_on_the_card(page: ShopPage) -> None:
    form = page.cards.card.form
    assert {spec.key for spec in (*LIMIT_SPECS, *FACT_SPECS)} <= set(form.fields)
    for spec in FACT_SPECS:
        assert isinstance(form.fields[spec.key], ChoiceField) == bool(spec.choices)


def test_the_first_card_is_written_by_keyboard(qtbot: Any, bare: ShopPage, empty_workshop: Any) -> None:
    bare.write_card()
    qtbot.waitUntil(line(bare.cards, "family").hasFocus)
    type_through(bare.cards, "Tollen 2")
    for _ in range(2):
        QTest.keyClick(focused(bare), Qt.Key.Key_Space)
        QTest.keyClick(focused(bare), Qt.Key.Key_Return)
    type_through(bare.cards, "shop practice", "0.5", "1.0", "maker's manual")
    line(bare.cards, "backlash_low").setFocus()
    type_through(bare.cards, "0.06", ".004 in", "")
    line(bare.cards, "note").setFocus()
    with qtbot.waitSignal(bare.changed):
        QTest.keyClick(focused(bare), Qt.Key.Key_Return)
    (card,) = empty_workshop.cards()
    assert (card.family, card.revision, card.ring_gear_side) == ("Tollen 2", 1, "left")
    assert card.text("setting_method") == "outboard_rings"
    assert set(card.limits) == {"turning_torque", "backlash"}
    assert card.limits["turning_torque"].source == "maker's manual"
    assert card.limits["backlash"].source == "shop practice"
    assert (card.limits["backlash"].low, card.limits["backlash"].high) == (0.06, pytest.approx(0.1016))
    assert cells(bare.cards) == [("Tollen 2", "1", "")]
    assert bare.cards.answer.text() == "Saved as revision 1."


def test_enter_skips_the_source_of_a_limit_that_is_not_given(page: ShopPage) -> None:
    choose_family(page, "Orrin B")
    line(page.cards, "seal_bore_low").setFocus()
    type_through(page.cards, "", "")
    assert focused(page) is line(page.cards, "cone_temperature_low")


def test_saving_makes_the_next_revision_and_keeps_everything_else(page: ShopPage, workshop: Any) -> None:
    choose_family(page, "Orrin B")
    before = next(card for card in workshop.cards() if card.family == "Orrin B")
    high = line(page.cards, "backlash_high")
    high.setFocus()
    high.selectAll()
    QTest.keyClicks(high, "0.12")
    assert cells(page.cards)[1][2] == "not saved"
    QTest.keyClick(high, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    after = next(card for card in workshop.cards() if card.family == "Orrin B")
    assert after.revision == before.revision + 1
    assert after.limits["backlash"].high == 0.12
    assert {k: v for k, v in after.limits.items() if k != "backlash"} == {
        k: v for k, v in before.limits.items() if k != "backlash"
    }
    assert {k: (f.value, f.text) for k, f in after.facts.items()} == {
        k: (f.value, f.text) for k, f in before.facts.items()
    }
    assert workshop.cards() and cells(page.cards)[1] == ("Orrin B", str(after.revision), "")


def test_a_limit_without_a_source_is_refused_at_its_source(page: ShopPage, workshop: Any) -> None:
    choose_family(page, "Orrin B")
    line(page.cards, "seal_bore_high").setFocus()
    QTest.keyClicks(line(page.cards, "seal_bore_high"), "60")
    QTest.mouseClick(page.cards.save, Qt.MouseButton.LeftButton)
    assert "no source" in page.cards.card.form.fields["seal_bore"].refusal
    assert focused(page) is line(page.cards, "seal_bore_source")
    assert line(page.cards, "seal_bore_high").text() == "60"
    assert next(card for card in workshop.cards() if card.family == "Orrin B").revision == 1


def test_a_card_says_everything_that_is_missing(bare: ShopPage, empty_workshop: Any) -> None:
    bare.write_card()
    QTest.mouseClick(bare.cards.save, Qt.MouseButton.LeftButton)
    assert set(refusals(bare.cards.card.form)) == {"family", "ring_gear_side", "setting_method"}
    assert empty_workshop.cards() == []


def test_a_new_card_cannot_take_the_name_of_another(page: ShopPage, workshop: Any) -> None:
    page.write_card()
    type_through(page.cards, "orrin  b")
    QTest.mouseClick(page.cards.save, Qt.MouseButton.LeftButton)
    assert "Orrin B already" in page.cards.card.form.fields["family"].refusal
    assert next(card for card in workshop.cards() if card.family == "Orrin B").revision == 1


def test_typing_on_a_card_survives_looking_at_another(page: ShopPage) -> None:
    choose_family(page, "Orrin B")
    QTest.keyClicks(line(page.cards, "note"), "typed")
    choose_family(page, "Vask T")
    assert "typed" not in line(page.cards, "note").text()
    page.show_section(page.parts)
    choose_family(page, "Orrin B")
    assert line(page.cards, "note").text().endswith("typed")
    QTest.mouseClick(page.cards.drop, Qt.MouseButton.LeftButton)
    assert "typed" not in line(page.cards, "note").text()
    QTest.mouseClick(page.cards.drop, Qt.MouseButton.LeftButton)
    assert line(page.cards, "note").text().endswith("typed")
    QTest.mouseClick(page.cards.drop, Qt.MouseButton.LeftButton)
    QTest.keyClicks(line(page.cards, "note"), "else")
    assert page.cards.drop.text() == "Take my changes back"


def test_looking_at_a_card_changes_nothing(page: ShopPage) -> None:
    for family in ("Orrin B", "Vask T", "Kelda 3"):
        choose_family(page, family)
        assert not page.cards.drop.isVisible()
    assert all(row[2] == "" for row in cells(page.cards))


def test_a_card_reads_back_as_it_was_typed(workshop: Any) -> None:
    for card in workshop.cards():
        texts = texts_of(card)
        again = workshop.save_card(texts.family, texts.limits, texts.facts, "Tam Ollerby")
        for key, limit in card.limits.items():
            assert (again.limits[key].low, again.limits[key].high) == (limit.low, limit.high)
        assert {key: fact.value for key, fact in again.facts.items()} == {
            key: fact.value for key, fact in card.facts.items()
        }
    assert CardTexts().limits == {}


def test_a_fact_typed_in_inches_stays_in_inches(workshop: Any) -> None:
    facts = {"ring_gear_side": "left", "setting_method": "outboard_rings", "face_width": "1.2 in", "nut_notches": "40"}
    limits = {"backlash": LimitText(".003 in", "", "common practice")}
    card = workshop.save_card("Tollen 2", limits, facts, "")
    texts = texts_of(card)
    assert workshop.save_card("Tollen 2", texts.limits, texts.facts, "").number("face_width") == pytest.approx(30.48)
    assert texts.limits["backlash"].low == ".003 in"


def test_the_logbook_s_own_refusal_is_said_beside_the_button(
    page: ShopPage, workshop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise LogbookError("The disk is full.", "Make room.")

    monkeypatch.setattr(workshop, "save_card", full)
    choose_family(page, "Orrin B")
    QTest.mouseClick(page.cards.save, Qt.MouseButton.LeftButton)
    assert page.cards.answer.text() == "The disk is full. Make room."


# -- the page ----------------------------------------------------------------------------------------------------------


def test_the_sections_are_reached_by_keyboard(qtbot: Any, page: ShopPage) -> None:
    push = next(b for b in page.row.findChildren(QPushButton) if b.text() == "People")
    push.setFocus()
    QTest.keyClick(push, Qt.Key.Key_Space)
    assert page.people.isVisible()
    assert not page.parts.isVisible()


def test_no_spin_box_no_combo_box_no_button_enter_could_press(page: ShopPage) -> None:
    assert not page.findChildren(QSpinBox)
    assert not page.findChildren(QComboBox)
    for push in page.findChildren(QPushButton):
        assert not push.isDefault()
        assert not push.autoDefault()


def test_a_cell_of_every_list_is_said_with_its_head(page: ShopPage) -> None:
    for section in (page.parts, page.gauges, page.people, page.cards):
        page.show_section(section)
        model = section.list.rows_model
        for column in range(model.columnCount()):
            spoken = model.index(0, column).data(Qt.ItemDataRole.AccessibleTextRole)
            assert spoken.startswith(model.headerData(column, Qt.Orientation.Horizontal) + ": ")


def test_one_field_is_armed_and_its_edge_says_so(qtbot: Any, page: ShopPage) -> None:
    page.parts.add()
    qtbot.waitUntil(line(page.parts, "place").hasFocus)
    armed = [field.key for field in page.findChildren(Field) if field.property("is_armed")]
    assert armed == ["place"]
    notes = [field.note for field in page.parts.adding.form.fields.values() if field.note.isVisible()]
    assert len(notes) == 1


@pytest.fixture(params=[100, 200])
def text_scale(qapp: Any, request: pytest.FixtureRequest) -> Iterator[int]:
    """Put the light theme in force at a text size."""
    theme.apply(qapp, "light", request.param)
    yield request.param
    theme.apply(qapp, "light")


def test_every_section_passes_the_audit_full_of_refusals(text_scale: int, page: ShopPage) -> None:
    for section in (page.parts, page.gauges, page.shop, page.cards):
        page.show_section(section)
        if section is page.parts:
            section.add()
        if section is page.cards:
            section.begin_new()
        push = section.push if isinstance(section, ShelfSection) else getattr(section, "save", page.parts.adding.push)
        QTest.mouseClick(push, Qt.MouseButton.LeftButton)
        QCoreApplication.processEvents()
        assert_accessible(page)
        left, right = section.findChild(Panes).panes
        # What scrolls is a region of its own: it may reach below what stands under it.
        assert_visual_order(page, [page.row, left, *([section.card] if section is page.cards else []), right])
        assert_nothing_cut_off(page)


def test_labels_never_read_text_as_markup(page: ShopPage, workshop: Any) -> None:
    page.parts.add()
    type_through(page.parts, "<i>x</i>", "2.41", "", "", "", "<b>y</b>")
    for label in page.findChildren(QLabel):
        assert label.textFormat() == Qt.TextFormat.PlainText
