"""Two fields side by side, or one below the other where the page is narrow or the text large."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QVBoxLayout, QWidget

from app import theme
from app.bench.lines import LEFT_MARGIN
from app.board.editor import OutlineEditor
from app.widgets.entry_field import EntryField
from app.widgets.sentences import say, words

LEAST_WIDTH = 280
"""Width at 100 % text size that one of the two needs beside the other."""


class FieldPair(QWidget):
    """Holds the prints on both flanks; `fields` are in the order they are seen."""

    def __init__(self, fields: Sequence[EntryField], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.fields = list(fields)
        self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._row.setSpacing(theme.GRID)
        for field in self.fields:
            self._row.addWidget(field, 1, Qt.AlignmentFlag.AlignTop)
        self.note = words("", "quiet")
        self.note.setContentsMargins(LEFT_MARGIN, 0, 0, 0)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, theme.GRID, 0, theme.GRID)
        column.setSpacing(2)
        column.addLayout(self._row)
        # Below both, where there is room: only the armed one shows its tools.
        tools = QVBoxLayout()
        tools.setContentsMargins(LEFT_MARGIN, 0, theme.GRID, 0)
        for field in self.fields:
            if isinstance(field.editor, OutlineEditor):
                field.editor.tools_home = tools
        column.addLayout(tools)
        column.addWidget(self.note)
        say(self.note, "")

    def put_in_order(self, fields: Sequence[EntryField]) -> bool:
        """Put the fields in another order; return whether it was another."""
        if list(fields) == self.fields:
            return False
        self.fields = list(fields)
        for field in self.fields:
            self._row.removeWidget(field)
            self._row.addWidget(field, 1, Qt.AlignmentFlag.AlignTop)
        return True

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        is_wide = self.width() >= len(self.fields) * theme.current().px(LEAST_WIDTH)
        directions = QBoxLayout.Direction
        self._row.setDirection(directions.LeftToRight if is_wide else directions.TopToBottom)
