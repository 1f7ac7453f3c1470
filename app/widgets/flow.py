"""A row that breaks into further rows where the page is narrow or the text is large."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget

from app import theme


class FlowLayout(QLayout):
    """Lays its items out like words on a page."""

    # On the class too: Qt asks for items while it takes a layout down, when the instance is already bare.
    _items: list[QLayoutItem] = []  # noqa: RUF012

    def __init__(self, parent: QWidget | None = None, gap: int = theme.GRID) -> None:
        super().__init__(parent)
        self._items = []
        self._gap = gap
        self.setContentsMargins(0, 0, 0, 0)

    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)

    def count(self) -> int:
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return self._place(QRect(0, 0, width, 0), is_rehearsal=True)

    def setGeometry(self, rect: QRect) -> None:
        super().setGeometry(rect)
        self._place(rect, is_rehearsal=False)

    def sizeHint(self) -> QSize:
        """Return what one unbroken row takes."""
        shown = [item.sizeHint() for item in self._items if not item.isEmpty()]
        width = sum(size.width() for size in shown) + self._gap * max(len(shown) - 1, 0)
        return QSize(width, max((size.height() for size in shown), default=0))

    def minimumSize(self) -> QSize:
        size = QSize()
        for item in self._items:
            size = size.expandedTo(item.minimumSize())
        return size

    def _place(self, rect: QRect, *, is_rehearsal: bool) -> int:
        """Place the items row by row and return the height they take."""
        x, y, row_height = rect.x(), rect.y(), 0
        for item in self._items:
            if item.isEmpty():
                continue
            size = item.sizeHint().boundedTo(QSize(max(rect.width(), 1), 1 << 20))
            if x > rect.x() and x + size.width() > rect.x() + rect.width():
                x, y, row_height = rect.x(), y + row_height + self._gap, 0
            if not is_rehearsal:
                item.setGeometry(QRect(QPoint(x, y), size))
            x += size.width() + self._gap
            row_height = max(row_height, size.height())
        return y + row_height - rect.y()
