"""Words on a page: plain labels, the next thing to do, and the cautions of a stage."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app import theme
from core.language import tr


def words(text: str = "", role: str = "body", *, wraps: bool = True) -> QLabel:
    """Return a label for plain text; what people typed is never read as markup."""
    label = QLabel(text)
    _set_plain(label, role, wraps=wraps)
    return label


def _set_plain(label: QLabel, role: str, *, wraps: bool = True) -> None:
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setProperty("role", role)
    label.setWordWrap(wraps)
    label.setFocusPolicy(Qt.FocusPolicy.NoFocus)


def say(label: QLabel, text: str) -> None:
    """Show a text, or take the label away where there is none; nothing is done where nothing changed."""
    if label.text() != text:
        label.setText(text)
    label.setVisible(bool(text))


class Reply(QLabel):
    """What came of a push, said below it; it takes no room until there is something to say."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        _set_plain(self, "quiet")
        self.hide()

    def tell(self, sentence: str, role: str = "quiet") -> None:
        """Say what was done."""
        theme.give_role(self, role)
        say(self, sentence)

    def refuse(self, error: object) -> None:
        """Say why it was not done, and what to do."""
        self.tell(str(error), "refusal")

    def forget(self) -> None:
        """Say nothing any more."""
        self.tell("")


class NextThing(QLabel):
    """The one sentence that says what to do now, why the stage is done, or what is missing."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setProperty("role", "sentence")
        self.setWordWrap(True)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.MinimumExpanding)

    def show_sentence(self, sentence: str) -> None:
        """Show what to do now."""
        self.setText(sentence)
        self.setAccessibleName(tr("Next: {sentence}", sentence=sentence))


class CautionBox(QWidget):
    """The cautions of a stage: open until somebody closes them; the first, who to defer to, always stays."""

    def __init__(self, cautions: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.toggle = QPushButton()
        self.toggle.setCheckable(True)
        self.toggle.setChecked(True)
        self.toggle.setAutoDefault(False)
        self.toggle.setProperty("role", "plain")
        self.toggle.toggled.connect(self._open)
        self._lines = [words(tr(caution), "quiet") for caution in cautions]
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.GRID)
        column.addWidget(self.toggle, 0, Qt.AlignmentFlag.AlignLeft)
        for line in self._lines:
            column.addWidget(line)
        self._open(True)

    def _open(self, is_open: bool) -> None:
        for line in self._lines[1:]:
            line.setVisible(is_open)
        count = len(self._lines)
        self.toggle.setText(tr("Cautions: hide") if is_open else tr("Cautions: show all {count}", count=count))
