"""One place of one entry: label, editor, unit, what it comes to, limit, verdict, and a sentence when refused."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import QApplication, QFrame, QGridLayout, QLabel, QVBoxLayout, QWidget

from app import theme
from app.widgets.editors import ChoiceEditor, LineEditor, TextEditor
from app.widgets.marks import VerdictMark, answer_word
from app.widgets.reason_line import ReasonLine
from app.widgets.sentences import say, words
from app.widgets.settle import when_mouse_rests
from app.widgets.wording import echo_words, field_name, is_in_own_unit, limit_words
from core.language import tr
from core.quantities import KINDS
from core.stages.entry import Entry, Position
from core.stages.state import FieldState
from core.verdict import Answer

Key = tuple[str, str, int]

EDGE = 3
NUMBER_WIDTH = 152
ARMED_WIDTH = 216
UNIT_WIDTH = 48
WORD_WIDTH = 136
SHORT_LABEL = 20
NUMBER_INSET = 12
"""How far the digits of an editor stand from its right edge; what stands below lines up with them."""

# Leaving for another window, a menu or a drop-down is not leaving the field.
_NOT_LEAVING = (
    Qt.FocusReason.ActiveWindowFocusReason,
    Qt.FocusReason.PopupFocusReason,
    Qt.FocusReason.MenuBarFocusReason,
)


def make_editor(entry: Entry) -> LineEditor | TextEditor | ChoiceEditor:
    """Return the editor that suits an entry's kind."""
    if entry.choices:
        return ChoiceEditor(entry.choices)
    return LineEditor() if KINDS[entry.kind].is_number else TextEditor()


class EntryField(QFrame):
    """One place of one entry, calm, armed, refused or saved.

    The field stores nothing: `committed` says that what stands in it is meant, and whoever listens answers with
    `accept`, `refuse` or `ask_reason` before it returns. Until then the text is a draft and stays as typed.

    Signals
    -------
    committed(field)
        What was typed is meant; see `text`, `reason` (None: not asked yet) and `is_being_left`.
    went_on(field)
        Enter was pressed and nothing is left to do here.
    was_armed(field)
        The field takes input now.
    """

    committed = Signal(object)
    went_on = Signal(object)
    was_armed = Signal(object)

    def __init__(
        self, entry: Entry, position: Position, trial: int = 0, *, label: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("entry_field")
        self.entry, self.position, self.trial = entry, position, trial
        self.name = field_name(entry, position, trial)
        self.reason: str | None = None
        self.is_being_left = False
        self._state: FieldState | None = None
        self._saved = ""
        self._refused_text: str | None = None
        self._refusal = ""
        self._is_armed = False
        self._shows_limit = not position.label
        self._reason_line: ReasonLine | None = None
        self.is_wanted = False
        self.editor = make_editor(entry)
        self._build(label or tr(position.label) or tr(entry.label))
        self._connect()
        self._measure()
        self._show()

    @property
    def key(self) -> Key:
        """Where the reading belongs within its stage."""
        return self.entry.key, self.position.key, self.trial

    # -- building ------------------------------------------------------------------------------------------------

    def _build(self, label: str) -> None:
        self.label = words(label, "body")
        self.limit, self.echo, self.unit = words("", "quiet"), words("", "quiet", wraps=False), words("", "quiet")
        self._help: QLabel | None = None
        self._refusal_label: QLabel | None = None
        self.mark, self.word = VerdictMark(step=17), words("", "body")
        keeps_its_room = self.mark.sizePolicy()
        keeps_its_room.setRetainSizeWhenHidden(True)
        self.mark.setSizePolicy(keeps_its_room)
        self.echo.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.editor.set_name(self.name)
        self.setFocusProxy(self.editor)
        if isinstance(self.editor, LineEditor):
            theme.give_role(self.editor, "number")
        self._line = QGridLayout()
        self._line.setContentsMargins(0, 0, 0, 0)
        self._line.setHorizontalSpacing(theme.GRID)
        self._line.setVerticalSpacing(2)
        self._line.addWidget(self.label, 0, 0, Qt.AlignmentFlag.AlignVCenter)
        self._line.addWidget(self.limit, 1, 0, Qt.AlignmentFlag.AlignTop)
        self._place_editor()
        self._column = QVBoxLayout(self)
        self._column.setSpacing(4)
        self._column.addLayout(self._line)

    def _place_editor(self) -> None:
        """Give numbers a column they line up in, and words the room they need."""
        line = self._line
        line.setColumnStretch(0, 2)
        if isinstance(self.editor, LineEditor):
            line.addWidget(self.editor, 0, 1)
            line.addWidget(self.unit, 0, 2)
            line.addWidget(self.echo, 1, 1)
            self.echo.setContentsMargins(0, 0, NUMBER_INSET, 0)
        elif isinstance(self.editor, ChoiceEditor):
            line.addWidget(self.editor, 0, 1, 1, 2, Qt.AlignmentFlag.AlignVCenter)
            # A short label leaves its room to the answers.
            line.setColumnStretch(0, 1 if len(self.label.text()) <= SHORT_LABEL else 2)
            line.setColumnStretch(1, 0 if self._is_short else 3)
        else:
            line.addWidget(self.editor, 0, 1, 1, 4, Qt.AlignmentFlag.AlignVCenter)
            line.setColumnStretch(1, 5)
        if not isinstance(self.editor, TextEditor):
            line.addWidget(self.mark, 0, 3, Qt.AlignmentFlag.AlignVCenter)
            line.addWidget(self.word, 0, 4, Qt.AlignmentFlag.AlignVCenter)

    def _connect(self) -> None:
        self.editor.edited.connect(self._on_edited)
        self.editor.entered.connect(self.enter)
        self.editor.escaped.connect(self.restore)
        self.editor.armed.connect(self._on_armed)
        self.editor.left.connect(self._on_left)
        if isinstance(self.editor, ChoiceEditor):
            self.editor.clicked.connect(self._commit_choice)

    @property
    def _is_short(self) -> bool:
        """Whether the answers fit the column of the numbers."""
        return len(self.entry.choices) <= 2 and self.entry.kind == "yes_no"

    def _unit_label(self) -> str:
        """Return the unit a bare number is taken in; what names its own unit needs none beside it."""
        kind = KINDS[self.entry.kind]
        if not kind.is_number or not is_in_own_unit(self.entry, self.text()):
            return ""
        return (kind.unit(self.entry.unit) if self.entry.unit else kind.canonical).label

    def _measure(self) -> None:
        """Set the widths that make the numbers of a page line up, at the text size in force."""
        px = theme.current().px
        air = theme.GRID if self._is_armed else 2
        # The edge stands within the frame, which the layout counts for itself.
        self._column.setContentsMargins(theme.GRID, air, theme.GRID, air)
        if isinstance(self.editor, LineEditor):
            self.editor.setFixedWidth(px(ARMED_WIDTH if self._is_armed else NUMBER_WIDTH))
            self.unit.setFixedWidth(px(UNIT_WIDTH))
        elif self._is_short:
            self.editor.setFixedWidth(px(NUMBER_WIDTH + UNIT_WIDTH) + theme.GRID)
        self.mark.setFixedSize(self.mark.sizeHint())
        self.word.setFixedWidth(px(WORD_WIDTH))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange and hasattr(self, "_column"):
            self._measure()

    # -- what it holds ---------------------------------------------------------------------------------------------

    def text(self) -> str:
        """Return what stands in the field, as typed or as the key of the chosen answer."""
        return self.editor.text()

    @property
    def is_changed(self) -> bool:
        """Whether something stands here that is not stored."""
        return self.text().strip() != self._saved.strip()

    @property
    def is_refused(self) -> bool:
        """Whether what stands here was refused, or waits for the reason of its change."""
        return bool(self._refusal) or self._reason_line is not None

    @property
    def is_correction(self) -> bool:
        """Whether something else stands in the logbook at this place."""
        return bool(self._saved)

    @property
    def state(self) -> FieldState | None:
        """What was last shown here."""
        return self._state

    def put_draft(self, text: str) -> None:
        """Put back what was typed earlier and never stored."""
        self.editor.set_text(text)
        self._show()

    def show_state(self, state: FieldState, *, is_wanted: bool = False, is_read_only: bool = False) -> None:
        """Show what the logbook says about this place; a draft that is being typed stays.

        Parameters
        ----------
        state : FieldState
            Reading, limit and verdict.
        is_wanted : bool
            Whether the entry still needs a reading here; only then is a missing one marked.
        is_read_only : bool
            Whether the job takes no more readings.
        """
        self._state, self.is_wanted = state, is_wanted
        self.show_text(state.reading.text if state.reading is not None else "", is_read_only=is_read_only)

    def show_text(self, text: str, *, is_read_only: bool = False) -> None:
        """Show what is stored here; a draft that is being typed stays."""
        had_draft = self.is_changed
        self._saved = text
        if not had_draft and self.text() != text:
            self.editor.set_text(text)
        self.editor.set_read_only(is_read_only)
        self._show()

    # -- what becomes of it ----------------------------------------------------------------------------------------

    def enter(self) -> None:
        """Do what Enter does: store what was changed, then go on."""
        if self.is_changed:
            self._commit(None)
        self._go_on_if_done()

    def _go_on_if_done(self) -> None:
        if not self.is_changed and not self.is_refused:
            self.went_on.emit(self)

    def flush(self) -> bool:
        """Store what was typed, as if the field were left; return whether nothing is left unsaved."""
        reason = None if self._reason_line is None else self._reason_line.text().strip()
        is_worth_trying = reason != "" and self.text() != self._refused_text
        if self.is_changed and is_worth_trying:
            self.is_being_left = True
            self._commit(reason)
            self.is_being_left = False
        return not self.is_changed

    def _commit(self, reason: str | None) -> None:
        self.reason = reason
        self.committed.emit(self)

    def _commit_choice(self) -> None:
        if self.is_changed:
            self._commit(None)

    def accept(self) -> None:
        """Take note that what stands here is stored."""
        self._saved = self.text().strip()
        self._refusal, self._refused_text = "", None
        self._end_reason()
        self._show()

    def refuse(self, message: str, remedy: str = "") -> None:
        """Say why it cannot be stored and what to do; what was typed stays."""
        self._refusal = f"{message} {remedy}".strip()
        self._refused_text = self.text()
        self._show()

    def restore(self) -> None:
        """Give the change up and show what is stored."""
        self._refusal, self._refused_text = "", None
        self._end_reason()
        self.editor.set_text(self._saved)
        self._show()

    # -- the reason of a correction --------------------------------------------------------------------------------

    def ask_reason(self, *, may_be_empty: bool) -> None:
        """Ask below the field why a reading that stands is changed; Enter there stores it."""
        self._refusal, self._refused_text = "", None
        if self._reason_line is None:
            self._reason_line = ReasonLine(self.name)
            self._reason_line.given.connect(self._on_reason)
            self._reason_line.given_up.connect(self._on_reason_given_up)
            self._reason_line.editor.armed.connect(self._on_armed)
            self._reason_line.editor.left.connect(self._on_left)
            self._column.addWidget(self._reason_line)
            QWidget.setTabOrder(self.editor.focusables()[-1], self._reason_line.editor)
        self._reason_line.ask(may_be_empty=may_be_empty)
        self._show()
        if not self.is_being_left:
            self._reason_line.setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_reason(self) -> None:
        self._commit(self._reason_line.text() if self._reason_line is not None else None)
        self._go_on_if_done()

    def _on_reason_given_up(self) -> None:
        self.restore()
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _end_reason(self) -> None:
        line, self._reason_line = self._reason_line, None
        if line is None:
            return
        if line.editor.hasFocus():
            self.setFocus(Qt.FocusReason.OtherFocusReason)
        line.hide()
        line.deleteLater()

    # -- focus ----------------------------------------------------------------------------------------------------

    def focusables(self) -> list[QWidget]:
        """Return what takes the focus here, in the order it is seen."""
        reason: list[QWidget] = [self._reason_line.editor] if self._reason_line is not None else []
        return [*self.editor.focusables(), *reason]

    def _has_focus(self) -> bool:
        now = QApplication.focusWidget()
        return now is not None and (now is self or self.isAncestorOf(now))

    def _on_armed(self) -> None:
        when_mouse_rests(self, self._settle)
        self.was_armed.emit(self)

    def _on_left(self, why: Qt.FocusReason) -> None:
        if why in _NOT_LEAVING or self._has_focus():
            return
        now = QApplication.focusWidget()
        # Choosing the gauge for a reading that is half typed must not store it with the gauge used before.
        if now is None or not now.property("keeps_draft"):
            self.flush()
        when_mouse_rests(self, self._settle)

    def _settle(self) -> None:
        """Take the look of an armed or a calm field, once nothing is pressed that could move away."""
        if self._is_armed != self._has_focus():
            self._is_armed = not self._is_armed
            self._measure()
        self._show()

    def _on_edited(self) -> None:
        if self.text() != self._refused_text:
            self._refusal = ""
        if not self.is_changed:
            self._end_reason()
        self._show()

    # -- showing --------------------------------------------------------------------------------------------------

    def _show(self) -> None:
        when_mouse_rests(self, self._show_now)

    def _show_now(self) -> None:
        state = self._state
        limit = limit_words(state.limit, self.entry.kind, self.entry.unit) if state is not None else ""
        say(self.limit, limit if self._shows_limit or self._is_armed else "")
        say(self.echo, self._echo())
        self.unit.setText(self._unit_label())
        self._show_below(tr(self.entry.help) if self._is_armed else "", self._sentence())
        self._show_verdict()
        said = [tr(self.entry.help), limit, self.word.text(), self._sentence()]
        self.editor.set_description(" ".join(part for part in said if part))
        self._restyle()

    def _show_below(self, help_text: str, refusal: str) -> None:
        """Show help and refusal; a page has dozens of fields, so their labels are made when first wanted."""
        if self._help is None and (help_text or refusal):
            self._help, self._refusal_label = words("", "quiet"), words("", "refusal")
            self._column.insertWidget(1, self._help)
            self._column.insertWidget(2, self._refusal_label)
        if self._help is not None and self._refusal_label is not None:
            say(self._help, help_text)
            say(self._refusal_label, refusal)

    @property
    def refusal(self) -> str:
        """The sentence that says why what stands here is not stored, or ""."""
        return self._sentence()

    def _echo(self) -> str:
        if not isinstance(self.editor, LineEditor):
            return ""
        text = self.text()
        if not self._is_armed and is_in_own_unit(self.entry, text):
            return ""
        comes_to = echo_words(self.entry, text)
        return tr("= {value}", value=comes_to) if comes_to else ""

    def _sentence(self) -> str:
        if self._refusal:
            return self._refusal
        if self._reason_line is not None and not self._has_focus():
            return tr("Not saved yet: say why it changes, and press Enter.")
        return ""

    def _show_verdict(self) -> None:
        """Show the verdict of what is stored; one that is merely missing only where it is wanted."""
        verdict = None if self._state is None or self.is_changed else self._state.verdict
        if verdict is not None and verdict.answer is Answer.MISSING and not self.is_wanted:
            verdict = None
        self.mark.setVisible(verdict is not None and not isinstance(self.editor, TextEditor))
        if verdict is None:
            self.word.setText("")
            return
        self.mark.show_answer(verdict.answer)
        self.word.setText(answer_word(verdict.answer))
        self.word.setToolTip(verdict.reason)
        theme.set_mark(self.word, "tone", verdict.answer.value)

    def _restyle(self) -> None:
        marks = {
            "is_armed": self._is_armed,
            "is_refused": bool(self._sentence()),
            "is_saved": bool(self._saved) and not self.is_changed,
        }
        if any(self.property(name) != value for name, value in marks.items()):
            for name, value in marks.items():
                self.setProperty(name, value)
            for widget in (self, self.editor):
                theme.restyle(widget)
