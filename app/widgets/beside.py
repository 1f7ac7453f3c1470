"""Under a field: the reading somebody else entered meanwhile, and the readings that stood here before, struck through.

A struck reading also says in words that it was replaced, by whom, when and why: the line through it is not enough.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from app import theme
from app.widgets.field_face import NUMBER_INSET
from app.widgets.sentences import say, words
from core.history import Replaced
from core.history_words import after_words, entry_of, typed_words
from core.language import tr

MOST = 3
"""So many replaced readings are shown; of earlier ones only how many there are."""


class Beside(QWidget):
    """What stands or stood at the place of a field, beside what is in it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.standing, self.earlier = words("", "strong"), words("", "quiet")
        self._lines: list[tuple[QLabel, QLabel]] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(theme.GRID)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(1, 1)
        self._grid.addWidget(self.standing, 0, 0, 1, 2)
        self._grid.addWidget(self.earlier, MOST + 1, 0, 1, 2)

    def show_standing(self, sentence: str) -> None:
        """Say what the logbook has here while something else is typed; "" where that is the same."""
        say(self.standing, sentence)
        self._show_if_needed()

    def show_replaced(self, replaced: Sequence[Replaced]) -> None:
        """Show the readings that stood here before, the newest first."""
        newest = list(replaced)[::-1]
        while len(self._lines) < min(len(newest), MOST):
            self._add_line()
        for at, (old, after) in enumerate(self._lines):
            is_there = at < len(newest)
            say(old, typed_words(entry_of(newest[at].before), newest[at].before) if is_there else "")
            say(after, after_words(newest[at]) if is_there else "")
        count = len(newest) - MOST
        say(self.earlier, tr("and {count} replaced before that", count=count) if count > 0 else "")
        self._show_if_needed()

    def in_words(self) -> str:
        """Return all of it as one text, for who listens instead of looking."""
        lines = [f"{old.text()} {after.text()}" for old, after in self._lines if old.text()]
        return " ".join(part for part in (self.standing.text(), *lines, self.earlier.text()) if part)

    def _add_line(self) -> None:
        old, after = words("", "quiet", wraps=False), words("", "quiet")
        struck = old.font()
        struck.setStrikeOut(True)
        old.setFont(struck)
        old.setContentsMargins(NUMBER_INSET, 0, 0, 0)
        self._lines.append((old, after))
        row = len(self._lines)
        self._grid.addWidget(old, row, 0, Qt.AlignmentFlag.AlignTop)
        self._grid.addWidget(after, row, 1, Qt.AlignmentFlag.AlignTop)

    def _show_if_needed(self) -> None:
        self.setVisible(bool(self.in_words()))
