"""The parts pages are made of: fields by keyboard, marks by shape, figures in proportion."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest
from audit import assert_accessible
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QVBoxLayout, QWidget

from app import theme
from app.widgets import CautionBox, EntryField, FigureView, FlowLayout, NextThing, StageMarks, VerdictMark
from app.widgets.editors import ChoiceEditor, TextEditor
from app.widgets.wording import echo_words, limit_words, value_words
from core.facts import Limit, Reading
from core.stages.entry import YES_NO_GOOD, Choice, Entry, Position
from core.stages.state import FieldState
from core.verdict import Answer, judge

LASH = Entry("lash", "Backlash", "length", "mm", limit="lash", gauge="dial", help="Read it at the heel.")
DONE = Entry("washed", "Washed and dried", "yes_no", choices=YES_NO_GOOD)
OIL = Entry(
    "oil",
    "Oil",
    "choice",
    choices=(Choice("clear", "clear", True), Choice("dark", "dark"), Choice("dirty", "dirty", False)),
)
NOTE = Entry("note", "Note", "text", needed=0)
LIMIT = Limit("lash", 0.06, 0.10, source="shop practice")
HERE = Position("", "")


def reading(entry: Entry, text: str, value: float | None = None, unit: str = "mm") -> Reading:
    return Reading(1, 1, "stage", entry.key, "", 0, value, text, unit, None, "", datetime(2026, 3, 2, tzinfo=UTC))


def state(entry: Entry, text: str = "", value: float | None = None, limit: Limit | None = None) -> FieldState:
    found = reading(entry, text, value) if text else None
    verdict = judge(value, limit, None, entry.kind, entry.unit) if limit else None
    return FieldState(entry, HERE, 0, found, limit, verdict)


class Page(QWidget):
    """A page with a few fields that stores whatever it is given, or refuses it."""

    def __init__(self, *entries: Entry) -> None:
        super().__init__()
        self.stored: list[tuple[str, str, str | None]] = []
        self.answer: Callable[[EntryField], None] = EntryField.accept
        self.setProperty("bench", True)
        column = QVBoxLayout(self)
        self.fields = [EntryField(entry, HERE, parent=self) for entry in entries]
        for field, following in zip(self.fields, [*self.fields[1:], None], strict=True):
            column.addWidget(field)
            field.committed.connect(self._take)
            if following is not None:
                field.went_on.connect(following.setFocus)
        self.button = QPushButton("Elsewhere")
        column.addWidget(self.button)
        column.addStretch(1)

    def _take(self, field: EntryField) -> None:
        self.stored.append((field.entry.key, field.text(), field.reason))
        self.answer(field)


@pytest.fixture
def page(qtbot: Any, qapp: QApplication) -> Callable[..., Page]:
    theme.apply(qapp, "light", 100)
    pages: list[Page] = []  # a page nobody holds is gone before its test is over

    def make(*entries: Entry) -> Page:
        made = Page(*(entries or (LASH, DONE, NOTE)))
        pages.append(made)
        qtbot.addWidget(made)
        made.resize(760, 600)
        with qtbot.waitExposed(made):
            made.show()
        made.activateWindow()
        made.fields[0].setFocus()
        qtbot.waitUntil(lambda: focus_is_in(made.fields[0]))
        return made

    return make


def focus_is_in(widget: QWidget) -> bool:
    now = QApplication.focusWidget()
    return now is not None and (now is widget or widget.isAncestorOf(now))


def type_text(text: str) -> None:
    QTest.keyClicks(QApplication.focusWidget(), text)


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(QApplication.focusWidget(), key, modifier)


# -- the field ---------------------------------------------------------------------------------------------------------


def test_enter_stores_and_goes_on(page: Any) -> None:
    made = page()
    type_text("0.08")
    press(Qt.Key.Key_Return)
    assert made.stored == [("lash", "0.08", None)]
    assert focus_is_in(made.fields[1])


def test_what_is_typed_is_told_back_with_its_unit(page: Any) -> None:
    field = page().fields[0]
    type_text("3 thou")
    assert field.echo.text() == "= 0.0762 mm"
    assert field.unit.text() == ""
    assert field.text() == "3 thou"


@pytest.mark.parametrize(
    ("text", "beside"),
    [("0.08", "mm"), ("0.08 mm", ""), ("0,08mm", ""), ("0.003 in", ""), ("", "mm"), ("0.08 m?", "mm")],
)
def test_a_unit_stands_beside_a_number_only_where_the_number_names_none(page: Any, text: str, beside: str) -> None:
    field = page().fields[0]
    type_text(text)
    assert field.unit.text() == beside


def test_both_decimal_marks_are_read_and_neither_is_changed(page: Any) -> None:
    field = page().fields[0]
    type_text("0,006")
    assert field.text() == "0,006"
    assert field.echo.text() == "= 0.006 mm"


def test_a_refused_text_stays_with_its_sentence(page: Any) -> None:
    made = page()
    made.answer = lambda field: field.refuse("90 mm is impossible here.", "Check the decimal point.")
    type_text("90")
    press(Qt.Key.Key_Return)
    field = made.fields[0]
    assert focus_is_in(field)
    assert field.text() == "90"
    assert field.refusal == "90 mm is impossible here. Check the decimal point."
    assert "Check the decimal point." in field.editor.accessibleDescription()
    press(Qt.Key.Key_Backspace)
    assert field.refusal == ""


def test_a_refused_text_is_not_offered_again_by_leaving(page: Any) -> None:
    made = page()
    made.answer = lambda field: field.refuse("No.")
    type_text("90")
    press(Qt.Key.Key_Return)
    press(Qt.Key.Key_Tab)
    assert len(made.stored) == 1
    assert made.fields[0].text() == "90"


def test_leaving_stores_what_was_changed(page: Any, qtbot: Any) -> None:
    made = page()
    type_text("0.07")
    press(Qt.Key.Key_Tab)
    assert made.stored == [("lash", "0.07", None)]
    made.fields[0].setFocus()
    press(Qt.Key.Key_Tab)
    assert len(made.stored) == 1, "what was not changed is not stored again"


def test_escape_shows_what_is_stored(page: Any) -> None:
    field = page().fields[0]
    field.show_state(state(LASH, "0.08", 0.08, LIMIT))
    type_text("0.9")
    press(Qt.Key.Key_Escape)
    assert field.text() == "0.08"
    assert not field.is_changed


def test_limit_verdict_and_help_are_shown(page: Any) -> None:
    field = page().fields[0]
    field.show_state(state(LASH, "0.14", 0.14, LIMIT))
    assert field.limit.text() == "0.06 – 0.10 mm, shop practice"
    assert field.word.text() == "does not conform"
    assert field.mark.answer is Answer.DOES_NOT_CONFORM
    assert field.editor.accessibleDescription().startswith("Read it at the heel.")


def test_a_verdict_goes_while_the_text_is_another(page: Any) -> None:
    field = page().fields[0]
    field.show_state(state(LASH, "0.14", 0.14, LIMIT))
    type_text("0.08")
    assert field.word.text() == ""
    assert not field.mark.isVisible()


def test_a_missing_reading_is_marked_only_where_it_is_wanted(page: Any) -> None:
    field = page().fields[0]
    field.show_state(state(LASH, limit=LIMIT), is_wanted=True)
    assert field.word.text() == "missing"
    field.show_state(state(LASH, limit=LIMIT), is_wanted=False)
    assert field.word.text() == ""


def test_the_armed_field_is_the_loudest(page: Any, qtbot: Any) -> None:
    made = page()
    field = made.fields[0]
    assert field.property("is_armed") is True
    assert field.editor.fontInfo().pixelSize() == 44
    made.fields[1].setFocus()
    qtbot.waitUntil(lambda: field.property("is_armed") is False)
    assert field.editor.fontInfo().pixelSize() == 22


def test_a_draft_outlives_a_redraw(page: Any) -> None:
    field = page().fields[0]
    type_text("0.0")
    field.show_state(state(LASH, "0.08", 0.08, LIMIT))
    assert field.text() == "0.0"
    field.show_state(state(LASH, "0.08", 0.08, LIMIT))
    press(Qt.Key.Key_Escape)
    assert field.text() == "0.08"


# -- corrections -------------------------------------------------------------------------------------------------------


def test_a_correction_asks_why_below_the_field(page: Any) -> None:
    made = page()
    field = made.fields[0]
    field.show_state(state(LASH, "0.9", 0.9, LIMIT))

    def answer(asked: EntryField) -> None:
        if asked.reason is None:
            asked.ask_reason(may_be_empty=False)
        else:
            asked.accept()

    made.answer = answer
    type_text("0.09")
    press(Qt.Key.Key_Return)
    assert QApplication.focusWidget().accessibleName() == "Reason for changing Backlash"
    type_text("decimal point")
    press(Qt.Key.Key_Return)
    assert made.stored[-1] == ("lash", "0.09", "decimal point")
    assert focus_is_in(made.fields[1])
    assert not field.is_changed


def test_giving_up_the_reason_gives_up_the_correction(page: Any) -> None:
    made = page()
    field = made.fields[0]
    field.show_state(state(LASH, "0.9", 0.9, LIMIT))
    made.answer = lambda asked: asked.ask_reason(may_be_empty=True)
    type_text("0.09")
    press(Qt.Key.Key_Return)
    press(Qt.Key.Key_Escape)
    assert field.text() == "0.9"
    assert focus_is_in(field)
    assert not field.is_refused


def test_a_correction_left_without_a_reason_says_so_and_stays(page: Any, qtbot: Any) -> None:
    made = page()
    field = made.fields[0]
    field.show_state(state(LASH, "0.9", 0.9, LIMIT))
    made.answer = lambda asked: asked.ask_reason(may_be_empty=False)
    type_text("0.09")
    press(Qt.Key.Key_Tab)
    qtbot.waitUntil(lambda: field.refusal.startswith("Not saved yet"))
    assert field.text() == "0.09"
    assert not field.flush()


# -- answers -----------------------------------------------------------------------------------------------------------


def test_answers_are_chosen_by_arrow_letter_and_space(page: Any) -> None:
    made = page(OIL, NOTE)
    field = made.fields[0]
    assert field.text() == "", "the first answer is not chosen by arriving"
    press(Qt.Key.Key_Right)
    assert field.text() == "dark"
    press(Qt.Key.Key_Left)
    assert field.text() == "clear"
    type_text("d")
    assert field.text() == "dark"
    type_text("d")
    assert field.text() == "dirty", "a letter goes on to the next answer that begins with it"
    press(Qt.Key.Key_Delete)
    assert field.text() == ""
    press(Qt.Key.Key_Space)
    assert field.text() == "dirty"
    assert made.stored == [], "nothing is stored before Enter"
    press(Qt.Key.Key_Return)
    assert made.stored == [("oil", "dirty", None)]
    assert focus_is_in(made.fields[1])


def test_a_click_chooses_and_stores(page: Any, qtbot: Any) -> None:
    made = page(OIL, NOTE)
    editor = made.fields[0].editor
    assert isinstance(editor, ChoiceEditor)
    qtbot.mouseClick(editor.buttons[1], Qt.MouseButton.LeftButton)
    assert made.stored == [("oil", "dark", None)]


def test_a_row_of_answers_is_one_stop_of_the_tab_key(page: Any) -> None:
    made = page(OIL, NOTE)
    press(Qt.Key.Key_Tab)
    assert focus_is_in(made.fields[1])


def test_an_answer_no_longer_known_is_kept(page: Any) -> None:
    made = page(OIL, NOTE)
    field = made.fields[0]
    field.show_state(state(OIL, "grey"))
    assert field.text() == "grey"
    press(Qt.Key.Key_Return)
    assert made.stored == []


def test_answers_cannot_be_changed_where_the_job_is_signed(page: Any, qtbot: Any) -> None:
    made = page(OIL, NOTE)
    field = made.fields[0]
    field.show_state(state(OIL, "dark"), is_read_only=True)
    press(Qt.Key.Key_Right)
    assert isinstance(field.editor, ChoiceEditor)
    qtbot.mouseClick(field.editor.buttons[0], Qt.MouseButton.LeftButton)
    assert field.text() == "dark"
    assert made.stored == []


# -- texts -------------------------------------------------------------------------------------------------------------


def test_shift_and_enter_make_a_line_and_enter_goes_on(page: Any) -> None:
    made = page(NOTE, LASH)
    type_text("left seal weeping")
    press(Qt.Key.Key_Return, Qt.KeyboardModifier.ShiftModifier)
    type_text("right dry")
    press(Qt.Key.Key_Return)
    assert made.stored == [("note", "left seal weeping\nright dry", None)]
    assert focus_is_in(made.fields[1])


def test_a_text_grows_with_its_lines(page: Any, qtbot: Any) -> None:
    made = page(NOTE, LASH)
    editor = made.fields[0].editor
    before = editor.height()
    for _ in range(3):
        type_text("one more line")
        press(Qt.Key.Key_Return, Qt.KeyboardModifier.ShiftModifier)
    qtbot.waitUntil(lambda: editor.height() > 2 * before)


def test_a_pasted_megabyte_does_not_stall_the_page(page: Any) -> None:
    made = page(NOTE, LASH)
    QApplication.clipboard().setText("x" * 2_000_000)
    editor = made.fields[0].editor
    assert isinstance(editor, TextEditor)
    editor.paste()
    assert 4_000 < len(editor.text()) < 50_000


@pytest.mark.parametrize("entry", [LASH, OIL, NOTE])
def test_the_wheel_changes_nothing(page: Any, entry: Entry) -> None:
    made = page(replace(entry), NOTE)
    field = made.fields[0]
    text = {"lash": "0.08", "oil": "dark", "note": "one\ntwo"}[entry.key]
    field.show_text(text)
    target = field.editor.focusables()[0]
    turn = QWheelEvent(
        QPointF(5, 5),
        QPointF(target.mapToGlobal(QPoint(5, 5))),
        QPoint(0, 0),
        QPoint(0, 120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(target, turn)
    assert field.text() == text


# -- the mouse ---------------------------------------------------------------------------------------------------------


def test_a_button_is_still_under_the_pointer_when_a_refusal_moves_the_page(page: Any, qtbot: Any) -> None:
    made = page()
    pressed: list[int] = []
    made.button.clicked.connect(lambda: pressed.append(1))
    made.answer = lambda field: field.refuse("A sentence that makes the field grow by a line. " * 3)
    type_text("90")
    before = made.button.geometry()
    qtbot.mousePress(made.button, Qt.MouseButton.LeftButton)
    QApplication.processEvents()
    assert made.stored == [("lash", "90", None)], "stored at once, though not yet shown"
    assert made.button.geometry() == before
    qtbot.mouseRelease(made.button, Qt.MouseButton.LeftButton)
    assert pressed == [1]
    qtbot.waitUntil(lambda: made.button.geometry() != before)
    assert made.fields[0].refusal


# -- names and words ---------------------------------------------------------------------------------------------------


def test_fields_pass_the_audit(page: Any) -> None:
    assert_accessible(page(LASH, DONE, OIL, NOTE))


def test_places_and_trials_are_part_of_the_name(qtbot: Any) -> None:
    field = EntryField(replace(LASH, positions=(Position("at_045", "45°"),)), Position("at_045", "45°"), 2)
    qtbot.addWidget(field)
    assert field.name == "Backlash, 45°, trial 2"
    assert field.label.text() == "45°"


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (0.06, 0.10, "0.06 – 0.10 mm"),
        (None, 0.05, "at most 0.05 mm"),
        (0.8, None, "at least 0.8 mm"),
        (0.0508, 0.1016, "0.051 – 0.102 mm"),
        (None, None, ""),
    ],
)
def test_limits_in_words(low: float | None, high: float | None, words: str) -> None:
    assert limit_words(Limit("lash", low, high), "length", "mm") == words


def test_values_are_shown_no_finer_than_they_are() -> None:
    assert value_words("length", 0.08, "mm") == "0.080 mm"
    assert value_words("length", 0.0762, "mm") == "0.0762 mm"
    # 9.5 lbf·in in N·m never comes out even.
    assert value_words("torque", 9.5 * 0.1129848290276167, "n_m") == "1.073 N·m"


def test_what_is_no_value_yet_is_not_told_back() -> None:
    assert [echo_words(LASH, text) for text in ("", "0.", "abc", "5 N·m")] == ["", "", "", ""]
    assert echo_words(NOTE, "0.08") == ""


# -- marks, figures, sentences -----------------------------------------------------------------------------------------


def pixels(widget: QWidget) -> QImage:
    return widget.grab().toImage().convertToFormat(QImage.Format.Format_Grayscale8)


@pytest.mark.parametrize("scheme", theme.SCHEMES)
def test_the_four_marks_are_four_shapes(qtbot: Any, qapp: QApplication, scheme: str) -> None:
    theme.apply(qapp, scheme, 100)
    seen = []
    for answer in Answer:
        mark = VerdictMark(answer, step=22)
        qtbot.addWidget(mark)
        mark.resize(mark.sizeHint())
        # Without their colours they must still be told apart.
        image = pixels(mark)
        ground = image.pixelColor(0, 0).lightness()
        side = image.width()
        drawn = [[abs(image.pixelColor(x, y).lightness() - ground) > 60 for x in range(side)] for y in range(side)]
        assert drawn not in seen
        seen.append(drawn)
    theme.apply(qapp, "light", 100)


def test_a_mark_is_read_out_as_its_word(qtbot: Any) -> None:
    mark = VerdictMark(Answer.UNCERTAIN)
    qtbot.addWidget(mark)
    assert mark.accessibleName() == "uncertain"
    mark.show_answer(Answer.CONFORMS)
    assert mark.accessibleName() == "conforms"


def test_stage_marks_are_read_out_together(qtbot: Any) -> None:
    marks = StageMarks()
    qtbot.addWidget(marks)
    marks.show_stages([("Teardown", Answer.CONFORMS), ("Fill", Answer.MISSING)])
    assert marks.accessibleName() == "Teardown: conforms, Fill: missing"


SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="200" height="100"><rect width="200" height="100"/></svg>'


def test_a_figure_keeps_its_proportions(qtbot: Any) -> None:
    view = FigureView()
    qtbot.addWidget(view)
    assert not view.is_drawn
    view.show_figure(SVG, "Figure: Backlash", "Mean 0.080 mm.")
    assert view.is_drawn
    assert view.heightForWidth(400) == 200
    assert view.accessibleName() == "Figure: Backlash"
    assert view.accessibleDescription() == "Mean 0.080 mm."


def test_cautions_can_be_closed_but_never_the_first(qtbot: Any) -> None:
    box = CautionBox(["The maker's manual comes first.", "Wear eye protection.", "Lift with help."])
    qtbot.addWidget(box)
    box.show()
    box.toggle.setFocus()
    QTest.keyClick(box.toggle, Qt.Key.Key_Space)
    assert [line.isVisible() for line in box._lines] == [True, False, False]
    assert box.toggle.text() == "Cautions: show all 3"


def test_the_next_thing_is_read_out(qtbot: Any) -> None:
    line = NextThing()
    qtbot.addWidget(line)
    line.show_sentence("Turn the carrier slowly.")
    assert line.accessibleName() == "Next: Turn the carrier slowly."


def test_a_row_breaks_where_it_is_narrow(qtbot: Any) -> None:
    page = QWidget()
    qtbot.addWidget(page)
    row = FlowLayout(page)
    for number in range(6):
        row.addWidget(QPushButton(f"Answer number {number}"))
    wide = row.sizeHint().width()
    assert row.heightForWidth(wide) == row.sizeHint().height()
    assert row.heightForWidth(wide // 3) > 2 * row.sizeHint().height()
    page.resize(wide // 3, 400)
    page.show()
    assert all(row.itemAt(i).geometry().right() <= page.width() for i in range(row.count()))
