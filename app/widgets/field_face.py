"""The look of one field: label, editor, unit, what it comes to, limit, verdict, help and refusal, in columns."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QAccessible, QAccessibleEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QVBoxLayout, QWidget

from app import theme
from app.board.editor import OutlineEditor
from app.widgets.editors import ChoiceEditor, LineEditor, TextEditor
from app.widgets.marks import VerdictMark, show_verdict
from app.widgets.sentences import say, words
from app.widgets.wording import unit_words
from core.quantities import KINDS
from core.stages.entry import Entry
from core.verdict import Verdict

EDGE = 3
NUMBER_WIDTH = 152
ARMED_WIDTH = 216
UNIT_WIDTH = 48
WORD_WIDTH = 136
SHORT_LABEL = 20
NUMBER_INSET = 12
"""How far the digits of an editor stand from its right edge; what stands below lines up with them."""

Editor = LineEditor | TextEditor | ChoiceEditor | OutlineEditor


def make_editor(entry: Entry) -> Editor:
    """Return the editor that suits an entry's kind."""
    if entry.choices:
        return ChoiceEditor(entry.choices)
    if entry.kind == "outline":
        return OutlineEditor()
    return LineEditor() if KINDS[entry.kind].is_number else TextEditor()


def keep_room(widget: QWidget) -> None:
    """Let a widget keep its place in the columns while it is hidden."""
    policy = widget.sizePolicy()
    policy.setRetainSizeWhenHidden(True)
    widget.setSizePolicy(policy)


class FieldFace(QFrame):
    """The parts of a field and where they stand; it decides nothing."""

    def __init__(self, entry: Entry, label: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("entry_field")
        self.entry = entry
        self.is_armed = False
        self.editor = make_editor(entry)
        self.label, self.limit = words(label, "body"), words("", "quiet")
        self.unit, self.echo = words("", "quiet"), words("", "quiet", wraps=False)
        self.mark, self.word = VerdictMark(step=17), words("", "body")
        # A page has dozens of fields: what only the armed or refused one shows is made when first wanted.
        self._help: QLabel | None = None
        self._refusal: QLabel | None = None
        self._line = QGridLayout()
        self._line.setContentsMargins(0, 0, 0, 0)
        self._line.setHorizontalSpacing(theme.GRID)
        self._line.setVerticalSpacing(2)
        self._line.addWidget(self.label, 0, 0, Qt.AlignmentFlag.AlignVCenter)
        self._line.addWidget(self.limit, 1, 0, Qt.AlignmentFlag.AlignTop)
        self._place_editor()
        self.below = QVBoxLayout(self)
        self.below.setSpacing(4)
        self.below.addLayout(self._line)
        self.setFocusProxy(self.editor)
        self._measure()

    def _place_editor(self) -> None:
        """Give numbers a column they line up in, and words the room they need."""
        line, centred = self._line, Qt.AlignmentFlag.AlignVCenter
        line.setColumnStretch(0, 2)
        if isinstance(self.editor, TextEditor):
            line.addWidget(self.editor, 0, 1, 1, 4, centred)
            line.setColumnStretch(1, 5)
        elif isinstance(self.editor, ChoiceEditor):
            line.addWidget(self.editor, 0, 1, 1, 2, centred)
            # A short label leaves its room to the answers.
            line.setColumnStretch(0, 1 if len(self.label.text()) <= SHORT_LABEL else 2)
            line.setColumnStretch(1, 0 if self._is_short else 3)
        elif isinstance(self.editor, OutlineEditor):
            # A tooth wants all the width there is.
            line.addWidget(self.editor, 2, 0, 1, 5)
        else:
            theme.give_role(self.editor, "number")
            self.echo.setAlignment(Qt.AlignmentFlag.AlignRight)
            self.echo.setContentsMargins(0, 0, NUMBER_INSET, 0)
            line.addWidget(self.editor, 0, 1)
            line.addWidget(self.unit, 0, 2)
            line.addWidget(self.echo, 1, 1)
        if not isinstance(self.editor, TextEditor | OutlineEditor):
            keep_room(self.mark)
            line.addWidget(self.mark, 0, 3, centred)
            line.addWidget(self.word, 0, 4, centred)
        for part in (self.unit, self.echo, self.mark, self.word):
            if line.indexOf(part) < 0:
                part.setParent(self)
                part.hide()

    @property
    def _is_short(self) -> bool:
        """Whether the answers fit the column of the numbers."""
        return self.entry.kind == "yes_no"

    def _measure(self) -> None:
        """Set the widths that make the numbers of a page line up, at the text size in force."""
        px = theme.current().px
        air = theme.GRID if self.is_armed else 2
        # The edge stands within the frame, which the layout counts for itself.
        self.below.setContentsMargins(theme.GRID, air, theme.GRID, air)
        if isinstance(self.editor, LineEditor):
            self.editor.setFixedWidth(px(ARMED_WIDTH if self.is_armed else NUMBER_WIDTH))
            self.unit.setFixedWidth(px(UNIT_WIDTH))
        elif self._is_short:
            self.editor.setFixedWidth(px(NUMBER_WIDTH + UNIT_WIDTH) + theme.GRID)
        self.mark.setFixedSize(self.mark.sizeHint())
        self.word.setFixedWidth(px(WORD_WIDTH))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange and hasattr(self, "below"):
            self._measure()

    def set_armed(self, is_armed: bool) -> None:
        """Give the field the size of an armed or a calm one."""
        if self.is_armed != is_armed:
            self.is_armed = is_armed
            self._measure()

    def show_value(self, echo: str, limit: str) -> None:
        """Show what stands in the field comes to, the unit beside it, and the limit under the label."""
        say(self.limit, limit)
        if isinstance(self.editor, LineEditor):
            say(self.echo, echo)
            self.unit.setText(unit_words(self.entry, self.editor.text()))

    def show_verdict(self, verdict: Verdict | None) -> None:
        """Show a verdict as word, shape and colour; None shows none."""
        if isinstance(self.editor, TextEditor | OutlineEditor):
            return
        show_verdict(self.mark, self.word, verdict)

    def show_below(self, help_text: str, refusal: str) -> None:
        """Show help and refusal under the field; a new refusal is spoken where a screen reader listens."""
        if self._help is None and (help_text or refusal):
            self._help, self._refusal = words("", "quiet"), words("", "refusal")
            self.below.insertWidget(1, self._help)
            self.below.insertWidget(2, self._refusal)
        if self._help is None or self._refusal is None:
            return
        is_news = bool(refusal) and refusal != self._refusal.text()
        say(self._help, help_text)
        say(self._refusal, refusal)
        if is_news and QAccessible.isActive():
            QAccessible.updateAccessibility(QAccessibleEvent(self._refusal, QAccessible.Event.Alert))

    def mark_as(self, *, is_refused: bool, is_saved: bool) -> None:
        """Give the field the edge and the ground that go with its state."""
        marks = {"is_armed": self.is_armed, "is_refused": is_refused, "is_saved": is_saved}
        if any(self.property(name) != value for name, value in marks.items()):
            for name, value in marks.items():
                self.setProperty(name, value)
            for widget in (self, self.editor):
                theme.restyle(widget)
