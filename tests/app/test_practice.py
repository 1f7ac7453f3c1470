"""Reading practice: answered by keyboard alone, scored per person, nothing told before the answer, nothing kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from audit import assert_accessible, assert_nothing_cut_off, assert_visual_order, visible_texts
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QRadioButton
from pytestqt.qtbot import QtBot

from app import theme
from app.practice.page import PracticePage
from app.settings import Settings
from app.window import Window
from core.mechanics.contact import Hand
from core.practice import LEAVE, Grade, Level, question
from core.practice.grading import ways_of
from core.practice.question import WELL
from core.practice.words import print_words
from core.stages.tooth import COAST, DRIVE

KEYS = {(-1, 1): "1", (1, 1): "2", (0, 1): "3", (-1, 2): "4", (1, 2): "5", (0, 2): "6"}


def at_once(work: Callable[[], Any], done: Callable[[Any], None]) -> None:
    """Run work the way `app.tasks` does, but at once."""
    done(work())


@pytest.fixture
def make(qtbot: QtBot) -> Iterator[Callable[..., PracticePage]]:
    theme.apply(QApplication.instance(), "light")

    def made(person: Callable[[], str] = lambda: "Tam Ollerby", width: int = 1360) -> PracticePage:
        page = PracticePage(at_once, person, lambda: 0)
        page.resize(width, 820)
        qtbot.addWidget(page)
        with qtbot.waitExposed(page):
            page.show()
        page.activateWindow()
        return page

    yield made
    theme.apply(QApplication.instance(), "light")


@pytest.fixture
def page(make: Callable[..., PracticePage]) -> PracticePage:
    return make()


def press(page: PracticePage, keys: str) -> None:
    """Press keys where the keyboard is; "\\r" is Enter."""
    for key in keys:
        target = page.window().focusWidget()
        if key == "\r":
            QTest.keyClick(target, Qt.Key.Key_Return)
        else:
            QTest.keyClick(target, key)


def right_keys(page: PracticePage) -> str:
    """Return the number keys of the right answer, for the levels without a distance."""
    asked = page.question
    assert asked is not None
    if asked.level is Level.CENTRED:
        return "1" if asked.now.miss <= WELL else "2"
    if asked.right is None:
        return "7"
    pinion, gear = ways_of(asked.right)
    return KEYS[pinion, 1] + KEYS[gear, 2]


def go_to_level(page: PracticePage, level: Level) -> None:
    page._chooser.button(int(level)).click()


# --- asking and answering --------------------------------------------------------------------------------------------


def test_nothing_of_the_answer_is_told_before_it(page: PracticePage) -> None:
    asked = page.question
    assert asked is not None
    told = " ".join([*visible_texts(page), page.now.figure.accessibleDescription()])
    assert "centre " not in told
    assert print_words(asked.now) not in told
    assert page.now.figure.is_drawn
    assert not page.tried.isVisible()
    press(page, "1\r")
    assert page.now.figure.accessibleDescription() == print_words(asked.now)


def test_who_cannot_see_asks_for_the_numbers(page: PracticePage) -> None:
    page.tell.setFocus()
    press(page, " ")
    assert page.question is not None
    assert page.numbers.text() == print_words(page.question.now) == page.now.figure.accessibleDescription()
    assert page.graded is None


def test_four_right_in_a_row_by_keyboard_alone_lead_to_the_next_level(page: PracticePage) -> None:
    for number in range(4):
        assert page.sitting.level is Level.CENTRED
        assert page.question is not None
        assert page.question.number == number
        press(page, right_keys(page) + "\r")
        assert page.graded is not None
        assert page.graded.grade is Grade.FULL
        assert page.first.text().startswith("Right.")
        press(page, "\r")
    assert page.score.text() == (
        "Tam Ollerby, since the window was opened: 4 of 4 right. Level 2: 4 right in a row lead to level 3, 0 so far."
    )
    assert page.number.text() == "4"
    assert page.question is not None
    assert page.question.level is Level.PLAIN
    press(page, right_keys(page) + "\r")
    assert page.graded is not None
    assert page.graded.grade is Grade.FULL


def test_enter_goes_to_what_is_missing_of_an_answer(page: PracticePage) -> None:
    go_to_level(page, Level.MIXED)
    press(page, "2\r")
    assert page.graded is None
    assert page.form.fields["gear"].isAncestorOf(page.window().focusWidget())
    assert not page.hand_in.isEnabled()
    press(page, "4")
    assert page.hand_in.isEnabled()


@pytest.mark.parametrize("level", [Level.MIXED, Level.NONE_HELPS])
def test_a_wrong_answer_is_shown_with_what_it_would_have_done(page: PracticePage, level: Level, qtbot: QtBot) -> None:
    go_to_level(page, level)
    while page.question is None or page.question.right in (None, LEAVE):
        page.sitting = page.sitting.next_one()
        page.ask()
    pinion, gear = ways_of(page.question.right)
    # The wrong way for whichever gear is to be moved.
    wrong = KEYS[-pinion, 1] + KEYS[-gear, 2]
    press(page, wrong + "\r")
    assert page.graded is not None
    assert page.graded.grade is Grade.WRONG
    assert page.first.text().startswith("Not right.")
    assert page.tried.figure.is_drawn
    assert page.tried.isVisible()
    assert page.best.isVisible()
    assert page.graded.after is not None
    assert page.tried.figure.accessibleDescription() == print_words(page.graded.after)
    # What was just said is seen with the next turn of the events.
    qtbot.wait(20)
    said = " ".join(visible_texts(page))
    assert "The manuals have for these prints:" in said
    assert "Cross: the print's centre. Box: where it belongs, 35 – 60 % from the toe" in said
    assert "the maker's manual" in said


def test_no_setting_and_a_move_take_each_other_back(page: PracticePage) -> None:
    go_to_level(page, Level.NONE_HELPS)
    press(page, "14")
    assert page.form.values() == {"pinion": "toward", "gear": "toward", "none": ""}
    press(page, "7")
    assert page.form.values() == {"pinion": "", "gear": "", "none": "none"}
    assert page.hand_in.isEnabled()
    press(page, "2")
    assert page.form.values() == {"pinion": "away", "gear": "", "none": ""}
    assert not page.hand_in.isEnabled()


def test_how_far_is_answered_by_number_keys(page: PracticePage) -> None:
    go_to_level(page, Level.HOW_FAR)
    assert not page.form.fields["pinion_far"].isVisible()
    press(page, "1342")
    assert page.form.values() == {"pinion": "toward", "pinion_far": "0.1", "gear": "toward", "gear_far": "0.05"}
    press(page, "\r")
    assert page.graded is not None
    assert page.graded.tried == (-0.10, -0.05)


def test_a_gear_that_is_left_is_not_asked_how_far(page: PracticePage) -> None:
    go_to_level(page, Level.HOW_FAR)
    press(page, "36")
    assert not page.form.fields["gear_far"].isVisible()
    assert page.form.answer() is not None
    press(page, "\r")
    assert page.graded is not None
    assert page.graded.tried == LEAVE


def test_after_the_answer_the_choices_stay_to_be_seen_and_cannot_be_changed(page: PracticePage) -> None:
    press(page, "1\r")
    before = page.form.values()
    press(page, "2")
    assert page.form.values() == before
    assert not any(push.isEnabled() for push in page.form.findChildren(QRadioButton))
    assert page.window().focusWidget() is page.go_on


# --- asked again by its number ---------------------------------------------------------------------------------------


def ask_by_number(page: PracticePage, typed: str) -> None:
    page.number.setFocus()
    page.number.selectAll()
    press(page, typed + "\r")


def test_a_question_is_asked_again_by_its_number_with_keys_alone(page: PracticePage) -> None:
    first = page.question
    assert first is not None
    press(page, "1\r\r1\r")
    ask_by_number(page, "0")
    again = page.question
    assert again is not None and again is not first
    assert (again.level, again.number, again.hidden) == (first.level, first.number, first.hidden)
    # The keyboard is back on the answers, and digits choose again.
    press(page, right_keys(page))
    assert page.form.answer() is not None


def test_what_was_answered_before_is_not_counted_again(page: PracticePage) -> None:
    press(page, right_keys(page) + "\r")
    assert (page.sitting.right, page.sitting.asked, page.sitting.in_a_row) == (1, 1, 1)
    ask_by_number(page, "0")
    press(page, right_keys(page) + "\r")
    assert page.graded is not None and page.graded.grade is Grade.FULL
    assert (page.sitting.right, page.sitting.asked, page.sitting.in_a_row) == (1, 1, 1)
    assert page.score.text().endswith("This question was answered before and is not counted again.")
    ask_by_number(page, "314")
    press(page, right_keys(page) + "\r")
    assert page.sitting.asked == 2


@pytest.mark.parametrize("typed", ["", "many", "-1", "1.5", "1000000", "9" * 30])
def test_what_is_no_number_is_refused_and_the_question_stays(page: PracticePage, typed: str, qtbot: QtBot) -> None:
    asked = page.question
    page.number.clear()
    page.number.setFocus()
    press(page, typed + "\r")
    qtbot.wait(20)
    assert page.question is asked
    assert page.refused.isVisible() and page.refused.text()
    assert page.number.text() == typed and page.number.hasFocus()
    page.number.setText("3")
    page.ask_it.click()
    assert page.question is not None and page.question.number == 3
    assert not page.refused.text()


# --- two patches -----------------------------------------------------------------------------------------------------


def test_a_print_in_two_patches_is_a_message_of_its_own(page: PracticePage, qtbot: QtBot) -> None:
    go_to_level(page, Level.NONE_HELPS)
    while page.question is None or page.question.hollow is None:
        page.sitting = page.sitting.next_one()
        page.ask()
    page.tell.click()
    assert "It lies in 2 patches." in page.numbers.text()
    # By its common centre nothing would have to be moved: who goes by that alone is wrong.
    press(page, "36\r")
    assert page.graded is not None and page.graded.grade is Grade.WRONG
    assert "lies in two patches, and no setting makes one of them: take a second print" in page.first.text()
    qtbot.wait(20)
    said = " ".join(visible_texts(page))
    assert "the common centre of two patches lies where nothing touches" in said
    ask_by_number(page, page.number.text())
    press(page, "7\r")
    assert page.graded.grade is Grade.FULL


# --- who, how it looks -----------------------------------------------------------------------------------------------


def test_each_person_has_a_sitting_of_their_own(make: Callable[..., PracticePage]) -> None:
    person = ["Tam Ollerby"]
    page = make(lambda: person[0])
    press(page, right_keys(page) + "\r")
    assert page.score.text().startswith("Tam Ollerby, since the window was opened: 1 of 1 right. Level 1:")
    person[0] = "Jory Pell"
    page.person_changed()
    assert page.score.text() == "Level 1: 4 right in a row lead to level 2, 0 so far."
    person[0] = "Tam Ollerby"
    page.person_changed()
    assert page.score.text().startswith("Tam Ollerby, since the window was opened: 1 of 1 right.")


def test_the_tooth_is_drawn_as_the_set_is(page: PracticePage) -> None:
    from app.practice.drawing import tooth_of

    for number in range(12):
        asked = question(Level.CENTRED, number)
        tooth, cones = tooth_of(asked), asked.pair.cones
        assert tooth.proportion == pytest.approx(asked.pair.gear_set.face_width_mm / cones.working_depth_mm)
        is_right = asked.pair.gear_set.hand is Hand.RIGHT
        assert tooth.sides == ((DRIVE, COAST) if is_right else (COAST, DRIVE))
        assert tooth.assumed_words == ""


def test_the_drawing_follows_the_colours(page: PracticePage) -> None:
    before = page.now.figure.grab().toImage()
    theme.apply(QApplication.instance(), "dark")
    page.theme_changed()
    assert page.now.figure.grab().toImage() != before


@pytest.mark.parametrize("level", Level)
@pytest.mark.parametrize("scale", [100, 200])
def test_the_page_passes_the_audit(make: Callable[..., PracticePage], level: Level, scale: int, qtbot: QtBot) -> None:
    theme.apply(QApplication.instance(), "light", scale)
    page = make(width=1360)
    go_to_level(page, level)
    press(page, "1" if level is Level.CENTRED else "1434" if level is Level.HOW_FAR else "14")
    for _ in range(2):
        qtbot.wait(20)
        assert_accessible(page)
        assert_visual_order(page, (page.score_line, page.levels, *page.panes.panes))
        assert_nothing_cut_off(page)
        page.enter()


# --- in the window ---------------------------------------------------------------------------------------------------


def test_the_page_is_reached_from_the_menu_and_writes_nothing(workshop: Any, job: Any, qtbot: QtBot) -> None:
    window = Window(workshop, Settings(person="Tam Ollerby"))
    qtbot.addWidget(window)
    with qtbot.waitExposed(window):
        window.show()
    window.activateWindow()
    events = len(workshop.events(job.id))
    QTest.keyClick(window, Qt.Key.Key_R, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    assert window.pages.currentWidget() is window.practice
    qtbot.waitUntil(lambda: window.practice.question is not None)
    press(window.practice, right_keys(window.practice) + "\r")
    assert window.practice.sitting.right == 1
    assert len(workshop.events(job.id)) == events
    window.show_desk()
    window.show_practice()
    assert window.practice.go_on.hasFocus()
    window.close()


def test_the_contact_stage_leads_to_the_page(workshop: Any, job: Any, qtbot: QtBot) -> None:
    window = Window(workshop, Settings(person="Tam Ollerby"))
    qtbot.addWidget(window)
    with qtbot.waitExposed(window):
        window.show()
    window.open_job(job.id)
    window.bench.turn_to("contact_pattern")
    (push,) = (b for b in window.bench.findChildren(QPushButton) if b.text() == "Practise reading prints")
    assert push.isVisible()
    push.click()
    assert window.pages.currentWidget() is window.practice
    window.bench.turn_to("backlash")
    assert not push.isVisible()
    window.close()
