"""One flank on the board: the tooth in its true proportions, the print on it, and the hand that draws there."""

from __future__ import annotations

from math import hypot

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPointingDevice,
    QResizeEvent,
    QTabletEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import theme
from app.board.draft import Draft
from app.board.grips import grip_at, handles, pulled
from app.board.painting import (
    ROOM,
    paint_box,
    paint_centre,
    paint_focus,
    paint_handles,
    paint_prints,
    paint_stroke,
    paint_tooth,
    paint_words,
)
from core.mechanics.outline import Point, Ring, measure
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
        self.marks_centre = False
        self._box: Ring = ()
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

    def show_box(self, box: Ring) -> None:
        """Say where the centre of the print belongs; nothing where the card does not."""
        if box != self._box:
            self._box = box
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
        self._begin(event.position(), event.modifiers())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._follow(event.position())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._end()

    def tabletEvent(self, event: QTabletEvent) -> None:
        """Take a pen as it comes, finer than a mouse; its eraser end takes the print off."""
        if self.is_read_only:
            event.ignore()
            return
        # What is taken here never comes again as a mouse.
        event.accept()
        if event.type() == QEvent.Type.TabletPress:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            if event.pointerType() == QPointingDevice.PointerType.Eraser:
                self._tell(self.draft.clear())
            else:
                self._begin(event.position(), event.modifiers())
        elif event.type() == QEvent.Type.TabletMove:
            self._follow(event.position())
        elif event.type() == QEvent.Type.TabletRelease:
            self._end()

    def _begin(self, at: QPointF, held: Qt.KeyboardModifier) -> None:
        self._from, self._before = self._shares(at), self.draft.rings
        self._was_adding = bool(self.draft.rings) and (self.is_adding or bool(held & Qt.KeyboardModifier.ShiftModifier))
        self._grip = "" if self._was_adding else grip_at(self.view(), self._before, at.x(), at.y(), self._reach)
        self._stroke = [self._from]

    def _follow(self, at: QPointF) -> None:
        if not self._stroke:
            return
        here = self._shares(at)
        self._stroke.append(here)
        if self._grip:
            self._drag(here)
        self.update()

    def _end(self) -> None:
        if not self._stroke:
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

    def _is_stroke(self, stroke: list[Point]) -> bool:
        view = self.view()
        (x0, y0), far = view.at(*stroke[0]), [view.at(*point) for point in stroke]
        return max(hypot(x - x0, y - y0) for x, y in far) > LEAST_MOVE

    def _drag(self, here: Point) -> None:
        """Show the print as it would be if the hand let go here; only letting go is a step."""
        trying = pulled(self._grip, self._before, self.draft.proportion, self._from, here)
        self.draft.rings, self.draft.said = trying.rings, trying.said
        self.said.emit()

    def _settle_drag(self) -> None:
        """Make one step of all that was dragged."""
        wanted, self.draft.rings = self.draft.rings, self._before
        said = self.draft.said
        is_other = wanted != self._before and self.draft.take(wanted)
        self.draft.said = self.draft.said or said
        self._tell(is_other)

    @property
    def _reach(self) -> float:
        return theme.current().px(REACH)

    def _centre(self) -> Point:
        centre = measure(self.draft.rings)
        return centre.along, centre.depth

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
        if self._box:
            paint_box(painter, view, self._box)
        if self.marks_centre and self.draft.rings:
            paint_centre(painter, view, self._centre())
        if self.draft.rings and self.hasFocus() and not self.is_read_only:
            paint_handles(painter, handles(view, self.draft.rings))
        paint_words(painter, view, self.height())
        if self._stroke and not self._grip:
            paint_stroke(painter, view, tuple(self._stroke))
        if self.hasFocus():
            paint_focus(painter, QRectF(self.rect()))
        painter.end()
