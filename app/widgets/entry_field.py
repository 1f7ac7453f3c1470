"""One place of one entry: armed, refused, saved or calm; and how what is typed there is meant."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QApplication, QWidget

from app.widgets.abstract import AbstractWidget
from app.widgets.beside import Beside
from app.widgets.editors import ChoiceEditor, LineEditor
from app.widgets.field_face import FieldFace
from app.widgets.reason_line import ReasonLine
from app.widgets.settle import when_mouse_rests
from app.widgets.wording import echo_words, field_name, is_in_own_unit, limit_words, marked_words
from core.history import Replaced
from core.history_words import standing_words
from core.language import tr
from core.stages.entry import Entry, Position
from core.stages.state import FieldState
from core.verdict import Answer, Verdict

Key = tuple[str, str, int]

# Leaving for another window, a menu or a drop-down is not leaving the field.
_NOT_LEAVING = (
    Qt.FocusReason.ActiveWindowFocusReason,
    Qt.FocusReason.PopupFocusReason,
    Qt.FocusReason.MenuBarFocusReason,
)


class Helper(QWidget, metaclass=AbstractWidget):
    """Something below a field that helps to fill it; with the focus in it, its field is armed."""

    armed = Signal()
    left = Signal(object)

    @abstractmethod
    def focusables(self) -> list[QWidget]:
        """Return what takes the focus here, in order."""

    def watch(self, widget: QWidget) -> None:
        """Tell when something in here gets the focus, and when it loses it."""
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QFocusEvent) and event.type() == QEvent.Type.FocusIn:
            self.armed.emit()
        elif isinstance(event, QFocusEvent) and event.type() == QEvent.Type.FocusOut:
            self.left.emit(event.reason())
        return super().eventFilter(watched, event)


class EntryField(FieldFace):
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
        super().__init__(entry, label or tr(position.label) or tr(entry.label), parent)
        self.position, self.trial = position, trial
        self.name = field_name(entry, position, trial)
        self.reason: str | None = None
        self.is_being_left = False
        self.is_wanted = False
        self._state: FieldState | None = None
        self._saved = ""
        self._follows: str | None = None
        self._refused_text: str | None = None
        self._why_not = ""
        self._reason_line: ReasonLine | None = None
        self._beside: Beside | None = None
        self._helper: Helper | None = None
        self.editor.set_name(self.name)
        self.editor.edited.connect(self._on_edited)
        self.editor.entered.connect(self.enter)
        self.editor.escaped.connect(self.restore)
        self.editor.armed.connect(self._on_armed)
        self.editor.left.connect(self._on_left)
        if isinstance(self.editor, ChoiceEditor):
            self.editor.clicked.connect(self._commit_choice)
        self._show()

    @property
    def key(self) -> Key:
        """Where the reading belongs within its stage."""
        return self.entry.key, self.position.key, self.trial

    # -- what it holds ---------------------------------------------------------------------------------------------

    def text(self) -> str:
        """Return what stands in the field, as typed or as the key of the chosen answer."""
        return self.editor.text()

    @property
    def is_changed(self) -> bool:
        """Whether something stands here that is not stored."""
        return self.text().strip() not in (self._saved.strip(), self._follows)

    @property
    def is_refused(self) -> bool:
        """Whether what stands here was refused, or waits for the reason of its change."""
        return bool(self._why_not) or self._reason_line is not None

    @property
    def is_correction(self) -> bool:
        """Whether something else stands in the logbook at this place."""
        return bool(self._saved)

    @property
    def state(self) -> FieldState | None:
        """What was last shown here."""
        return self._state

    @property
    def seen(self) -> int:
        """The reading that stood here when it was last shown, 0 for none."""
        reading = None if self._state is None else self._state.reading
        return 0 if reading is None else reading.id

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
        had_draft, before = self.is_changed, self.seen
        self._state, self.is_wanted = state, is_wanted
        self.show_text(state.reading.text if state.reading is not None else "", is_read_only=is_read_only)
        if had_draft and before != self.seen:
            self._meet()
            self._show()

    def show_replaced(self, replaced: Sequence[Replaced]) -> None:
        """Show the readings that stood here before, oldest first."""
        if replaced or self._beside is not None:
            self._beside_made().show_replaced(replaced)
            self._show()

    def _beside_made(self) -> Beside:
        # Few fields ever need it, and a page has dozens.
        if self._beside is None:
            self._beside = Beside(self)
            # What is known stands above the question about it.
            at = -1 if self._reason_line is None else self.below.indexOf(self._reason_line)
            self.below.insertWidget(at, self._beside)
        return self._beside

    def show_text(self, text: str, *, is_read_only: bool = False) -> None:
        """Show what is stored here; a draft that is being typed stays."""
        had_draft, is_news = self.is_changed, self._saved != text
        self._saved = text
        if not had_draft and self._follows is None and self.text() != text:
            self.editor.set_text(text)
        self.editor.set_read_only(is_read_only)
        if had_draft and is_news:
            self._meet()
        self._show()

    def follow(self, text: str | None) -> None:
        """Show what will stand here once another field is stored; None shows what is stored. A draft stays."""
        if text == self._follows or self.is_changed:
            return
        self._follows = text
        self.editor.set_text(self._saved if text is None else text)
        self._show()

    def _meet(self) -> None:
        """Show what somebody else entered while something else was typed here; both stay."""
        if not self.is_changed:
            # It is the very same; nothing is left to store.
            self.accept()
            return
        reading = None if self._state is None else self._state.reading
        self._beside_made().show_standing(standing_words(self.entry, self._saved, reading))

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
        self._why_not, self._refused_text = "", None
        self._end_reason()
        self._forget_meeting()
        self._show()

    def refuse(self, message: str, remedy: str = "") -> None:
        """Say why it cannot be stored and what to do; what was typed stays."""
        self._why_not = f"{message} {remedy}".strip()
        self._refused_text = self.text()
        self._show()

    def restore(self) -> None:
        """Give the change up and show what is stored."""
        self._why_not, self._refused_text = "", None
        self._end_reason()
        self._forget_meeting()
        self.editor.set_text(self._saved)
        self._show()

    def _forget_meeting(self) -> None:
        if self._beside is not None:
            self._beside.show_standing("")

    # -- the reason of a correction --------------------------------------------------------------------------------

    def ask_reason(self, *, may_be_empty: bool) -> None:
        """Ask below the field why a reading that stands is changed; Enter there stores it."""
        self._why_not, self._refused_text = "", None
        if self._reason_line is None:
            self._reason_line = ReasonLine(self.name)
            self._reason_line.given.connect(self._on_reason)
            self._reason_line.given_up.connect(self._on_reason_given_up)
            self._reason_line.editor.armed.connect(self._on_armed)
            self._reason_line.editor.left.connect(self._on_left)
            self.below.addWidget(self._reason_line)
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
        return [*self.editor.focusables(), *reason, *(self._helper.focusables() if self._helper is not None else ())]

    def put_helper(self, helper: Helper) -> None:
        """Put something below the field that helps to fill it; the focus goes to it after the field."""
        self._helper = helper
        helper.armed.connect(self._on_armed)
        helper.left.connect(self._on_left)
        self.below.addWidget(helper)

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
        self.set_armed(self._has_focus())
        self._show()

    def _on_edited(self) -> None:
        if self.text() != self._refused_text:
            self._why_not = ""
        if not self.is_changed:
            self._end_reason()
            self._forget_meeting()
        self._show()

    # -- showing --------------------------------------------------------------------------------------------------

    def _show(self) -> None:
        when_mouse_rests(self, self._show_now)

    def _show_now(self) -> None:
        limit, help_text, refusal = self._limit(), tr(self.entry.help), self.refusal
        marked = marked_words(self._state)
        shown_limit = limit if self.is_armed or not self.position.label else ""
        self.show_value(self._echo(), "; ".join(filter(None, (shown_limit, marked))))
        self.show_verdict(self._verdict())
        self.show_below(help_text if self.is_armed else "", refusal)
        beside = "" if self._beside is None else self._beside.in_words()
        parts = help_text, limit, marked, self.word.text(), refusal, beside
        self.editor.set_description(" ".join(part for part in parts if part))
        self.mark_as(is_refused=bool(refusal), is_saved=bool(self._saved) and not self.is_changed)

    @property
    def refusal(self) -> str:
        """The sentence that says why what stands here is not stored, or ""."""
        if self._why_not:
            return self._why_not
        if self._reason_line is not None and not self._has_focus():
            return tr("Not saved yet: say why it changes, and press Enter.")
        return ""

    def _limit(self) -> str:
        if self._state is None:
            return ""
        return limit_words(self._state.limit, self.entry.kind, self.entry.unit)

    def _echo(self) -> str:
        """Say what a number comes to: always while it is armed, else only where it names another unit."""
        text = self.text()
        if not isinstance(self.editor, LineEditor) or (not self.is_armed and is_in_own_unit(self.entry, text)):
            return ""
        comes_to = echo_words(self.entry, text)
        return tr("= {value}", value=comes_to) if comes_to not in ("", text.strip()) else ""

    def _verdict(self) -> Verdict | None:
        """Return the verdict of what is stored; one that is merely missing only where it is wanted."""
        verdict = None if self._state is None or self.is_changed else self._state.verdict
        if verdict is not None and verdict.answer is Answer.MISSING and not self.is_wanted:
            return None
        return verdict
