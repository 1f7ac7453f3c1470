"""Two panes that stand beside each other on a wide page and one under the other on a narrow one or at large text."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QVBoxLayout, QWidget

from app.theme import GRID


class Panes(QWidget):
    """Two widgets, side by side where `least` digits of text fit across the page.

    `wide` and `narrow` are the shares of the two widgets side by side and one under the other.
    """

    def __init__(
        self,
        first: QWidget,
        second: QWidget,
        least: int,
        wide: tuple[int, int] = (3, 2),
        narrow: tuple[int, int] = (1, 1),
    ) -> None:
        super().__init__()
        self.panes = (first, second)
        self._least = least
        self._wide = wide
        self._narrow = narrow
        self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(4 * GRID)
        for pane in self.panes:
            self._row.addWidget(pane)
        self._arrange(is_wide=True)

    @property
    def is_wide(self) -> bool:
        """Whether the panes stand side by side."""
        return self._row.direction() == QBoxLayout.Direction.LeftToRight

    def _arrange(self, *, is_wide: bool) -> None:
        direction = QBoxLayout.Direction.LeftToRight if is_wide else QBoxLayout.Direction.TopToBottom
        self._row.setDirection(direction)
        for at, share in enumerate(self._wide if is_wide else self._narrow):
            self._row.setStretch(at, share)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Turn the panes when the page became too narrow or wide enough for them."""
        super().resizeEvent(event)
        self._turn()

    def changeEvent(self, event: QEvent) -> None:
        """Turn them too when the text became larger or smaller."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._turn()

    def _turn(self) -> None:
        is_wide = self.width() >= self._least * self.fontMetrics().horizontalAdvance("0")
        if is_wide != self.is_wide:
            self._arrange(is_wide=is_wide)

    def hasHeightForWidth(self) -> bool:
        """Say no: sentences that come and go in a pane must not make the window grow."""
        return False

    def minimumSizeHint(self) -> QSize:
        """Ask for no width: side by side would otherwise keep the page from ever becoming narrow."""
        return QSize(0, super().minimumSizeHint().height())

    def fill(self, page: QWidget, above: int = 0) -> None:
        """Take all of a page, but for so many pixels above."""
        column = QVBoxLayout(page)
        column.setContentsMargins(0, above, 0, 0)
        column.addWidget(self)


def list_pane(heading: QWidget, rows: QWidget) -> QWidget:
    """Return a list that takes all the room there is, with a heading or a sentence above it."""
    pane = QWidget()
    column = QVBoxLayout(pane)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(GRID)
    column.addWidget(heading)
    column.addWidget(rows, 1)
    return pane


def form_pane(widgets: Iterable[QWidget], *pushes: QWidget) -> QWidget:
    """Return what is written into, one under the other as wide as the pane, then its pushes as wide as their words."""
    pane = QWidget()
    column = QVBoxLayout(pane)
    column.setContentsMargins(0, 0, GRID, GRID)
    column.setSpacing(2 * GRID)
    for widget in widgets:
        column.addWidget(widget)
    for push in pushes:
        column.addWidget(push, 0, Qt.AlignmentFlag.AlignLeft)
    column.addStretch(1)
    return pane
