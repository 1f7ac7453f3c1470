"""One flank on the board: the tooth in its true proportions, the print on it, and the hand that draws there."""

from __future__ import annotations

from math import atan2, degrees, hypot

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import theme
from app.board.draft import Draft
from app.board.painting import ROOM, paint_focus, paint_handles, paint_prints, paint_stroke, paint_tooth, paint_words
from core.mechanics.outline import Point, Ring, extents, is_inside, measure
from core.mechanics.tooth_view import ToothView
from core.stages.tooth import DRIVE, Tooth

REACH = 22
"""How near [px at 100 %] a finger in a glove must come to a handle."""
STEP, LONG_STEP = 0.01, 0.05
TILT_STEP = 1.0
LEAST_MOVE = 3.0
"""A press that moves less than this [px] is no stroke."""
ARROWS = {Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0), Qt.Key.Key_Up: (0, 1), Qt.Key.Key_Down: (0, -1)}
TILTS = {Qt.Key.Key_Plus: 1, Qt.Key.Key_Equal: 1, Qt.Key.Key_Minus: -1}
_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class Canvas(QWidget):
    """Draws one flank and takes strokes, drags and keys on it.

    Signals
    -------
    changed()
        The print is another one than before; told when the hand lets go, and after each key.
    said()
        There is something else to say.
    entered(), escaped(), armed(), left(reason)
        As for any editor.
    """

    changed = Signal()
    said = Signal()
    entered = Signal()
    escaped = Signal()
    armed = Signal()
    left = Signal(object)

    def __init__(self, draft: Draft, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.draft = draft
        self.is_read_only = False
        self.is_adding = self._was_adding = False
        self._tooth, self._side = Tooth(), DRIVE
        self._behind: tuple[Ring, ...] = ()
        self._stroke: list[Point] = []
        self._grip = ""
        self._from: Point = (0.0, 0.0)
        self._before: tuple[Ring, ...] = ()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.CrossCursor)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_tooth(self, tooth: Tooth, side: str, behind: tuple[Ring, ...] = ()) -> None:
        """Say which tooth and flank this is, and which print is shown behind the one that is drawn."""
        if (tooth, side, behind) != (self._tooth, self._side, self._behind):
            self._tooth, self._side, self._behind = tooth, side, behind
            self.draft.proportion = tooth.proportion
            self._grow()
            self.update()

    # -- size and place ----------------------------------------------------------------------------------------------

    def sizeHint(self) -> QSize:
        return QSize(theme.current().px(320), self.height())

    def minimumSizeHint(self) -> QSize:
        return QSize(theme.current().px(180), self.height())

    def _grow(self) -> None:
        """Be as high as the tooth is at this width: its proportions are true at any."""
        room = theme.current().px(ROOM)
        deepest = (self.width() - 2 * room) / self._tooth.proportion * (2 - self._tooth.toe_share)
        self.setFixedHeight(round(max(deepest, 2 * room) + 2 * room))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self._grow()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            self._grow()

    def view(self) -> ToothView:
        """Return where the tooth stands on the canvas."""
        room = theme.current().px(ROOM)
        length = max(self.width() - 2 * room, 40)
        ends = room, room + length
        toe, heel = ends[::-1] if self._tooth.is_toe_right(self._side) else ends
        return ToothView(toe, heel, self.height() / 2, -length / self._tooth.proportion, self._tooth.toe_share)

    # -- hand --------------------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self.is_read_only or event.button() != Qt.MouseButton.LeftButton:
            event.ignore()
            return
        at = event.position()
        self._from, self._before = self._shares(at), self.draft.rings
        self._was_adding = self._is_adding(event)
        self._grip = "" if self._was_adding else self._grip_at(at)
        self._stroke = [self._from]

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if not self._stroke:
            return
        here = self._shares(event.position())
        self._stroke.append(here)
        if self._grip:
            self._drag(here)
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if not self._stroke or event.button() != Qt.MouseButton.LeftButton:
            return
        stroke, grip, self._stroke, self._grip = self._stroke, self._grip, [], ""
        if grip:
            self._settle_drag()
        elif self._is_stroke(stroke):
            self._tell(self.draft.draw(stroke, is_added=self._was_adding))
        self.update()

    def _let_go(self) -> None:
        """Give up a stroke or drag that is under way."""
        if self._grip:
            self.draft.rings = self._before
        self._stroke, self._grip = [], ""

    def _is_adding(self, event: QMouseEvent) -> bool:
        return bool(self.draft.rings) and (
            self.is_adding or bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        )

    def _is_stroke(self, stroke: list[Point]) -> bool:
        view = self.view()
        (x0, y0), far = view.at(*stroke[0]), [view.at(*point) for point in stroke]
        return max(hypot(x - x0, y - y0) for x, y in far) > LEAST_MOVE

    def _drag(self, here: Point) -> None:
        """Show the print as it would be if the hand let go here; only letting go is a step."""
        trying = Draft()
        trying.rings, trying.proportion = self._before, self.draft.proportion
        along, depth = here[0] - self._from[0], here[1] - self._from[1]
        if self._grip == "move":
            trying.move(along, depth)
        elif self._grip == "tilt":
            centre = measure(self._before, trying.proportion)
            trying.tilt(_turned(self._from, here, (centre.along, centre.depth), trying.proportion))
        else:
            trying.stretch(
                {"heel": 2 * along, "toe": -2 * along}.get(self._grip, 0.0),
                {"tip": 2 * depth, "root": -2 * depth}.get(self._grip, 0.0),
            )
        self.draft.rings = trying.rings
        self.draft.said = trying.said
        self.said.emit()

    def _settle_drag(self) -> None:
        """Make one step of all that was dragged."""
        wanted, self.draft.rings = self.draft.rings, self._before
        said = self.draft.said
        is_other = wanted != self._before and self.draft.take(wanted)
        self.draft.said = self.draft.said or said
        self._tell(is_other)

    def _grip_at(self, at: QPointF) -> str:
        """Return what a press takes hold of: a handle, the print, or nothing, which begins a stroke."""
        if not self.draft.rings:
            return ""
        reach = theme.current().px(REACH)
        inside = any(is_inside(self._shares(at), ring) for ring in self.draft.rings)
        near = sorted((hypot(at.x() - x, at.y() - y), name) for name, (x, y) in self._handles().items())
        # Within a small print the handles must leave room to take hold of the print itself.
        limit = min(reach, self._smallest() / 3) if inside else reach
        if near[0][0] <= limit:
            return near[0][1]
        return "move" if inside else ""

    def _smallest(self) -> float:
        handles = self._handles()
        return min(
            abs(handles["heel"][0] - handles["toe"][0]),
            abs(handles["tip"][1] - handles["root"][1]),
        )

    def _handles(self) -> dict[str, Point]:
        """Return where the handles stand: at the four ends of the print, and one above it to tilt it by."""
        view, (low, high) = self.view(), extents(self.draft.rings)
        along, depth = (low[0] + high[0]) / 2, (low[1] + high[1]) / 2
        places = {
            "toe": view.at(low[0], depth),
            "heel": view.at(high[0], depth),
            "root": view.at(along, low[1]),
            "tip": view.at(along, high[1]),
        }
        corner = view.at(high[0], high[1])
        return {**places, "tilt": corner}

    def _shares(self, at: QPointF) -> Point:
        return self.view().shares(at.x(), at.y())

    def _tell(self, is_other: bool) -> None:
        self.update()
        if is_other:
            self.changed.emit()
        self.said.emit()

    # -- keys --------------------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        if key in _ENTER:
            self.entered.emit()
        elif key == Qt.Key.Key_Escape:
            self._let_go()
            self.escaped.emit()
        elif self.is_read_only or (is_other := self._by_key(key, event)) is None:
            super().keyPressEvent(event)
        else:
            self._tell(is_other)

    def _by_key(self, key: Qt.Key, event: QKeyEvent) -> bool | None:
        """Do what a key stands for; None where it stands for nothing here."""
        held = event.modifiers()
        is_long = bool(held & Qt.KeyboardModifier.ShiftModifier)
        is_held = bool(held & Qt.KeyboardModifier.ControlModifier)
        if held & Qt.KeyboardModifier.AltModifier:
            return None
        if key in ARROWS:
            return self._by_arrow(ARROWS[key], LONG_STEP if is_long else STEP, is_stretched=is_held)
        if key == Qt.Key.Key_Backspace or (is_held and key == Qt.Key.Key_Z):
            return self.draft.undo()
        if is_held:
            return None
        if key in TILTS:
            return self.draft.tilt(TILTS[key] * TILT_STEP)
        if key == Qt.Key.Key_Delete:
            return self.draft.clear()
        if event.text() in tuple("12345678"):
            return self.draft.put_shape(int(event.text()))
        return None

    def _by_arrow(self, way: tuple[int, int], step: float, *, is_stretched: bool) -> bool:
        across, up = way
        if is_stretched:
            return self.draft.stretch(across * step, up * step)
        toward_heel = -across if self._tooth.is_toe_right(self._side) else across
        return self.draft.move(toward_heel * step, up * step)

    # -- focus -------------------------------------------------------------------------------------------------------

    def event(self, event: QEvent) -> bool:
        # These keys are the board's own while it has the focus, not the page's.
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and (event.key() in ARROWS or event.key() == Qt.Key.Key_Z)
            and not event.modifiers() & Qt.KeyboardModifier.AltModifier
        ):
            event.accept()
            return True
        return super().event(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()
        self.armed.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()
        self.left.emit(event.reason())

    def tell_listeners(self) -> None:
        """Have a screen reader say where the print lies now."""
        if QAccessible.isActive():
            QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.DescriptionChanged))

    # -- paint -------------------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, view = QPainter(self), self.view()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        paint_tooth(painter, view)
        paint_prints(painter, view, self.draft.rings, self._behind)
        if self.draft.rings and self.hasFocus() and not self.is_read_only:
            paint_handles(painter, self._handles())
        paint_words(painter, view, self.height())
        if self._stroke and not self._grip:
            paint_stroke(painter, view, tuple(self._stroke))
        if self.hasFocus():
            paint_focus(painter, QRectF(self.rect()))
        painter.end()


def _turned(one: Point, other: Point, centre: Point, proportion: float) -> float:
    """Return by how many degrees a hand went round a centre, at the true shape of the tooth."""
    angles = [atan2(p[1] - centre[1], (p[0] - centre[0]) * proportion) for p in (one, other)]
    return (degrees(angles[1] - angles[0]) + 180) % 360 - 180
