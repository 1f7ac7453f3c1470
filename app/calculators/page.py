"""The calculators page: any calculation of the trade without a job, found by a word and worked out while one types."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from app.calculators.finder import Finder
from app.calculators.inputs import Inputs
from app.calculators.results import Results
from app.jobs.form import Scrolled
from app.jobs.panes import Panes
from app.theme import GRID
from app.widgets.sentences import words
from core.calculations import Calculation
from core.errors import UserError
from core.language import tr

LEAST_DIGITS = 80
LEAST_DIGITS_FOR_RESULTS = 70


class CalculatorsPage(QWidget):
    """Left the calculations, in the middle the inputs of the chosen one, right what they come to."""

    opened = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.finder = Finder()
        self.results = Results()
        self._inputs: dict[str, Inputs] = {}
        self._stack = QStackedWidget()
        self._stack.addWidget(words(tr("Choose a calculation: type a word of it, or go down into the list."), "body"))
        self.work = Panes(self._stack, Scrolled(self.results), LEAST_DIGITS_FOR_RESULTS, wide=(1, 1))
        self.work.panes[1].hide()
        page = QVBoxLayout(self)
        page.setContentsMargins(3 * GRID, 2 * GRID, 3 * GRID, 2 * GRID)
        page.addWidget(Panes(self.finder, self.work, LEAST_DIGITS, wide=(4, 9), narrow=(1, 2)))
        self.setFocusProxy(self.finder)
        self.finder.chosen.connect(self.show_calculation)
        self.finder.opened.connect(self.open)
        self.results.figures.went_on.connect(self._find_another)

    @property
    def inputs(self) -> Inputs | None:
        """The inputs in view, or None while nothing is chosen."""
        shown = self._stack.currentWidget()
        return shown if isinstance(shown, Inputs) else None

    def show_calculation(self, calculation: Calculation) -> None:
        """Show a calculation as it was left."""
        if self.inputs is not None and self.inputs.calculation is calculation:
            return
        if calculation.key not in self._inputs:
            made = self._inputs[calculation.key] = Inputs(calculation)
            made.changed.connect(self._work_out)
            made.done.connect(self.results.figures.setFocus)
            self._stack.addWidget(made)
            # Tab goes as the eye does: the results come after the inputs, whenever those were made.
            QWidget.setTabOrder(made.last_stop(), self.results.figures)
        self._stack.setCurrentWidget(self._inputs[calculation.key])
        self.results.show_calculation(calculation)
        self._work_out()
        self.work.panes[1].show()

    def open(self, calculation: Calculation) -> None:
        """Show a calculation and give the keyboard to its first input."""
        self.show_calculation(calculation)
        self._inputs[calculation.key].go_to_first()
        self.opened.emit(calculation.key)

    def theme_changed(self) -> None:
        """Draw in the colours now in force."""
        if self.inputs is not None:
            self.results.draw()

    def _work_out(self) -> None:
        inputs = self.inputs
        if inputs is None:
            return
        figures = self.results.figures
        refusals, missing = inputs.refusals(), inputs.missing()
        if refusals:
            figures.show_state(next(iter(refusals.values())), is_refusal=True)
        elif missing:
            figures.show_state(tr("Still to give: {inputs}.", inputs="; ".join(missing)))
        else:
            try:
                figures.show_outcome(inputs.outcome())
            except UserError as error:
                figures.show_state(inputs.told(error), is_refusal=True)

    def _find_another(self) -> None:
        self.finder.line.setFocus()
        self.finder.line.selectAll()
