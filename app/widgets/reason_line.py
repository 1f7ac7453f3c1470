"""The line below a field that asks why something written is changed; no dialog, so the keyboard flow goes on."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QWidget

from app import theme
from app.widgets.editors import LineEditor
from app.widgets.sentences import words
from core.language import tr


class ReasonLine(QWidget):
    """A question and one line; Enter gives the answer, Escape gives up."""

    given = Signal()
    given_up = Signal()

    def __init__(self, what: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.question = words("", "quiet")
        self.editor = LineEditor()
        self.editor.setAlignment(Qt.AlignmentFlag.AlignLeft)
        self.editor.set_name(tr("Reason for changing {what}", what=what))
        self.editor.entered.connect(self.given)
        self.editor.escaped.connect(self.given_up)
        self.setFocusProxy(self.editor)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.GRID)
        row.addWidget(self.question, 2)
        row.addWidget(self.editor, 3)

    def ask(self, *, may_be_empty: bool) -> None:
        """Put the question; a slip noticed at once needs no words."""
        if may_be_empty:
            self.question.setText(tr("Why does it change? Enter saves it."))
        else:
            self.question.setText(tr("Why does it change? A few words, then Enter saves it."))

    def text(self) -> str:
        """Return the reason as typed."""
        return self.editor.text()
