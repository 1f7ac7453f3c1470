"""What a calculation comes to: figures in both systems of units, what they rest on, what is measured where."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QVBoxLayout, QWidget

from app import theme
from app.jobs.form import ENTER_KEYS, unsaid
from app.jobs.rows import EDGE
from app.theme import GRID, give_role, set_mark
from app.widgets.figure_view import FigureView
from app.widgets.sentences import say, words
from core.calculations import Calculation, Outcome
from core.calculations.declare import Result
from core.calculations.telling import ground_words, result_in_units, result_words
from core.language import tr


def draw_measured(name: str) -> bytes | None:
    """Return the drawing of what is measured where as SVG in the colours in force, or None where there is none."""
    # The figures bring reportlab with them; a window should show before that is loaded.
    from core.sheet.figures import as_svg
    from core.sheet.figures.measured import measured_figure

    drawing = measured_figure(name, theme.current().figure_palette()) if name else None
    return None if drawing is None else as_svg(drawing)


class Figures(QFrame):
    """The results themselves, large; it takes the keyboard so that they can be listened to, and Enter leaves it."""

    went_on = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("entry_field")
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.state = unsaid()
        self._lines: dict[str, tuple[QLabel, ...]] = {}
        self._body = QWidget()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(GRID, 0, 0, GRID)
        self._column.setSpacing(0)
        self._column.addWidget(self.state)
        self._column.addWidget(self._body)

    def show_calculation(self, calculation: Calculation) -> None:
        """Make room for the results of another calculation: a name, and its figures below."""
        self._column.removeWidget(self._body)
        self._body.hide()
        self._body.deleteLater()
        self._body = QWidget()
        grid = QGridLayout(self._body)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(3 * GRID)
        grid.setVerticalSpacing(0)
        grid.setColumnStretch(1, 1)
        self._lines = {}
        for result in calculation.results:
            name = words(tr(result.label), "body")
            name.setContentsMargins(0, GRID, 0, 0)
            grid.addWidget(name, grid.rowCount(), 0, 1, 2)
            self._lines[result.key] = self._line(grid, result)
        self._column.addWidget(self._body)

    def _line(self, grid: QGridLayout, result: Result) -> tuple[QLabel, ...]:
        row = grid.rowCount()
        if result.shown_unit is None:
            answer = words(role="title")
            grid.addWidget(answer, row, 0, 1, 2)
            return (answer,)
        figures = words(role="title", wraps=False), words(role="title", wraps=False)
        for at, figure in enumerate(figures):
            grid.addWidget(figure, row, at)
        return figures

    def show_outcome(self, outcome: Outcome) -> None:
        """Show each result under its name."""
        say(self.state, "")
        told = []
        for result in outcome.calculation.results:
            value = outcome.results[result.key]
            for label, text in zip(self._lines[result.key], result_in_units(result, value), strict=False):
                label.setText(text)
            told.append(f"{tr(result.label)}: {result_words(result, value)}")
        self._body.show()
        self.setAccessibleName(tr("Results: {results}", results="; ".join(told)))

    def show_state(self, sentence: str, *, is_refusal: bool = False) -> None:
        """Say why there is no result (yet); one of other inputs must not stand beside these."""
        self._body.hide()
        give_role(self.state, "refusal" if is_refusal else "body")
        say(self.state, sentence)
        self.setAccessibleName(tr("Results: {results}", results=sentence))

    def figures(self) -> list[str]:
        """Return the figures shown, in order."""
        if self._body.isHidden():
            return []
        return [label.text() for line in self._lines.values() for label in line if label.text()]

    def focusInEvent(self, event: QFocusEvent) -> None:
        set_mark(self, "is_armed", True)
        super().focusInEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        set_mark(self, "is_armed", False)
        super().focusOutEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes on."""
        if event.key() in ENTER_KEYS:
            self.went_on.emit()
        else:
            super().keyPressEvent(event)


class Results(QWidget):
    """Figures, drawing, formula, source, validity and caution of one calculation."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name = ""
        self.figures = Figures()
        self.drawing = FigureView()
        self.drawing.hide()
        self._grounds = QVBoxLayout()
        self._grounds.setSpacing(GRID)
        # In line with the figures, which stand behind an edge.
        self._grounds.setContentsMargins(GRID + EDGE, 0, 0, 0)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, GRID, GRID)
        column.setSpacing(2 * GRID)
        column.addWidget(self.figures)
        column.addLayout(self._grounds)
        column.addWidget(self.drawing)
        column.addStretch(1)

    def show_calculation(self, calculation: Calculation) -> None:
        """Show what another calculation rests on, and draw what it measures."""
        self.figures.show_calculation(calculation)
        while (item := self._grounds.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for key, sentence in ground_words(calculation).items():
            # A word and a colour for what can hurt somebody.
            label = words(sentence, "body" if key == "caution" else "quiet")
            label.setProperty("tone", "uncertain" if key == "caution" else "")
            self._grounds.addWidget(label)
        self._name = calculation.figure
        self.drawing.setAccessibleName(tr("What is measured where: {name}", name=tr(calculation.label)))
        self.draw()

    def draw(self) -> None:
        """Draw what is measured where, in the colours in force."""
        svg = draw_measured(self._name)
        self.drawing.setVisible(svg is not None)
        if svg is not None:
            self.drawing.show_figure(svg, self.drawing.accessibleName(), "")
