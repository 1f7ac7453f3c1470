"""Gauges and the rule on overdue ones on the shop's page: told in words, done by keyboard, nothing lost."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order
from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QLineEdit, QPushButton, QWidget

from app import theme
from app.drawer.gauge_care import checks_words, facts_words
from app.drawer.gauges import due_words, gauge_lines
from app.drawer.page import ShopPage
from app.jobs.panes import Panes
from core.errors import LogbookError
from core.facts import Calibration, Gauge, Shop, ShopRules, ZeroCheck

TAM, OWNER = "Tam Ollerby", "Wren Hask"
TODAY = date(2026, 3, 2)
DIAL = Gauge(1, "dial 1", "dial", "length", 0.01, 0.005, date(2026, 1, 5), 12)


class Person:
    """Who is at the bench; may change while a page is open."""

    name = OWNER

    def __call__(self) -> str:
        return self.name


@pytest.fixture
def person() -> Person:
    return Person()


@pytest.fixture
def make_page(qtbot: Any, person: Person) -> Callable[[Any], ShopPage]:
    def make(workshop: Any) -> ShopPage:
        page = ShopPage(workshop, person)
        page.resize(1400, 900)
        qtbot.addWidget(page)
        with qtbot.waitExposed(page):
            page.show()
        page.activateWindow()
        page.show_section(page.gauges)
        return page

    return make


@pytest.fixture
def late(workshop: Any) -> Gauge:
    """Return a dial gauge that is overdue by 29 days."""
    return workshop.add_gauge("dial gauge 7", "dial", "0.01", "0.005", "2025-02-01", "12", TAM)


@pytest.fixture
def page(make_page: Callable[[Any], ShopPage], workshop: Any, late: Gauge) -> Iterator[ShopPage]:
    yield make_page(workshop)


def line(root: QWidget, key: str) -> QLineEdit:
    found = root.findChild(QLineEdit, key)
    assert found is not None
    return found


def type_through(root: QWidget, *texts: str) -> None:
    """Type one text into each armed field and go on with Enter."""
    for text in texts:
        now = root.window().focusWidget()
        if isinstance(now, QLineEdit):
            now.selectAll()
        QTest.keyClicks(now, text)
        QTest.keyClick(root.window().focusWidget(), Qt.Key.Key_Return)


def rows(page: ShopPage) -> dict[str, str]:
    """Return the calibration of every gauge as the list says it, in its order."""
    return {row.cells[0]: row.cells[3] for row in page.gauges.list.rows_model.rows}


def choose(page: ShopPage, name: str) -> None:
    page.gauges.list.choose(list(rows(page)).index(name))


def click(push: QPushButton) -> None:
    QTest.mouseClick(push, Qt.MouseButton.LeftButton)


def named(workshop: Any, name: str) -> Gauge:
    return next(gauge for gauge in workshop.gauges() if gauge.name == name)


def refusals(form: Any) -> dict[str, str]:
    return {key: field.refusal for key, field in form.fields.items() if field.refusal}


# -- adding ------------------------------------------------------------------------------------------------------------


def test_a_gauge_is_added_in_the_unit_it_reads(page: ShopPage, workshop: Any, qtbot: Any) -> None:
    line(page.gauges, "name").setFocus()
    type_through(page.gauges, "beam wrench 9")
    QTest.keyClick(page.window().focusWidget(), Qt.Key.Key_Right)
    page.gauges.form.fields["use"].put("torque")
    assert page.gauges.form.fields["resolution"].unit.text() == "N·m"
    line(page.gauges, "resolution").setFocus()
    with qtbot.waitSignal(page.changed):
        type_through(page.gauges, "0.5 lbf·in", "± 0.1", "2026-01-31", "12")
    gauge = workshop.gauges()[-1]
    assert (gauge.use, gauge.kind, gauge.stated_error, gauge.interval_months) == ("torque", "torque", 0.1, 12)
    assert gauge.resolution == pytest.approx(0.05649, abs=1e-5)
    assert gauge.calibrated_on == date(2026, 1, 31)
    assert gauge.calibrations[0].person == OWNER
    assert rows(page)["beam wrench 9"] == "good until 2027-01-31"
    assert page.gauges.chosen.name.text() == "beam wrench 9"


def test_a_gauge_says_everything_that_is_wrong_at_once(page: ShopPage, workshop: Any) -> None:
    before = workshop.gauges()
    texts = {"resolution": "three", "error": "-0.01 mm", "calibrated": "2999-01-01", "interval": "1.5"}
    for key, text in texts.items():
        line(page.gauges, key).setText(text)
    click(page.gauges.push)
    assert set(refusals(page.gauges.form)) == {"name", "use", *texts}
    assert "future" in page.gauges.form.fields["calibrated"].refusal
    assert workshop.gauges() == before


# -- the list ----------------------------------------------------------------------------------------------------------


def test_what_wants_calibrating_stands_first_and_is_said_above(page: ShopPage, workshop: Any) -> None:
    assert next(iter(rows(page).items())) == ("dial gauge 7", "overdue by 29 days")
    assert page.gauges.count.text() == "To be calibrated: dial gauge 7."
    assert page.gauges.chosen.name.text() == "dial gauge 7"
    assert page.gauges.chosen.standing.text() == "Calibration: overdue by 29 days."
    workshop.retire_gauge(named(workshop, "dial gauge 7").id, OWNER)
    page.gauges.refresh()
    assert list(rows(page).items())[-1] == ("dial gauge 7", "retired")
    assert page.gauges.count.text().startswith("All that are followed are in date; next is ")


def test_the_list_says_every_standing() -> None:
    ones = [
        DIAL,
        replace(DIAL, id=2, name="dial 2", calibrated_on=None),
        replace(DIAL, id=3, name="dial 3", calibrated_on=None, interval_months=None),
        replace(DIAL, id=4, name="dial 4", is_retired=True),
        replace(DIAL, id=5, name="dial 5", use="sundial", calibrations=(Calibration(TODAY, is_good=False),)),
    ]
    assert [line.cells for line in gauge_lines(ones, TODAY, "metric")] == [
        ("dial 5", "sundial", "± 0.005 mm", "found not good on 2026-03-02"),
        ("dial 2", "dial gauge", "± 0.005 mm", "never calibrated"),
        ("dial 1", "dial gauge", "± 0.005 mm", "good until 2027-01-05"),
        ("dial 3", "dial gauge", "± 0.005 mm", "not followed"),
        ("dial 4", "dial gauge", "± 0.005 mm", "retired"),
    ]
    assert due_words(ones, TODAY) == "To be calibrated: dial 5, dial 2."
    assert due_words(ones[:1], TODAY) == "All that are followed are in date; next is dial 1, by 2027-01-05."
    assert due_words(ones[2:4], TODAY) == ""


def test_what_was_found_is_told_newest_first() -> None:
    at = datetime(2026, 3, 1, 8, 30, tzinfo=UTC)
    one = replace(
        DIAL,
        calibrations=(Calibration(date(2026, 1, 5), True, 0.003, "FL-26-001", TAM), Calibration(TODAY, is_good=False)),
        zeros=(ZeroCheck(at, 0.02, False, TAM, "dropped"),),
    )
    assert checks_words(one, "metric").splitlines() == [
        "2026-03-02: calibrated, not good",
        f"2026-03-01 {at.astimezone():%H:%M}: zero off, 0.02 mm, dropped, Tam Ollerby",
        "2026-01-05: calibrated, good, off by 0.003 mm, FL-26-001, Tam Ollerby",
    ]
    many = replace(one, zeros=tuple(replace(one.zeros[0], at=at.replace(minute=minute)) for minute in range(20)))
    assert checks_words(many, "metric").splitlines()[-1] == "and 14 earlier"
    assert facts_words(one, "inch") == (
        "dial gauge; resolution 0.000394 in; stated error ± 0.000197 in; every 12 months"
    )


# -- calibrations ------------------------------------------------------------------------------------------------------


def test_a_calibration_is_noted_by_keyboard(page: ShopPage, workshop: Any, qtbot: Any) -> None:
    chosen = page.gauges.chosen
    click(chosen.pushes["calibrate"])
    assert line(chosen, "day").text() == "2026-03-02"
    type_through(chosen, "2026-03-01")
    QTest.keyClick(page.window().focusWidget(), Qt.Key.Key_Space)
    QTest.keyClick(page.window().focusWidget(), Qt.Key.Key_Return)
    with qtbot.waitSignal(page.changed):
        type_through(chosen, "0.004", "FL-26-031")
    found = named(workshop, "dial gauge 7").calibrations[-1]
    assert (found.day, found.is_good, found.found_error) == (date(2026, 3, 1), True, 0.004)
    assert (found.note, found.person) == ("FL-26-031", OWNER)
    assert rows(page)["dial gauge 7"] == "good until 2027-03-01"
    assert chosen.name.text() == "dial gauge 7"
    assert chosen.answer.text() == "dial gauge 7: good until 2027-03-01."
    assert not chosen.forms["calibrate"].isVisible()
    assert chosen.checks.text().startswith("2026-03-01: calibrated, good, off by 0.004 mm, FL-26-031")


def test_a_calibration_says_everything_that_is_wrong_and_keeps_what_was_typed(page: ShopPage, workshop: Any) -> None:
    chosen = page.gauges.chosen
    click(chosen.pushes["calibrate"])
    form = chosen.forms["calibrate"]
    line(chosen, "day").setText("yesterday")
    line(chosen, "found").setText("three")
    click(form.keep)
    assert set(refusals(form.form)) == {"day", "outcome", "found"}
    line(chosen, "day").setText("")
    line(chosen, "found").setText("0.02")
    form.form.fields["outcome"].put("good")
    click(form.keep)
    assert set(refusals(form.form)) == {"day"}
    line(chosen, "day").setText("2026-03-01")
    click(form.keep)
    assert "more than its stated error of 0.005 mm" in chosen.answer.text()
    assert chosen.answer.property("role") == "refusal"
    assert (line(chosen, "found").text(), form.isVisible()) == ("0.02", True)
    assert len(named(workshop, "dial gauge 7").calibrations) == 1


def test_a_failed_calibration_warns_of_what_it_marks(page: ShopPage, workshop: Any) -> None:
    chosen = page.gauges.chosen
    click(chosen.pushes["calibrate"])
    chosen.forms["calibrate"].form.fields["outcome"].put("not_good")
    click(chosen.forms["calibrate"].keep)
    assert chosen.answer.text().startswith("dial gauge 7: found not good on 2026-03-02. Marked is what was read")
    assert chosen.answer.property("role") == "refusal"
    assert named(workshop, "dial gauge 7").calibrations[-1].is_good is False


# -- zeros and intervals -----------------------------------------------------------------------------------------------


def test_a_zero_is_checked_on_the_page(page: ShopPage, workshop: Any) -> None:
    chosen = page.gauges.chosen
    click(chosen.pushes["zero"])
    assert chosen.forms["zero"].form.fields["zero"].unit.text() == "mm"
    type_through(chosen, "0.02")
    assert chosen.answer.text() == "dial gauge 7: zero off by 0.02 mm, more than 0.01 mm. Set it, and check again."
    assert chosen.answer.property("role") == "refusal"
    click(chosen.pushes["zero"])
    assert line(chosen, "zero").text() == ""
    type_through(chosen, "nought")
    assert set(refusals(chosen.forms["zero"].form)) == {"zero"}
    type_through(chosen, "0")
    assert (chosen.answer.text(), chosen.answer.property("role")) == ("dial gauge 7: zero good, 0 mm.", "quiet")
    assert [check.is_good for check in named(workshop, "dial gauge 7").zeros] == [False, True]


def test_an_interval_is_changed_and_taken_away(page: ShopPage, workshop: Any) -> None:
    chosen = page.gauges.chosen
    click(chosen.pushes["interval"])
    assert line(chosen, "months").text() == "12"
    type_through(chosen, "24")
    assert chosen.answer.text() == "dial gauge 7: good until 2027-02-01."
    click(chosen.pushes["interval"])
    line(chosen, "months").clear()
    click(chosen.forms["interval"].keep)
    assert named(workshop, "dial gauge 7").interval_months is None
    assert rows(page)["dial gauge 7"] == "not followed, last on 2025-02-01"
    click(chosen.pushes["interval"])
    type_through(chosen, "six")
    assert set(refusals(chosen.forms["interval"].form)) == {"months"}


def test_an_interval_somebody_else_changed_is_not_overwritten_unseen(page: ShopPage, workshop: Any) -> None:
    chosen = page.gauges.chosen
    click(chosen.pushes["interval"])
    workshop.change_interval(named(workshop, "dial gauge 7").id, "36", TAM)
    page.gauges.refresh()  # as another bench's change is heard of
    type_through(chosen, "24")
    assert "Tam Ollerby changed this meanwhile" in chosen.answer.text()
    assert (chosen.forms["interval"].isVisible(), line(chosen, "months").text()) == (True, "24")
    assert named(workshop, "dial gauge 7").interval_months == 36
    assert "every 36 months" in chosen.facts.text()


def test_a_gauge_without_a_zero_offers_no_check(page: ShopPage) -> None:
    choose(page, "feeler set")
    assert not page.gauges.chosen.pushes["zero"].isVisible()
    choose(page, "contact thermometer")
    click(page.gauges.chosen.pushes["zero"])
    assert page.gauges.chosen.forms["zero"].form.fields["zero"].unit.text() == "°C"


def test_what_was_begun_on_a_gauge_waits_until_it_is_chosen_again(page: ShopPage) -> None:
    chosen = page.gauges.chosen
    click(chosen.pushes["calibrate"])
    line(chosen, "certificate").setText("FL-26-031")
    choose(page, "dial gauge 1")
    assert not chosen.forms["calibrate"].isVisible()
    click(chosen.pushes["interval"])
    choose(page, "dial gauge 7")
    assert (line(chosen, "certificate").text(), chosen.forms["calibrate"].isVisible()) == ("FL-26-031", True)
    assert not chosen.forms["interval"].isVisible()
    click(chosen.forms["calibrate"].leave)
    assert not chosen.forms["calibrate"].isVisible()
    assert page.window().focusWidget() is chosen.pushes["calibrate"]
    choose(page, "dial gauge 1")
    assert chosen.forms["interval"].isVisible()


def test_what_the_logbook_cannot_keep_stays_typed(
    page: ShopPage, workshop: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise LogbookError("The disk is full.", "Make room.")

    monkeypatch.setattr(workshop, "zero_check", full)
    chosen = page.gauges.chosen
    click(chosen.pushes["zero"])
    type_through(chosen, "0.01")
    assert chosen.answer.text() == "The disk is full. Make room."
    assert line(chosen, "zero").text() == "0.01"


# -- retiring ----------------------------------------------------------------------------------------------------------


def test_the_owner_retires_a_gauge_and_takes_it_back(page: ShopPage, workshop: Any) -> None:
    chosen = page.gauges.chosen
    click(chosen.retire)
    assert named(workshop, "dial gauge 7").is_retired
    assert chosen.answer.text() == "dial gauge 7 is retired."
    assert chosen.standing.text().startswith("Retired: the bench no longer offers it")
    assert not chosen.pushes["interval"].isVisible()
    assert chosen.retire.text() == "Take it into use again"
    click(chosen.retire)
    assert not named(workshop, "dial gauge 7").is_retired
    assert chosen.answer.text() == "dial gauge 7 is in use again."


def test_who_is_no_owner_is_not_offered_what_the_owner_does(page: ShopPage, person: Person) -> None:
    assert page.gauges.chosen.retire.isVisible()
    person.name = TAM
    page.person_changed()
    assert not page.gauges.chosen.retire.isVisible()
    assert page.gauges.chosen.pushes["calibrate"].isVisible()
    page.show_section(page.shop)
    assert not page.shop.rules.form.isVisible()
    assert page.shop.rules.now.text() == (
        "An overdue gauge: the reading is marked, its verdict stands. The owner may change it."
    )
    person.name = OWNER
    page.person_changed()
    assert page.shop.rules.form.isVisible()


def test_an_empty_shop_shows_no_gauge(make_page: Callable[[Any], ShopPage], empty_workshop: Any) -> None:
    page = make_page(empty_workshop)
    assert not page.gauges.chosen.isVisible()
    assert page.gauges.count.text().startswith("There is no gauge yet.")


# -- the rule ----------------------------------------------------------------------------------------------------------


def test_the_owner_settles_what_an_overdue_gauge_does(page: ShopPage, workshop: Any, qtbot: Any) -> None:
    page.show_section(page.shop)
    rules = page.shop.rules
    assert not rules.form.fields["factor"].isVisible()
    widen = rules.form.fields["overdue"]._buttons["widen"]
    click(widen)
    assert rules.form.fields["factor"].isVisible()
    line(rules, "factor").setFocus()
    with qtbot.waitSignal(page.changed):
        type_through(rules, "3")
    assert workshop.rules() == ShopRules("widen", 3.0)
    assert rules.now.text().endswith("the stated error counts 3 times.")
    assert rules.answer.text() == "Saved. Open jobs are judged by it from now on."
    with workshop._logbook.look() as work:
        assert work.trail(1)[0].person == OWNER


@pytest.mark.parametrize("factor", ["0.5", "11", "many", ""])
def test_a_rule_that_cannot_be_is_refused_and_stays_typed(page: ShopPage, workshop: Any, factor: str) -> None:
    page.show_section(page.shop)
    rules = page.shop.rules
    click(rules.form.fields["overdue"]._buttons["widen"])
    line(rules, "factor").setText(factor)
    click(rules.save)
    assert rules.answer.property("role") == "refusal"
    assert line(rules, "factor").text() == factor
    page.show_section(page.gauges)
    page.show_section(page.shop)
    assert (rules.form.fields["overdue"].value(), line(rules, "factor").text()) == ("widen", factor)
    assert workshop.rules() == ShopRules()


def test_a_shop_somebody_else_changed_is_not_overwritten_unseen(page: ShopPage, workshop: Any) -> None:
    page.show_section(page.shop)
    line(page.shop, "name").setText("Tarn Row Driveline")
    page.shop.form.changed.emit()
    workshop.save_shop(Shop("Ferrow Lane", "3 Ferrow Lane, Aldmoor Cross", "inch", workshop.shop().version))
    click(page.shop.save)
    assert "changed this meanwhile" in page.shop.answer.text()
    assert "Saved meanwhile: Ferrow Lane." in page.shop.form.fields["name"].note.text()
    assert "inches" in page.shop.form.fields["units"].note.text()
    assert not page.shop.form.fields["address"].note.isVisible()
    assert (workshop.shop().name, line(page.shop, "name").text()) == ("Ferrow Lane", "Tarn Row Driveline")
    click(page.shop.save)
    assert workshop.shop().name == "Tarn Row Driveline"
    click(page.shop.save)
    assert page.shop.answer.text() == "Saved."


# -- the look ----------------------------------------------------------------------------------------------------------


def assert_sound(page: ShopPage, section: QWidget, qtbot: Any) -> None:
    def nothing_is_cut_off() -> bool:
        """The page is laid out anew in several steps."""
        try:
            assert_nothing_cut_off(page)
        except AssertionError:
            return False
        return True

    QCoreApplication.processEvents()
    assert_accessible(page)
    assert_visual_order(page, [page.row, *section.findChild(Panes).panes])
    qtbot.waitUntil(nothing_is_cut_off, timeout=3000)


@pytest.mark.parametrize("scale", [100, 200])
def test_the_sections_pass_the_audit_with_everything_open(page: ShopPage, qapp: Any, qtbot: Any, scale: int) -> None:
    theme.apply(qapp, "light", scale)
    chosen = page.gauges.chosen
    for key in ("calibrate", "zero", "interval"):
        chosen.pushes[key].click()
        chosen.forms[key].keep.click()
        assert_sound(page, page.gauges, qtbot)
        chosen.pushes[key].click()
        chosen.forms[key].leave.click()
    page.show_section(page.shop)
    page.shop.rules.form.fields["overdue"]._buttons["widen"].click()
    assert_sound(page, page.shop, qtbot)
    theme.apply(qapp, "light", 100)


def test_labels_never_read_text_as_markup(page: ShopPage, workshop: Any) -> None:
    workshop.add_gauge("<b>Bold</b>", "dial", "0.01", "0.005", "2020-01-01", "12")
    page.gauges.refresh()
    choose(page, "<b>Bold</b>")
    for label in page.gauges.findChildren(QLabel):
        assert label.textFormat() == Qt.TextFormat.PlainText
