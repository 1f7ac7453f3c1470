"""Reading practice: painted prints of invented gears are looked at, an answer is given, and it is told why.

How it goes is kept per person for as long as the window is open, and nowhere else: the logbook is about units, and the
settings of a bench are shared by all who stand at it. Practice that is kept would be an examination.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable
from functools import partial
from itertools import pairwise

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QVBoxLayout, QWidget

from app import theme
from app.jobs.form import Scrolled, button, line_editor, unsaid
from app.jobs.latest import Latest, Run
from app.jobs.panes import Panes
from app.practice.answers import AnswerForm
from app.practice.drawing import prints_svg
from app.theme import GRID
from app.widgets.figure_view import FigureView
from app.widgets.flow import FlowLayout
from app.widgets.sentences import NextThing, say, words
from core.errors import UserError
from core.language import tr
from core.practice import IN_A_ROW, LEAVE, Graded, Level, Question, Setting, Sitting, grade, question
from core.practice.words import (
    ASKED,
    CAUTION,
    LEVEL_WORDS,
    graded_words,
    key_words,
    print_words,
    score_words,
    set_words,
)

LEAST_DIGITS = 130
NUMBER_WIDTH = 90
WIDEST = 720
"""So many pixels wide a drawing is at most at 100 % text size."""
FIRST_NUMBERS = 10_000
MOST_NUMBER_KEYS = 7


def any_number() -> int:
    """Return the number of a first question, so that not every sitting begins with the same one."""
    return secrets.randbelow(FIRST_NUMBERS)


class Drawn(QWidget):
    """A heading and the prints under it; they take no room until there is something to show."""

    def __init__(self, heading: str) -> None:
        super().__init__()
        self.heading, self.figure = words(heading, "heading"), FigureView()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GRID // 2)
        column.addWidget(self.heading)
        column.addWidget(self.figure)

    def show_prints(self, asked: Question, setting: Setting, told: str, *, tells: bool) -> None:
        """Draw the prints after a move; `told` is what a listener hears of them."""
        self.figure.setMaximumWidth(theme.current().px(WIDEST))
        self.figure.show_figure(prints_svg(asked, setting, tells=tells), self.heading.text(), told)
        self.show()


class PracticePage(QWidget):
    """Left the prints, right the answers and what is said of them.

    Parameters
    ----------
    run : Run
        Has questions drawn off the window's thread.
    person : callable
        Who is at the bench.
    first_number : callable
        The number of a sitting's first question.
    """

    def __init__(self, run: Run, person: Callable[[], str] = str, first_number: Callable[[], int] = any_number) -> None:
        super().__init__()
        self._ask = Latest(run)
        self._person_now, self._first_number = person, first_number
        self._sittings: dict[str, Sitting] = {}
        self._person: str | None = None
        self._is_again = False
        self.question: Question | None = None
        self.graded: Graded | None = None
        self.first, self.score, self.about, self.numbers = NextThing(), words(role="body"), words(), unsaid("body")
        self.key = unsaid()
        self.now = Drawn(tr("The prints as they are"))
        self.tried = Drawn(tr("After your answer"))
        self.best = Drawn(tr("After the shortest right move"))
        self.number = line_editor("question_number", tr("Number of the question"))
        self.ask_it = button(tr("Ask &this one"), "plain")
        self.refused = unsaid("refusal")
        self.tell = button(tr("Tell the prints in &numbers"), "plain")
        self.hand_in, self.go_on = button(tr("Answer"), "main"), button(tr("Next question"), "main")
        self.form = AnswerForm(Level.CENTRED)
        self._said = QVBoxLayout()
        self._lay_out()
        self._connect()
        self._clear()

    # -- putting together --------------------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        self.levels = QWidget()
        self._chooser = QButtonGroup(self)
        row = FlowLayout(self.levels, gap=0)
        for level in Level:
            push = button(tr("{level}: {what}", level=int(level), what=tr(LEVEL_WORDS[level])), "stage")
            push.setAccessibleName(tr("Level {level}: {what}", level=int(level), what=tr(LEVEL_WORDS[level])))
            push.setCheckable(True)
            self._chooser.addButton(push, int(level))
            row.addWidget(push)
        drawn, self._drawings = _column(self.now, self.key, self.about, self.tell, self.numbers, self.tried, self.best)
        said, self._answers = _column(self.form, self.hand_in, self.go_on)
        self._said.setSpacing(GRID)
        self._answers.insertLayout(self._answers.count() - 1, self._said)
        self.panes = Panes(drawn, said, LEAST_DIGITS, wide=(6, 5), narrow=(0, 1))
        self.reading = Scrolled(self.panes)
        page = QVBoxLayout(self)
        page.setContentsMargins(3 * GRID, GRID, 3 * GRID, 2 * GRID)
        page.setSpacing(GRID)
        self.score_line = self._score_line()
        for widget in (self.first, self.score_line, self.refused, self.levels):
            page.addWidget(widget)
        page.addWidget(self.reading, 1)
        page.addWidget(words(tr(CAUTION), "quiet"))

    def _score_line(self) -> QWidget:
        """Return the line with the score and, at its end, the number of the question: another may be asked for."""
        line = QWidget()
        row = QHBoxLayout(line)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(GRID)
        label = words(tr("Question"), wraps=False)
        label.setBuddy(self.number)
        self.number.setMaximumWidth(theme.current().px(NUMBER_WIDTH))
        row.addWidget(self.score, 1)
        for widget in (label, self.number, self.ask_it):
            row.addWidget(widget)
        return line

    def _connect(self) -> None:
        self.ask_it.clicked.connect(self._ask_number)
        self._chooser.idClicked.connect(self._choose_level)
        self.tell.clicked.connect(self._tell_numbers)
        self.hand_in.clicked.connect(self.enter)
        self.go_on.clicked.connect(self.enter)
        for number in range(1, MOST_NUMBER_KEYS + 1):
            self._key(str(number), partial(self._number, number))
        for name in ("Return", "Enter"):
            self._key(name, self.enter)
        for name, pages in (("PgDown", 1), ("PgUp", -1)):
            self._key(name, partial(self._turn, pages))

    def _key(self, name: str, act: Callable[[], None]) -> None:
        made = QShortcut(QKeySequence(name), self)
        made.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        made.activated.connect(act)

    def _turn(self, pages: int) -> None:
        """Bring into view what lies below or above; nothing there needs the keyboard, so no stop leads to it."""
        bar = self.reading.verticalScrollBar()
        bar.setValue(bar.value() + pages * bar.pageStep())

    # -- asking ------------------------------------------------------------------------------------------------------

    @property
    def sitting(self) -> Sitting:
        """How it goes for who is at the bench."""
        person = self._person or ""
        if person not in self._sittings:
            self._sittings[person] = Sitting(self._first_number())
        return self._sittings[person]

    @sitting.setter
    def sitting(self, sitting: Sitting) -> None:
        self._sittings[self._person or ""] = sitting

    def showEvent(self, event: QShowEvent) -> None:
        """Begin, or go on where whoever is at the bench had stopped."""
        super().showEvent(event)
        self.person_changed()
        self._take_keyboard()

    def _take_keyboard(self) -> None:
        """Give the keyboard to what is to be done next."""
        if self.graded is not None:
            self.go_on.setFocus(Qt.FocusReason.OtherFocusReason)
        elif self.question is not None:
            self.form.go_to_missing()

    def person_changed(self) -> None:
        """Go on with the sitting of who is at the bench now."""
        if self.isVisible() and self._person_now() != self._person:
            self._person = self._person_now()
            self.ask()

    def _choose_level(self, level: int) -> None:
        self.sitting = self.sitting.at_level(Level(level))
        self.ask()

    def _ask_number(self) -> None:
        """Ask the question whose number was typed; a question that was answered is not counted again."""
        try:
            self.sitting = self.sitting.at_number(self.number.text())
        except UserError as error:
            say(self.refused, str(error))
            self.number.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        self.ask()

    def ask(self) -> None:
        """Ask the question the sitting has come to."""
        self._clear()
        level, number = self.sitting.level, self.sitting.number
        self._chooser.button(int(level)).setChecked(True)
        self._show_score()
        self.first.show_sentence(tr("The next set is being painted …"))
        self._ask.ask(lambda: _made(level, number), self._show)

    def _clear(self) -> None:
        """Take away the last question with all that was said of it."""
        self.question = self.graded = None
        for widget in (self.now, self.tried, self.best, self.go_on, self.tell, self.hand_in, self.form):
            widget.hide()
        for label in (self.key, self.about, self.numbers, self.refused):
            say(label, "")
        self._tell(())

    def _show(self, asked: Question) -> None:
        self.question = asked
        made = AnswerForm(asked.level)
        self._answers.replaceWidget(self.form, made)
        self.form.deleteLater()
        self.form = made
        self.reading.follow(made)
        made.changed.connect(self._may_answer)
        self.first.show_sentence(tr(ASKED[asked.level]))
        say(self.about, set_words(asked))
        self.draw()
        for widget in (self.tell, self.hand_in, self.form):
            widget.show()
        _order((self.tell, *made.pushes, self.hand_in, self.go_on))
        self._may_answer()
        if self.isVisible():
            self._take_keyboard()

    def _may_answer(self) -> None:
        self.hand_in.setEnabled(self.form.answer() is not None)

    def draw(self) -> None:
        """Draw what is shown in the colours now in force."""
        asked, graded = self.question, self.graded
        if asked is None:
            return
        is_told = graded is not None or self.numbers.isVisibleTo(self)
        neutral = tr("One print on each flank. Their numbers are told when asked for, and after the answer.")
        self.now.show_prints(asked, LEAVE, print_words(asked.now) if is_told else neutral, tells=graded is not None)
        if graded is None:
            return
        if graded.after is not None and graded.tried is not None:
            self.tried.show_prints(asked, graded.tried, print_words(graded.after), tells=True)
        if asked.level is not Level.CENTRED and asked.right not in (None, LEAVE, graded.tried):
            right = asked.right or LEAVE
            self.best.show_prints(asked, right, print_words(asked.looks[right]), tells=True)

    def theme_changed(self) -> None:
        """Draw in the colours now in force."""
        self.draw()

    # -- answering ---------------------------------------------------------------------------------------------------

    def _number(self, number: int) -> None:
        if self.question is not None and self.graded is None:
            self.form.choose(number)

    def enter(self) -> None:
        """Hand the answer in, or go to what is missing of it; once it was graded, go on to the next question."""
        if self.number.hasFocus():
            self._ask_number()
        elif self.graded is not None:
            self.sitting = self.sitting.next_one()
            self.ask()
        elif self.question is not None:
            answer = self.form.answer()
            if answer is None:
                self.form.go_to_missing()
            else:
                self._show_grade(grade(self.question, answer))

    def _show_grade(self, graded: Graded) -> None:
        before, self.graded = self.sitting.level, graded
        self._is_again = self.sitting.is_done
        self.sitting = self.sitting.answered(graded.grade)
        self.form.setEnabled(False)
        self.hand_in.hide()
        said = list(graded_words(graded))
        if self.sitting.level > before:
            risen = tr("{count} right in a row: the next question is of level {level}.", count=IN_A_ROW,
                       level=int(self.sitting.level))  # fmt: skip
            said.insert(1, risen)
        self.first.show_sentence(tr("{worth} Enter for the next question.", worth=said[0]))
        self._tell(said[1:])
        self.tell.hide()
        say(self.key, key_words())
        say(self.numbers, print_words(graded.question.now))
        self._show_score()
        self.draw()
        self.go_on.show()
        self.go_on.setFocus(Qt.FocusReason.OtherFocusReason)
        self.go_on.setAccessibleDescription(" ".join(said))

    def _show_score(self) -> None:
        told = score_words(self.sitting, self._person or "")
        if self.graded is not None and self._is_again:
            told = tr("{told} This question was answered before and is not counted again.", told=told)
        say(self.score, told)
        self.number.setText(str(self.sitting.number))

    def _tell_numbers(self) -> None:
        if self.question is not None:
            say(self.numbers, print_words(self.question.now))
            self.draw()

    def _tell(self, sentences: tuple[str, ...] | list[str]) -> None:
        while (item := self._said.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for sentence in sentences:
            self._said.addWidget(words(sentence, "body"))


def _made(level: Level, number: int) -> Question:
    """Draw a question, and work out what every move does, before anybody waits for it."""
    found = question(level, number)
    if level is not Level.CENTRED:
        _ = found.looks
    return found


def _order(stops: tuple[QWidget, ...]) -> None:
    """Let Tab go as the eye does, whenever the stops were made."""
    for one, other in pairwise(stops):
        QWidget.setTabOrder(one, other)


def _column(*widgets: QWidget) -> tuple[QWidget, QVBoxLayout]:
    """Return widgets one under the other; buttons are as wide as their words."""
    content = QWidget()
    column = QVBoxLayout(content)
    column.setContentsMargins(GRID, 0, GRID, 0)
    column.setSpacing(GRID)
    for widget in widgets:
        is_push = widget.property("role") in ("plain", "main")
        column.addWidget(widget, 0, Qt.AlignmentFlag.AlignLeft if is_push else Qt.AlignmentFlag(0))
    column.addStretch(1)
    return content, column
