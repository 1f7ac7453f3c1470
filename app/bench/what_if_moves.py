"""What moves a gear on the screen: a slider in hundredths of a millimetre, and beside it the value to type."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QHBoxLayout, QSlider, QStyle, QStyleOptionSlider, QVBoxLayout, QWidget

from app import theme
from app.widgets.editors import LineEditor
from app.widgets.sentences import say, words
from core.errors import InputError, UserError
from core.language import tr
from core.quantities import KINDS, number, parse, show

STEP_MM = 0.01
LONG_STEPS = 5
FIELD_WIDTH = 112


class MoveSlider(QSlider):
    """A slider of whole steps; the wheel belongs to the page."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setAccessibleName(name)
        self.setSingleStep(1)
        self.setPageStep(LONG_STEPS)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._here = 0

    def show_here(self, steps: int) -> None:
        """Say where the gears stand now: a stroke across the slider."""
        self._here = steps
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        option = QStyleOptionSlider()
        self.initStyleOption(option)
        handle = self.style().subControlRect(
            QStyle.ComplexControl.CC_Slider, option, QStyle.SubControl.SC_SliderHandle, self
        )
        span = self.width() - handle.width()
        place = QStyle.sliderPositionFromValue(self.minimum(), self.maximum(), self._here, span) + handle.width() / 2
        painter = QPainter(self)
        painter.setPen(QPen(QColor(theme.current().colours.quiet), theme.current().px(2)))
        painter.drawLine(QPointF(place, 0.0), QPointF(place, self.height()))
        painter.end()
        super().paintEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()


class MoveRow(QWidget):
    """One thing that can be moved.

    Parameters
    ----------
    name : str
        What it is called.
    ways : str
        Which way is which.
    is_signed : bool
        Whether a value away from nought carries its sign.

    Signals
    -------
    moved(value_mm)
        Somebody moved it.
    refused()
        What was typed cannot be taken; why is said below it.
    escaped()
        Somebody wants to leave.
    """

    moved = Signal(float)
    refused = Signal()
    escaped = Signal()

    def __init__(self, name: str, ways: str, *, is_signed: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.name, self._is_signed, self._unit = name, is_signed, "mm"
        self._value_mm, self._low_mm, self._high_mm = 0.0, -0.5, 0.5
        self.slider = MoveSlider(tr("{name}, slider", name=name))
        self.field = LineEditor()
        self.field.set_name(tr("{name}, typed", name=name))
        self.unit, self.refusal = words("", "quiet", wraps=False), words("", "refusal")
        row = QHBoxLayout()
        row.setSpacing(theme.GRID)
        row.addWidget(self.slider, 1)
        row.addWidget(self.field)
        row.addWidget(self.unit)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(words(name, "body"))
        column.addLayout(row)
        column.addWidget(words(ways, "quiet"))
        column.addWidget(self.refusal)
        say(self.refusal, "")
        self.slider.valueChanged.connect(self._slid)
        self.field.entered.connect(self.take)
        self.field.left.connect(self.take)
        self.field.escaped.connect(self._give_up)
        self.measure()

    def measure(self) -> None:
        """Take the measures of the text size in force."""
        self.field.setFixedWidth(theme.current().px(FIELD_WIDTH))

    @property
    def value_mm(self) -> float:
        """Where it stands [mm]."""
        return self._value_mm

    @property
    def is_refused(self) -> bool:
        """Whether something stands typed that could not be taken."""
        return bool(self.refusal.text())

    def show_here(self, value_mm: float) -> None:
        """Say where the gears stand now."""
        self.slider.show_here(round(value_mm / STEP_MM))

    def show_value(self, value_mm: float, low_mm: float, high_mm: float, unit: str) -> None:
        """Show where it stands and how far it goes, without telling that a person moved it.

        What stands typed and could not be taken stays, with what to do, until this one is moved or let go.
        """
        self._value_mm, self._low_mm, self._high_mm, self._unit = value_mm, low_mm, high_mm, unit
        with QSignalBlocker(self.slider):
            self.slider.setRange(round(low_mm / STEP_MM), round(high_mm / STEP_MM))
            self.slider.setValue(round(value_mm / STEP_MM))
        self.slider.setAccessibleDescription(show("length", value_mm, unit))
        say(self.unit, KINDS["length"].unit(unit).label)
        if not self.is_refused:
            self.field.set_text(self._text())

    def let_go(self) -> None:
        """Take back what stands typed and could not be taken."""
        if self.is_refused:
            say(self.refusal, "")
            self.field.set_text(self._text())

    def _text(self) -> str:
        text = number("length", self._value_mm, self._unit)
        return f"+{text}" if self._is_signed and float(text) > 0.0 else text

    def _slid(self, steps: int) -> None:
        say(self.refusal, "")
        self.moved.emit(steps * STEP_MM)

    def take(self, *_: object) -> None:
        """Take what stands typed; what cannot be taken stays, with what to do."""
        if self.field.text() == self._text():
            say(self.refusal, "")
            return
        try:
            value_mm = parse("length", self.field.text(), self._unit).value
            self._refuse_beyond(value_mm or 0.0)
        except UserError as error:
            say(self.refusal, str(error))
            self.refused.emit()
            return
        say(self.refusal, "")
        self.moved.emit(value_mm or 0.0)

    def _refuse_beyond(self, value_mm: float) -> None:
        # What is shown is rounded: the end of the slider may be typed as it reads.
        if not self._low_mm - 0.5 * STEP_MM <= value_mm <= self._high_mm + 0.5 * STEP_MM:
            low, high = number("length", self._low_mm, self._unit), show("length", self._high_mm, self._unit)
            raise InputError(
                tr("{name} goes from {low} to {high} here.", name=self.name, low=low, high=high),
                tr("Type a value between them."),
            )

    def _give_up(self) -> None:
        """Escape takes back what was typed first, and leaves only from an unchanged line."""
        if self.field.text() != self._text():
            say(self.refusal, "")
            self.field.set_text(self._text())
        else:
            self.escaped.emit()
