"""The two columns of the bench: fields on the left, figure and advice on the right, or one below the other."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget
from shiboken6 import isValid

from app import theme
from app.bench.lines import LEFT_MARGIN
from app.bench.stage_page import StagePage
from app.widgets.settle import when_mouse_rests

LEFT_SHARE, RIGHT_SHARE = 5, 3
MARGIN_SEEN = 96
"""How much of what comes next is kept in sight above and below the armed field."""


class _Paper(QWidget):
    """What is scrolled; tells when it has grown or shrunk."""

    resized = Signal()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.resized.emit()


class Body(QWidget):
    """Holds the parts of one stage at a time and scrolls to where the focus goes."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.left, self.right = _Paper(), _Paper()
        self._page: StagePage | None = None
        self._wanted: QWidget | None = None
        self._focused: QWidget | None = None
        self._layouts = {self.left: QVBoxLayout(self.left), self.right: QVBoxLayout(self.right)}
        self._left_area, self._right_area = self._scroll(self.left), self._scroll(self.right)
        self.left.resized.connect(self._keep_in_sight)
        self._left_area.verticalScrollBar().actionTriggered.connect(self._let_go)
        QApplication.instance().focusChanged.connect(self._follow_focus)  # type: ignore[union-attr]
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self._left_area, LEFT_SHARE)
        row.addWidget(self._right_area, RIGHT_SHARE)

    def _scroll(self, paper: _Paper) -> QScrollArea:
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
        self._page = page
        for part in page.parts:
            paper = self.right if part is page.aside and is_wide else self.left
            # Taken out by the layout itself: an item that outlives its place would keep a stale height.
            for layout in self._layouts.values():
                layout.removeWidget(part)
            self._layouts[paper].insertWidget(self._layouts[paper].count() - 1, part)
            part.show()
        self._right_area.setVisible(is_wide)

    def leave(self) -> None:
        """Forget the stage that was shown."""
        self._page = None

    def _follow_focus(self, old: QWidget | None, new: QWidget | None) -> None:
        if new is not None and self.isAncestorOf(new):
            QTimer.singleShot(0, self, self._scroll_when_mouse_rests)

    def _scroll_when_mouse_rests(self) -> None:
        """Scroll once nothing is pressed: what a hand draws on must not move away under it."""
        when_mouse_rests(self, self._scroll_to_focus)

    def _scroll_to_focus(self) -> None:
        now = QApplication.focusWidget()
        if now is not None and self.isAncestorOf(now):
            row = None if self._page is None else self._page.column.row_of(now)
            self._scroll_to(row or now, now)

    def _scroll_to(self, widget: QWidget, focused: QWidget) -> None:
        """Bring a widget into sight with something of what stands around it."""
        if self.left.isAncestorOf(widget):
            self._wanted, self._focused = widget, focused
            self._keep_in_sight()
        elif self.right.isAncestorOf(widget):
            self._right_area.ensureWidgetVisible(widget, 0, MARGIN_SEEN)

    def _keep_in_sight(self) -> None:
        """Scroll to the armed row, and again when rows that grow or shrink have moved it."""
        if self._wanted is None or not isValid(self._wanted) or not self.left.isAncestorOf(self._wanted):
            return
        room = self._left_area.viewport().height()
        for margin in (MARGIN_SEEN, 0):
            if self._wanted.height() + 2 * margin <= room:
                self._left_area.ensureWidgetVisible(self._wanted, 0, margin)
                return
        # Of a row higher than the page, what has the focus.
        if self._focused is not None and isValid(self._focused):
            self._left_area.ensureWidgetVisible(self._focused, 0, 0)

    def _let_go(self) -> None:
        """Stop following: somebody scrolls by hand."""
        self._wanted = None
