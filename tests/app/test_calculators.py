"""The calculators page: every calculation is found, typed in and read by keyboard alone, without a job."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order, visible_texts
from calculation_cases import CASES, Case
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QSpinBox, QWidget

from app import theme
from app.calculators.finder import found
from app.calculators.inputs import AmountField
from app.calculators.page import CalculatorsPage
from app.jobs.form import ChoiceField
from app.jobs.panes import Panes
from core.calculations import CALCULATIONS, Calculation, calculation, work_out
from core.calculations.declare import refused_inputs
from core.calculations.telling import result_in_units
from core.sheet.figures.measured import MEASURED

RING_SWAP = {"ring_gear_side": "0.250 in", "opposite_side": "0.265 in", "move": "0.010 in", "preload_add": "0.004 in"}


@pytest.fixture
def page(qtbot: Any) -> Iterator[CalculatorsPage]:
    theme.apply(QApplication.instance(), "light")
    made = CalculatorsPage()
    made.resize(1400, 900)
    qtbot.addWidget(made)
    with qtbot.waitExposed(made):
        made.show()
    made.activateWindow()
    made.setFocus()
    yield made
    theme.apply(QApplication.instance(), "light")


def focused(page: QWidget) -> QWidget:
    return page.window().focusWidget()


def press(page: QWidget, key: Qt.Key) -> None:
    QTest.keyClick(focused(page), key)


def type_here(page: QWidget, text: str) -> None:
    QTest.keyClicks(focused(page), text)
    press(page, Qt.Key.Key_Return)


def enter(page: CalculatorsPage, typed: dict[str, str]) -> None:
    """Give inputs as a hand would: typed into lines, pressed in rows of answers."""
    for key, text in typed.items():
        field = page.inputs.form.fields[key]
        if isinstance(field, ChoiceField):
            # Words may be joined in any way where they are typed.
            field._buttons["-".join(text.split())].click()
        else:
            field.editor.clear()
            QTest.keyClicks(field.editor, text)


@pytest.mark.parametrize("declared", CALCULATIONS, ids=lambda c: c.key)
def test_every_calculation_shows_its_inputs_and_what_it_rests_on(page: CalculatorsPage, declared: Calculation) -> None:
    page.open(declared)
    fields = page.inputs.form.fields
    assert list(fields) == [i.key for i in declared.inputs]
    assert [field.label.text() for field in fields.values()] == [i.label for i in declared.inputs]
    texts = " ".join(visible_texts(page))
    assert declared.formula in texts
    assert declared.source in texts
    assert declared.caution in texts
    for wanted in declared.inputs:
        field = fields[wanted.key]
        if isinstance(field, AmountField):
            assert field.unit.text() == (wanted.bare_unit.label if wanted.bare_unit else "")
            assert bool(field.editor.placeholderText()) == bool(wanted.default)
    assert_accessible(page)
    assert_nothing_cut_off(page)


@pytest.mark.parametrize("published", CASES, ids=lambda c: c.key)
def test_a_published_case_gives_the_published_result(page: CalculatorsPage, published: Case) -> None:
    declared = calculation(published.key)
    page.open(declared)
    enter(page, dict(published.typed))
    outcome = work_out(declared, published.typed)
    shown = [part for r in declared.results for part in result_in_units(r, outcome.results[r.key])]
    assert page.results.figures.figures() == shown
    assert_nothing_cut_off(page)


def test_inches_in_both_units_out(page: CalculatorsPage) -> None:
    page.open(calculation("ring-swap"))
    enter(page, RING_SWAP)
    shown = page.results.figures.figures()
    assert shown[:4] == ["6.198 mm", "0.2440 in", "7.087 mm", "0.2790 in"]
    assert "0.2440 in" in page.results.figures.accessibleName()


def test_by_keyboard_alone(page: CalculatorsPage) -> None:
    QTest.keyClicks(focused(page), "pair of rings")
    press(page, Qt.Key.Key_Down)
    assert page.inputs.calculation.key == "ring-swap"
    press(page, Qt.Key.Key_Return)
    for text in RING_SWAP.values():
        type_here(page, text)
    assert focused(page) is page.results.figures
    assert "0.2440 in" in page.results.figures.figures()
    press(page, Qt.Key.Key_Return)
    assert focused(page) is page.finder.line
    type_here(page, "viscosity index")
    assert page.inputs.calculation.key == "viscosity-index"
    assert focused(page).objectName() == page.inputs.calculation.inputs[0].key


def test_the_arrows_pass_the_subjects(page: CalculatorsPage) -> None:
    press(page, Qt.Key.Key_Down)
    seen = []
    while not seen or page.inputs.calculation is not seen[-1]:
        seen.append(page.inputs.calculation)
        press(page, Qt.Key.Key_Down)
    assert seen == list(CALCULATIONS)
    for _ in CALCULATIONS:
        press(page, Qt.Key.Key_Up)
    assert focused(page) is page.finder.line


def test_enter_in_a_list_with_nothing_chosen_chooses(page: CalculatorsPage) -> None:
    page.finder.list.setFocus()
    press(page, Qt.Key.Key_Return)
    assert page.inputs.calculation is CALCULATIONS[0]


def test_what_is_not_found_is_said_and_what_is_open_stays(page: CalculatorsPage) -> None:
    page.open(calculation("ring-swap"))
    page.finder.line.setFocus()
    type_here(page, "kettle")
    assert page.finder.nothing.isVisible()
    assert page.inputs.calculation.key == "ring-swap"
    assert focused(page) is page.finder.line
    assert calculation("heat-to-fit") in found("BORE heat")


def test_a_refusal_stands_at_its_field_once_it_is_left_and_the_text_stays(page: CalculatorsPage) -> None:
    page.open(calculation("ring-swap"))
    fields = page.inputs.form.fields
    QTest.keyClicks(focused(page), "6.35 kg")
    assert fields["ring_gear_side"].refusal == ""
    press(page, Qt.Key.Key_Return)
    assert fields["ring_gear_side"].refusal.startswith("Now on the ring-gear side: ")
    assert fields["ring_gear_side"].value() == "6.35 kg"
    assert page.results.figures.state.text() == fields["ring_gear_side"].refusal
    assert fields["opposite_side"].refusal == ""


def test_enter_in_the_last_field_names_what_is_missing(page: CalculatorsPage) -> None:
    page.open(calculation("ring-swap"))
    fields = page.inputs.form.fields
    assert page.results.figures.state.text().startswith("Still to give: Now on the ring-gear side; ")
    enter(page, {"ring_gear_side": "6.35"})
    fields["preload_add"].setFocus()
    press(page, Qt.Key.Key_Return)
    assert [key for key, field in fields.items() if field.refusal] == ["opposite_side", "move"]
    assert focused(page) is fields["opposite_side"].editor


def test_what_the_rule_refuses_stands_at_the_input_it_is_about(page: CalculatorsPage) -> None:
    page.open(calculation("pinion-depth"))
    enter(page, {"etched_old": "2", "etched_new": "-0.001 in", "rule": "old-minus-new"})
    assert page.results.figures.figures() == []
    page.inputs.form.fields["rule"].setFocus()
    refusal = page.inputs.form.fields["etched_old"].refusal
    assert refusal.startswith("Etched on the old pinion, with its sign and unit is 2, but must be")
    enter(page, {"etched_old": "0.002 in"})
    assert page.results.figures.figures() == ["0.076 mm", "0.0030 in"]
    assert page.inputs.form.fields["etched_old"].refusal == ""


def test_what_was_typed_is_kept_while_others_are_looked_at(page: CalculatorsPage) -> None:
    page.open(calculation("ring-swap"))
    enter(page, RING_SWAP)
    before = page.results.figures.figures()
    page.open(calculation("spacer"))
    assert page.results.figures.figures() == []
    page.open(calculation("ring-swap"))
    assert page.inputs.form.values() == RING_SWAP
    assert page.results.figures.figures() == before


def test_a_text_with_its_own_unit_needs_none_beside_it(page: CalculatorsPage) -> None:
    page.open(calculation("ring-swap"))
    field = page.inputs.form.fields["move"]
    assert field.unit.isVisible()
    enter(page, {"move": "4 thou"})
    assert not field.unit.isVisible()


def test_each_input_is_refused_by_itself() -> None:
    refused = refused_inputs(calculation("ring-swap"), {"ring_gear_side": "x", "opposite_side": "", "move": "1 kg"})
    assert list(refused) == ["ring_gear_side", "move"]
    assert refused_inputs(calculation("ring-swap"), RING_SWAP) == {}


@pytest.mark.parametrize("scheme", ["light", "dark", "contrast"])
def test_a_drawing_is_shown_only_where_there_is_one(page: CalculatorsPage, scheme: str) -> None:
    theme.apply(QApplication.instance(), scheme)
    page.theme_changed()
    for declared in CALCULATIONS:
        page.open(declared)
        page.theme_changed()
        assert page.results.drawing.isVisibleTo(page) == (declared.figure in MEASURED), declared.key


@pytest.mark.parametrize("scale", [100, 200])
def test_the_page_can_be_read_and_gone_through(page: CalculatorsPage, qtbot: Any, scale: int) -> None:
    theme.apply(QApplication.instance(), "light", scale)
    for key in ("ring-swap", "pinion-shim", "bolt-group"):
        page.open(calculation(key))
        enter(page, RING_SWAP if key == "ring-swap" else {})
        qtbot.wait(20)
        assert_accessible(page)
        assert_nothing_cut_off(page)
        assert_visual_order(page, [page.finder, page.inputs, page.results])
        outer = page.findChild(Panes)
        assert outer.is_wide
        assert page.work.is_wide == (scale == 100)
    assert not page.findChildren(QComboBox) + page.findChildren(QSpinBox)
    assert all(editor.accessibleName() for editor in page.findChildren(QLineEdit))
