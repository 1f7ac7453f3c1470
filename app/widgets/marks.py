"""The four verdict marks as the window draws them: filled disc, barred square, half disc, ring."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPaintEvent, QPen, QPixmap
from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from app import theme
from core.language import tr
from core.verdict import ANSWER_WORDS, Answer, Verdict

ICON_GAP = 4
FULL_TURN = 16 * 360
_SHAPE = 0.8
"""Share of its square that a mark fills."""


def answer_word(answer: Answer) -> str:
    """Return a verdict's word, translated."""
    return tr(ANSWER_WORDS[answer])


def paint_mark(painter: QPainter, square: QRectF, answer: Answer, colour: str = "") -> None:
    """Draw the mark of a verdict into a square; `colour` is for marks on another ground than paper."""
    ink = QColor(colour or theme.current().colours.of(answer))
    side = min(square.width(), square.height()) * _SHAPE
    shape = QRectF(0, 0, side, side)
    shape.moveCenter(square.center())
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(ink)
    if answer is Answer.CONFORMS:
        painter.drawEllipse(shape)
    elif answer is Answer.DOES_NOT_CONFORM:
        _paint_barred_square(painter, shape)
    else:
        _paint_ring(painter, shape, ink)
        if answer is Answer.UNCERTAIN:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(ink)
            painter.drawChord(shape, FULL_TURN // 4, FULL_TURN // 2)
    painter.restore()


def _paint_barred_square(painter: QPainter, shape: QRectF) -> None:
    """Fill the square but for a bar: the bar is a gap, so that it shows on any ground."""
    inset = shape.width() * 0.04
    box = shape.adjusted(inset, inset, -inset, -inset)
    bar = box.height() * 0.18
    half = (box.height() - bar) / 2
    stub = box.width() * 0.18
    painter.drawRect(QRectF(box.left(), box.top(), box.width(), half))
    painter.drawRect(QRectF(box.left(), box.bottom() - half, box.width(), half))
    painter.drawRect(QRectF(box.left(), box.top(), stub, box.height()))
    painter.drawRect(QRectF(box.right() - stub, box.top(), stub, box.height()))


def _paint_ring(painter: QPainter, shape: QRectF, ink: QColor) -> None:
    width = max(shape.width() * 0.14, 1.2)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(ink, width))
    painter.drawEllipse(QPointF(shape.center()), (shape.width() - width) / 2, (shape.height() - width) / 2)


def mark_icon(answer: Answer, side: int, ratio: float) -> QIcon:
    """Return the mark of a verdict as an icon, `side` logical pixels high, with a gap between it and a text."""
    pixmap = QPixmap(QSize(round((side + ICON_GAP) * ratio), round(side * ratio)))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    paint_mark(painter, QRectF(0, 0, side, side), answer)
    painter.end()
    return QIcon(pixmap)


class VerdictMark(QWidget):
    """One mark, `step` pixels large at 100 % text size; its accessible name is the verdict's word."""

    def __init__(self, answer: Answer = Answer.MISSING, step: int = 17, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._step = step
        self._answer = answer
        self.show_answer(answer)

    @property
    def answer(self) -> Answer:
        """The verdict shown."""
        return self._answer

    def show_answer(self, answer: Answer) -> None:
        """Show another verdict."""
        self._answer = answer
        self.setAccessibleName(answer_word(answer))
        self.setToolTip(answer_word(answer))
        self.update()

    def sizeHint(self) -> QSize:
        side = theme.current().px(self._step)
        return QSize(side, side)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        paint_mark(painter, QRectF(self.rect()), self._answer)
        painter.end()


class StageMarks(QWidget):
    """The marks of the six stages in a row, small; read out as one sentence."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(theme.GRID // 2)

    def show_stages(self, stages: Sequence[tuple[str, Answer]]) -> None:
        """Show one mark a stage; each comes with the stage's translated label."""
        while (item := self._row.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.deleteLater()
        words = []
        for label, answer in stages:
            mark = VerdictMark(answer, step=14, parent=self)
            words.append(tr("{stage}: {word}", stage=label, word=answer_word(answer)))
            mark.setToolTip(words[-1])
            self._row.addWidget(mark)
        self.setAccessibleName(", ".join(words))


def show_verdict(mark: VerdictMark, word: QLabel, verdict: Verdict | None) -> None:
    """Show a verdict as word, shape and colour, with its reason under the mouse; None shows none."""
    mark.setVisible(verdict is not None)
    word.setText("" if verdict is None else answer_word(verdict.answer))
    if verdict is not None:
        mark.show_answer(verdict.answer)
        word.setToolTip(verdict.reason)
        theme.set_mark(word, "tone", verdict.answer.value)
