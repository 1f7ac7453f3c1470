"""Corrections at the bench: what was replaced stays to be seen, and two people at one place do not overwrite."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app import theme
from app.bench.page import BenchPage
from app.settings import Settings
from app.widgets.beside import MOST
from app.widgets.entry_field import EntryField

PERSON, OTHER = "Tam Ollerby", "Jory Pell"
PLACE = {"position": "at_000"}


@pytest.fixture
def bench(workshop: Any, job: Any, qtbot: QtBot) -> Iterator[BenchPage]:
    theme.apply(QApplication.instance(), "light")
    page = BenchPage(workshop, Settings(person=PERSON), clock=lambda: datetime(2026, 3, 2, 12, 0, tzinfo=UTC))
    qtbot.addWidget(page)
    page.resize(1360, 880)
    with qtbot.waitExposed(page):
        page.show()
    page.activateWindow()
    page.show_job(job.id)
    qtbot.waitUntil(lambda: QApplication.focusWidget() is not None)
    yield page
    page.close()


def arm(bench: BenchPage, entry: str, position: str = "", trial: int = 0) -> EntryField:
    field = bench.column.field(entry, position, trial)
    field.setFocus(Qt.FocusReason.OtherFocusReason)
    return field


def type_over(text: str) -> None:
    now = QApplication.focusWidget()
    now.selectAll()
    QTest.keyClicks(now, text)


def enter(text: str) -> None:
    type_over(text)
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)


def first(bench: BenchPage) -> EntryField:
    return arm(bench, "backlash_found", "at_000")


def beside(field: EntryField) -> str:
    return "" if field._beside is None or not field._beside.isVisibleTo(field) else field._beside.in_words()


def struck(field: EntryField) -> list[str]:
    assert field._beside is not None
    shown = [old for old, _ in field._beside._lines if old.text()]
    assert all(old.font().strikeOut() for old in shown)
    return [old.text() for old in shown]


def standing(workshop: Any, job: Any) -> Any:
    return workshop.state(job.id).context.reading("teardown", "backlash_found", "at_000")


def record(workshop: Any, job: Any, text: str, person: str = OTHER, **more: Any) -> None:
    workshop.record(job.id, "teardown", "backlash_found", text, **PLACE, person=person, **more)


# -- what was replaced -------------------------------------------------------------------------------------------------


def test_a_replaced_reading_stays_struck_through_with_who_when_and_why(
    bench: BenchPage, workshop: Any, job: Any
) -> None:
    field = first(bench)
    assert field._beside is None
    record(workshop, job, "0.9")
    record(workshop, job, "0.09", person=PERSON, reason="decimal point slipped")
    bench.look_again()
    assert field.text() == "0.09"
    assert struck(field) == ["0.9 mm"]
    said = beside(field)
    assert "replaced by Tam Ollerby, 2026-03-02" in said
    assert said.endswith("decimal point slipped")
    assert said in field.editor.accessibleDescription()


def test_a_reading_taken_back_stays_to_be_seen(bench: BenchPage, workshop: Any, job: Any) -> None:
    record(workshop, job, "0.14")
    workshop.withdraw(job.id, "teardown", "backlash_found", **PLACE, person=PERSON, reason="wrong tooth")
    bench.look_again()
    field = first(bench)
    assert field.text() == ""
    assert struck(field) == ["0.14 mm"]
    assert "taken back by Tam Ollerby" in beside(field)
    assert "wrong tooth" in beside(field)


def test_of_many_replaced_readings_the_newest_are_shown(bench: BenchPage, workshop: Any, job: Any) -> None:
    for n in range(6):
        record(workshop, job, f"0.1{n}", reason=f"round {n}")
    bench.look_again()
    field = first(bench)
    assert struck(field) == ["0.14 mm", "0.13 mm", "0.12 mm"]
    assert f"and {5 - MOST} replaced before that" in beside(field)


def test_a_correction_typed_here_is_shown_at_once_and_passes_the_audit(
    bench: BenchPage, workshop: Any, job: Any, qtbot: QtBot
) -> None:
    field = first(bench)
    enter("0.9")
    first(bench)
    enter("0.09")
    QTest.keyClicks(QApplication.focusWidget(), "decimal point slipped")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert standing(workshop, job).text == "0.09"
    assert struck(field) == ["0.9 mm"]
    qtbot.wait(10)
    assert_accessible(bench)
    body = bench._body
    assert_visual_order(bench, [bench.header, bench.stages, body.left, body.right, bench.gauges])
    assert_nothing_cut_off(field)


def test_words_and_choices_are_shown_as_they_were(bench: BenchPage, workshop: Any, job: Any) -> None:
    workshop.record(job.id, "teardown", "oil_found", "dark", person=PERSON)
    workshop.record(job.id, "teardown", "oil_found", "milky", person=PERSON, reason="looked again")
    workshop.record(job.id, "teardown", "note", "<b>bold</b>\nand long", person=PERSON)
    workshop.record(job.id, "teardown", "note", "plain", person=PERSON)
    bench.look_again()
    assert struck(bench.column.field("oil_found")) == ["dark"]
    assert struck(bench.column.field("note")) == ["<b>bold</b> and long"]
    assert "no reason given" in beside(bench.column.field("note"))


# -- two people at one place -------------------------------------------------------------------------------------------


def test_what_somebody_else_entered_meanwhile_is_not_overwritten_unseen(
    bench: BenchPage, workshop: Any, job: Any
) -> None:
    field = first(bench)
    type_over("0.15")
    record(workshop, job, "0.14")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert (standing(workshop, job).text, standing(workshop, job).person) == ("0.14", OTHER)
    assert field.text() == "0.15"
    assert "Jory Pell entered 0.14 here meanwhile." in field.refusal
    assert "In the logbook stands 0.14 mm (Jory Pell, " in beside(field)


def test_having_seen_it_one_may_replace_it_with_a_reason(bench: BenchPage, workshop: Any, job: Any) -> None:
    field = first(bench)
    type_over("0.15")
    record(workshop, job, "0.14")
    for _ in range(2):
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    QTest.keyClicks(QApplication.focusWidget(), "read twice")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    now = standing(workshop, job)
    assert (now.text, now.person, now.reason) == ("0.15", PERSON, "read twice")
    assert "In the logbook" not in beside(field)
    assert struck(field) == ["0.14 mm"]


def test_escape_takes_over_what_the_other_entered(bench: BenchPage, workshop: Any, job: Any) -> None:
    field = first(bench)
    type_over("0.15")
    record(workshop, job, "0.14")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape)
    assert field.text() == "0.14"
    assert field.refusal == ""
    assert beside(field) == ""


def test_what_arrives_while_something_is_typed_is_shown_before_anything_is_stored(
    bench: BenchPage, workshop: Any, job: Any
) -> None:
    field = first(bench)
    type_over("0.15")
    record(workshop, job, "0.14")
    bench.look_again()
    assert field.text() == "0.15"
    assert "In the logbook stands 0.14 mm" in beside(field)
    type_over("0.14")
    assert beside(field) == ""
    type_over("0.15")
    workshop.withdraw(job.id, "teardown", "backlash_found", **PLACE, person=OTHER, reason="wrong tooth")
    bench.look_again()
    assert "nothing stands here any more" in beside(field)


def test_two_who_enter_the_very_same_agree(bench: BenchPage, workshop: Any, job: Any) -> None:
    field = first(bench)
    type_over("0.14")
    record(workshop, job, "0.14")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert field.refusal == ""
    assert not field.is_changed
    assert standing(workshop, job).person == OTHER


def test_a_reading_taken_back_by_another_is_not_taken_back_again(bench: BenchPage, workshop: Any, job: Any) -> None:
    record(workshop, job, "0.14")
    bench.look_again()
    field = first(bench)
    type_over("0.16")
    workshop.withdraw(job.id, "teardown", "backlash_found", **PLACE, person=OTHER, reason="wrong tooth")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    if field._reason_line is not None:
        QTest.keyClicks(QApplication.focusWidget(), "read again")
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert standing(workshop, job) is None
    assert "taken back meanwhile" in field.refusal
    assert field.text() == "0.16"


def test_the_job_s_words_are_guarded_alike(bench: BenchPage, workshop: Any, job: Any) -> None:
    bench.header.details_button.click()
    field = bench.header.details.fields[2]
    assert field.entry.key == "vehicle"
    field.setFocus()
    type_over("trailer")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    workshop.change_job(job.id, "vehicle", "tow car", OTHER, "asked again")
    QTest.keyClicks(QApplication.focusWidget(), "looked at it")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert workshop.job("2407").vehicle == "tow car"
    assert "Jory Pell changed this meanwhile." in field.refusal
    assert "In the logbook stands “tow car”." in beside(field)
    assert field.text() == "trailer"
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert workshop.job("2407").vehicle == "trailer"


@pytest.mark.parametrize("scale", [100, 150])
def test_a_further_line_finds_its_room(
    bench: BenchPage, workshop: Any, job: Any, qtbot: QtBot, qapp: QApplication, scale: int
) -> None:
    theme.apply(qapp, "light", scale)
    bench.theme_changed()
    record(workshop, job, "0.14")
    record(workshop, job, "0.15", reason="read again")
    bench.look_again()
    field = first(bench)
    qtbot.wait(50)
    type_over("0.16")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    record(workshop, job, "0.17", reason="and again, a reason that is long enough to run over the end of one line " * 3)
    QTest.keyClicks(QApplication.focusWidget(), "mine")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert "entered 0.17" in field.refusal
    qtbot.waitUntil(lambda: field.editor.height() >= field.editor.sizeHint().height())
    assert field.height() >= field.heightForWidth(field.width())
    assert_nothing_cut_off(field)
    theme.apply(qapp, "light")
