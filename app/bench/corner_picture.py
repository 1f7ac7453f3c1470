"""A photo on which the four corners of a flank are marked, by mouse or keys; what was read from it is laid over it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPixmap, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import theme
from app.widgets.editors import ENTER_KEYS
from core.language import mark, tr
from core.mechanics.outline import Point, Ring

CORNERS = (mark("toe at the root"), mark("heel at the root"), mark("heel at the tip"), mark("toe at the tip"))
_STEPS = {Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0), Qt.Key.Key_Up: (0, -1), Qt.Key.Key_Down: (0, 1)}
_FAR = 10
"""Pixels of the picture that Shift and an arrow key go at once."""


class CornerPicture(QWidget):
    """The picture; corners are in its own pixels.

    A click places the next corner, or marks one that is there; arrow keys move the marked one (Shift: ten pixels),
    Enter or Space places the next in the middle, 1 to 4 mark one, Backspace takes the last back.

    Signals
    -------
    changed()
        A corner was placed, moved or taken back.
    read_wanted()
        Enter was pressed with all four in their place.
    """

    changed = Signal()
    read_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.corners: list[Point] = []
        self.marked = -1
        self.may_mark = True
        self._picture = QPixmap()
        self._rings: tuple[Ring, ...] = ()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def show_picture(self, picture: QPixmap, name: str) -> None:
        """Show another picture, no corner marked yet."""
        self._picture = picture
        self.corners, self.marked, self._rings = [], -1, ()
        self.setAccessibleName(name)
        self.update()

    def lay(self, rings: Sequence[Ring]) -> None:
        """Lay an outline over the picture [px]."""
        self._rings = tuple(rings)
        self.update()

    def minimumSizeHint(self) -> QSize:
        return QSize(16 * theme.GRID, 16 * theme.GRID)

    # -- marking -------------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        if not self.may_mark or event.button() != Qt.MouseButton.LeftButton or self._picture.isNull():
            return
        at = event.position()
        near = [n for n, corner in enumerate(self.corners) if self._is_near(at, corner)]
        if near:
            self._mark(near[-1])
        elif self._place().contains(at) and len(self.corners) < len(CORNERS):
            self._add(self._in_picture(at))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self.may_mark and self.marked >= 0 and event.buttons() & Qt.MouseButton.LeftButton:
            self._put(self._in_picture(event.position()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not (self.may_mark and not self._picture.isNull() and self._take_key(event)):
            super().keyPressEvent(event)

    def _take_key(self, event: QKeyEvent) -> bool:
        key = Qt.Key(event.key())
        chosen = event.key() - int(Qt.Key.Key_1)
        if key in _STEPS:
            self._nudge(_STEPS[key], _FAR if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1)
        elif key == Qt.Key.Key_Backspace and self.corners:
            self.corners.pop()
            self._mark(len(self.corners) - 1)
            self.changed.emit()
        elif 0 <= chosen < len(self.corners):
            self._mark(chosen)
        elif key in (*ENTER_KEYS, Qt.Key.Key_Space):
            if len(self.corners) < len(CORNERS):
                self._add(self._middle())
            elif key != Qt.Key.Key_Space:
                self.read_wanted.emit()
        else:
            return False
        return True

    def _nudge(self, step: tuple[int, int], pixels: int) -> None:
        if not self.corners:
            self._add(self._middle())
        x, y = self.corners[self.marked]
        self._put((x + pixels * step[0], y + pixels * step[1]))

    def _middle(self) -> Point:
        return self._picture.width() / 2, self._picture.height() / 2

    def _add(self, corner: Point) -> None:
        self.corners.append(corner)
        self._mark(len(self.corners) - 1)
        self.changed.emit()

    def _put(self, corner: Point) -> None:
        x, y = corner
        inside = min(max(x, 0.0), float(self._picture.width())), min(max(y, 0.0), float(self._picture.height()))
        if self.corners[self.marked] != inside:
            self.corners[self.marked] = inside
            self.update()
            self.changed.emit()

    def _mark(self, number: int) -> None:
        self.marked = number
        self.update()

    # -- places --------------------------------------------------------------------------------------------------

    def _place(self) -> QRectF:
        """Return where the picture stands: as large as there is room, and no larger than its pixels."""
        natural = QRectF(QPointF(), self._picture.size() / self.devicePixelRatioF()).size()
        size = natural.scaled(self.size().toSizeF(), Qt.AspectRatioMode.KeepAspectRatio).boundedTo(natural)
        return QRectF(
            (self.width() - size.width()) / 2, (self.height() - size.height()) / 2, size.width(), size.height()
        )

    def _in_picture(self, at: QPointF) -> Point:
        place = self._place()
        scale = self._picture.width() / place.width()
        return (at.x() - place.left()) * scale, (at.y() - place.top()) * scale

    def on_screen(self, corner: Point) -> QPointF:
        """Return where on this widget a place of the picture [px] is seen."""
        place = self._place()
        scale = place.width() / self._picture.width()
        return QPointF(place.left() + corner[0] * scale, place.top() + corner[1] * scale)

    def _is_near(self, at: QPointF, corner: Point) -> bool:
        apart = at - self.on_screen(corner)
        return QPointF.dotProduct(apart, apart) <= theme.current().px(12) ** 2

    # -- painting ------------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = theme.current().colours
        painter = QPainter(self)
        painter.setRenderHints(QPainter.RenderHint.SmoothPixmapTransform | QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(colours.sunk))
        if not self._picture.isNull():
            painter.drawPixmap(self._place().toRect(), self._picture)
            self._paint_marks(painter)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(colours.accent), 3))
            painter.drawRect(self.rect().adjusted(1, 1, -2, -2))
        painter.end()

    def _paint_marks(self, painter: QPainter) -> None:
        """Paint flank and print in two colours each, so that they are seen on any picture."""
        colours = theme.current().colours
        wide, narrow = QPen(QColor(colours.ground), 5), QPen(QColor(colours.ink), 2)
        dashed = QPen(QColor(colours.ink), 2, Qt.PenStyle.DashLine)
        points = [self.on_screen(corner) for corner in self.corners]
        flank = QPolygonF([*points, points[0]] if len(points) == len(CORNERS) else points)
        for pen in (wide, dashed):
            painter.setPen(pen)
            painter.drawPolyline(flank)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for ring in self._rings:
            for pen in (wide, narrow):
                painter.setPen(pen)
                painter.drawPolygon(QPolygonF([self.on_screen(point) for point in ring]))
        reach = theme.current().px(9)
        for number, point in enumerate(points):
            is_marked = number == self.marked and self.may_mark
            painter.setPen(QPen(QColor(colours.ink), 2))
            painter.setBrush(QColor(colours.accent if is_marked else colours.ground))
            # Beside its place, so that the place itself is seen.
            middle = sum(points, QPointF()) / len(points)
            away = point - middle
            far = max((away.x() ** 2 + away.y() ** 2) ** 0.5, 1.0)
            label = point + away / far * 2.2 * reach if len(points) > 1 else point - QPointF(0, 2.2 * reach)
            painter.drawLine(point - QPointF(reach / 2, 0), point + QPointF(reach / 2, 0))
            painter.drawLine(point - QPointF(0, reach / 2), point + QPointF(0, reach / 2))
            painter.drawEllipse(label, reach, reach)
            painter.setPen(QColor(colours.ground if is_marked else colours.ink))
            around = QRectF(label.x() - reach, label.y() - reach, 2 * reach, 2 * reach)
            painter.drawText(around, Qt.AlignmentFlag.AlignCenter, str(number + 1))


def next_words(count: int) -> str:
    """Say which corner is placed next, once so many are."""
    if count < len(CORNERS):
        return tr("Corner {number} of 4: click the {corner} of the flank.", number=count + 1, corner=tr(CORNERS[count]))
    return tr("All four corners are placed. Move them onto the flank, then read it.")
