"""The quiet lines between the fields: headings, what is worked out, and the line of a trial."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app import theme
from app.widgets.field_face import EDGE, NUMBER_INSET, NUMBER_WIDTH, UNIT_WIDTH, WORD_WIDTH, keep_room
from app.widgets.marks import VerdictMark, answer_word, show_verdict
from app.widgets.sentences import say, words
from app.widgets.wording import limit_words, marked_words
from core.language import mark, tr
from core.quantities import KINDS, number, show
from core.stages.prints import flank_of
from core.stages.state import DerivedState, FieldState, TrialState
from core.stages.tooth import COAST, DRIVE
from core.stages.worked import working_words
from core.verdict import Answer

LEFT_MARGIN = theme.GRID + EDGE


class GroupHeading(QWidget):
    """The heading of a group, with the space that sets groups apart."""

    def __init__(self, label: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(LEFT_MARGIN, 3 * theme.GRID, theme.GRID, theme.GRID)
        column.addWidget(words(label, "heading"))


class EntryHeading(QWidget):
    """The label of an entry read at several places, and the limit all of them answer to."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.label, self.limit = words("", "strong"), words("", "quiet")
        row = QVBoxLayout(self)
        row.setContentsMargins(LEFT_MARGIN, theme.GRID, theme.GRID, 0)
        row.setSpacing(2)
        row.addWidget(self.label)
        row.addWidget(self.limit)

    def show_entry(self, field: FieldState) -> None:
        """Show an entry's label and limit."""
        say(self.label, tr(field.entry.label))
        say(self.limit, limit_words(field.limit, field.entry.kind, field.entry.unit))


class ResultLine(QWidget):
    """A value that is worked out, in the columns of the fields above it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.label, self.limit = words("", "body"), words("", "quiet")
        self.value, self.unit = words("", "number", wraps=False), words("", "quiet", wraps=False)
        self.value.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.value.setContentsMargins(0, 0, NUMBER_INSET, 0)
        self.mark, self.word = VerdictMark(step=17), words("", "body")
        keep_room(self.mark)
        grid = QGridLayout(self)
        grid.setContentsMargins(LEFT_MARGIN, 2, theme.GRID, 2)
        grid.setHorizontalSpacing(theme.GRID)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(0, 2)
        grid.addWidget(self.label, 0, 0)
        grid.addWidget(self.limit, 1, 0)
        for column, widget in enumerate((self.value, self.unit, self.mark, self.word), start=1):
            grid.addWidget(widget, 0, column, Qt.AlignmentFlag.AlignVCenter)
        self._measure()

    def _measure(self) -> None:
        px = theme.current().px
        for widget, width in ((self.value, NUMBER_WIDTH), (self.unit, UNIT_WIDTH), (self.word, WORD_WIDTH)):
            widget.setFixedWidth(px(width))
        self.mark.setFixedSize(self.mark.sizeHint())

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange and hasattr(self, "word"):
            self._measure()

    def show_result(self, state: DerivedState) -> None:
        """Show a value and its verdict, or a dash while it cannot be worked out."""
        derived = state.derived
        say(self.label, tr(derived.label))
        how = working_words(state.outcome) if state.outcome else state.trouble
        limit = limit_words(state.limit, derived.kind, derived.unit)
        say(self.limit, "\n".join(filter(None, ("; ".join(filter(None, (limit, marked_words(state)))), how))))
        self.setToolTip(tr(derived.help))
        has_value = state.value is not None
        self.value.setText(number(derived.kind, state.value, derived.unit) if state.value is not None else "–")
        self.unit.setText(KINDS[derived.kind].unit(derived.unit).label if has_value else "")
        show_verdict(self.mark, self.word, state.verdict if has_value else None)


class TrialLine(QWidget):
    """A trial as one line of values with its verdict; an earlier trial's number opens and closes it."""

    toggled = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.number = 0
        self.heading = words("", "heading", wraps=False)
        self.button = QPushButton()
        self.button.setAutoDefault(False)
        theme.give_role(self.button, "plain")
        self.values, self.word = words("", "body"), words("", "body")
        self.mark = VerdictMark(step=17)
        row = QHBoxLayout(self)
        row.setContentsMargins(LEFT_MARGIN, 2 * theme.GRID, theme.GRID, 0)
        row.setSpacing(theme.GRID)
        row.addWidget(self.heading)
        row.addWidget(self.button)
        row.addWidget(self.values, 1)
        row.addWidget(self.mark)
        row.addWidget(self.word)
        self.button.clicked.connect(self._tell)
        self._measure()

    def _tell(self) -> None:
        self.toggled.emit(self.number)

    def show_trial(self, trial: TrialState, *, is_open: bool, is_last: bool) -> None:
        """Show a trial's values in one line, or only its number while its fields stand below."""
        self.number = trial.number
        heading = tr("Trial {trial}, stays" if trial.is_accepted else "Trial {trial}", trial=trial.number)
        # The last trial is being worked on: it cannot be closed.
        say(self.heading, heading if is_last else "")
        self.button.setVisible(not is_last)
        self.button.setText(heading)
        summary = trial_words(trial)
        self.values.setText("" if is_open else summary)
        if is_open:
            self.button.setAccessibleName(tr("Trial {trial}: close", trial=trial.number))
        else:
            self.button.setAccessibleName(tr("Trial {trial}: open, {values}", trial=trial.number, values=summary))
        self._show_verdict(trial, is_last)

    def _show_verdict(self, trial: TrialState, is_last: bool) -> None:
        answer = trial.verdict.answer
        is_told = answer is not Answer.MISSING or not is_last
        self.mark.setVisible(is_told)
        self.mark.show_answer(answer)
        self.word.setText(answer_word(answer) if is_told else "")
        theme.set_mark(self.word, "tone", answer.value)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange and hasattr(self, "mark"):
            self._measure()

    def _measure(self) -> None:
        self.mark.setFixedSize(self.mark.sizeHint())
        self.word.setFixedWidth(theme.current().px(WORD_WIDTH))


def trial_words(trial: TrialState) -> str:
    """Return the values of a trial in one line: what was measured once, then what it comes to."""
    measured: list[tuple[str, str]] = []
    for field in trial.fields:
        reading = field.reading
        if reading is None or reading.value is None or field.position.label or field.entry.kind == "yes_no":
            continue
        if flank_of(field.entry):
            continue
        entry = field.entry
        unit = KINDS[entry.kind].unit(entry.unit) if entry.unit else KINDS[entry.kind].canonical
        measured.append((number(entry.kind, reading.value, unit.id), unit.label))
    worked_out = [
        tr("{label}: {value}", label=tr(d.derived.label), value=show(d.derived.kind, d.value, d.derived.unit))
        for d in trial.derived
        if d.value is not None
    ]
    return "; ".join((*_prints(trial), *_by_unit(measured), *worked_out))


def _prints(trial: TrialState) -> list[str]:
    """Return where the print on each flank lies, as far as its centre was read."""
    read = {field.entry.key: field.reading.value for field in trial.fields if field.reading is not None}
    said = []
    for side, words_of_it in _WHERE.items():
        along, depth = (read.get(f"{side}_{end}") for end in ("along", "depth"))
        if along is not None and depth is not None:
            said.append(tr(words_of_it, along=f"{100 * along:.0f}", depth=f"{100 * depth:.0f}"))
    return said


_WHERE = {
    DRIVE: mark("drive {along} % along, {depth} % up"),
    COAST: mark("coast {along} % along, {depth} % up"),
}


def _by_unit(values: list[tuple[str, str]]) -> list[str]:
    """Join neighbours that share a unit, so that the unit is said once."""
    joined: list[tuple[str, str]] = []
    for value, unit in values:
        if joined and joined[-1][1] == unit:
            joined[-1] = (f"{joined[-1][0]} · {value}", unit)
        else:
            joined.append((value, unit))
    return [f"{value} {unit}".strip() for value, unit in joined]
