"""The two columns of the bench: fields on the left, figure and advice on the right, or one below the other."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from app import theme
from app.bench.lines import LEFT_MARGIN
from app.bench.stage_page import StagePage

LEFT_SHARE, RIGHT_SHARE = 5, 3
MARGIN_SEEN = 96
"""How much of what comes next is kept in sight above and below the armed field."""


class Body(QWidget):
    """Holds the parts of one stage at a time and scrolls to where the focus goes."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.left, self.right = QWidget(), QWidget()
        self._layouts = {self.left: QVBoxLayout(self.left), self.right: QVBoxLayout(self.right)}
        self._left_area, self._right_area = self._scroll(self.left), self._scroll(self.right)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self._left_area, LEFT_SHARE)
        row.addWidget(self._right_area, RIGHT_SHARE)

    def _scroll(self, paper: QWidget) -> QScrollArea:
        area, layout = QScrollArea(), self._layouts[paper]
        layout.setContentsMargins(2 * theme.GRID - LEFT_MARGIN, 0, theme.GRID, 0)
        layout.setSpacing(0)
        layout.addStretch(1)
        area.setWidgetResizable(True)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(paper)
        return area

    def place(self, page: StagePage, *, is_wide: bool) -> None:
        """Put a stage's parts into two columns, or into one where there is no room for two."""
        for part in page.parts:
            paper = self.right if part is page.aside and is_wide else self.left
            # Taken out by the layout itself: an item that outlives its place would keep a stale height.
            for layout in self._layouts.values():
                layout.removeWidget(part)
            self._layouts[paper].insertWidget(self._layouts[paper].count() - 1, part)
            part.show()
        self._right_area.setVisible(is_wide)

    def scroll_to(self, widget: QWidget) -> None:
        """Bring a widget into sight with something of what stands around it."""
        if self.left.isAncestorOf(widget):
            # The armed row has just grown; where it stands is known only after the page is laid out anew.
            self._layouts[self.left].activate()
            self._left_area.ensureWidgetVisible(widget, 0, MARGIN_SEEN)
