"""A figure on the page: the same vector drawing the sheet prints."""

from __future__ import annotations

from PySide6.QtCore import QByteArray, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QSizePolicy, QWidget


class FigureView(QWidget):
    """Shows SVG bytes, always in proportion, drawn anew at every size and pixel density."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._renderer = QSvgRenderer(self)
        self._renderer.setAspectRatioMode(Qt.AspectRatioMode.KeepAspectRatio)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def show_figure(self, svg: bytes, name: str, description: str) -> None:
        """Show a figure; name and description are for who listens instead of looking."""
        self._renderer.load(QByteArray(svg))
        self._renderer.setAspectRatioMode(Qt.AspectRatioMode.KeepAspectRatio)
        self.setAccessibleName(name)
        self.setAccessibleDescription(description)
        self.updateGeometry()
        self.update()

    @property
    def is_drawn(self) -> bool:
        """Whether there is a figure that can be drawn."""
        return self._renderer.isValid()

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        natural = self._renderer.defaultSize()
        return round(width * natural.height() / natural.width()) if natural.width() > 0 else 0

    def sizeHint(self) -> QSize:
        return self._renderer.defaultSize()

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._renderer.isValid():
            return
        painter = QPainter(self)
        self._renderer.render(painter, QRectF(self.rect()))
        painter.end()
