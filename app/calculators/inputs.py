"""The inputs of one calculation, made from its declaration alone, and what they come to."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.jobs.form import ChoiceField, Field, Form, Scrolled, TextField
from app.theme import GRID
from app.widgets.sentences import words
from core.calculations import Calculation, Outcome, RefusedInputError, work_out
from core.calculations.declare import Input, refused_inputs
from core.calculations.shared import YES_NO
from core.calculations.telling import default_words
from core.errors import UserError
from core.language import tr

WIDEST_ANSWER = 34
"""Letters of an answer on one line; a longer one is broken."""


class AmountField(TextField):
    """A line for a number or words; its unit steps back where the text names one itself."""

    def __init__(self, wanted: Input) -> None:
        unit = wanted.bare_unit.label if wanted.bare_unit else ""
        super().__init__(wanted.key, tr(wanted.label), _help(wanted), unit)
        self._own_unit = unit
        self.editor.setPlaceholderText(default_words(wanted))
        self.editor.textChanged.connect(self._show_unit)

    def _show_unit(self, text: str) -> None:
        last = text.strip()[-1:]
        self.set_unit("" if last.isalpha() or last in ("°", "%", "²", "³", ")") else self._own_unit)


def _help(wanted: Input) -> str:
    sentences = [tr(wanted.measured)] if wanted.measured else []
    if wanted.is_list:
        sentences.append(tr("Several values: part them by spaces or semicolons."))
    if wanted.default and wanted.kind != "choice":
        sentences.append(tr("Left empty it is taken as {default}.", default=default_words(wanted)))
    return " ".join(sentences)


def field_for(wanted: Input) -> Field:
    """Return the field an input is given in: a row of answers where it names some, a line otherwise."""
    choices = wanted.choices or (YES_NO if wanted.kind == "yes_no" else ())
    if not choices:
        return AmountField(wanted)
    answers = [(key, textwrap.fill(tr(label), WIDEST_ANSWER)) for key, label in choices]
    field = ChoiceField(wanted.key, tr(wanted.label), answers, _help(wanted))
    field.put(wanted.default)
    return field


class Inputs(QWidget):
    """One calculation's inputs; they keep what was typed for as long as the window is open.

    A field that is being typed in is left in peace: it is refused when it is left, or by Enter in the last one.
    """

    changed = Signal()
    done = Signal()

    def __init__(self, calculation: Calculation, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.calculation = calculation
        self.form = Form()
        for wanted in calculation.inputs:
            self.form.add(field_for(wanted))
        self.setFocusProxy(next(iter(self.form.fields.values())))
        content = QWidget()
        column = QVBoxLayout(content)
        column.setContentsMargins(0, 0, GRID, GRID)
        column.setSpacing(2 * GRID)
        column.addWidget(words(tr(calculation.label), "title"))
        column.addWidget(self.form)
        column.addStretch(1)
        page = QVBoxLayout(self)
        page.setContentsMargins(0, 0, 0, 0)
        page.addWidget(Scrolled(content, self.form))
        self.form.changed.connect(self.changed)
        self.form.armed.connect(self._judge_all_but)
        self.form.handed_in.connect(self._hand_in)

    def label(self, key: str) -> str:
        """Return what an input or result is called on the page, by its key."""
        labels = {part.key: part.label for part in self.calculation.results}
        labels |= {part.key: part.label for part in self.calculation.inputs}
        return tr(labels[key]) if key in labels else key

    def missing(self) -> list[str]:
        """Return the names of what must still be given."""
        return [self.label(key) for key in self._missing()]

    def _missing(self) -> list[str]:
        typed = self.form.values()
        return [i.key for i in self.calculation.inputs if not (i.default or typed[i.key].strip())]

    def outcome(self) -> Outcome:
        """Work it out as it stands; UserError where it cannot be."""
        return work_out(self.calculation, self.form.values())

    def told(self, error: UserError) -> str:
        """Return a refusal with the input called what it is called on the page."""
        if not isinstance(error, RefusedInputError):
            return str(error)
        return f"{error.called(self.label(error.key))} {error.remedy}".strip()

    def refusals(self) -> dict[str, str]:
        """Return why inputs that were given cannot be used, by key."""
        found: Mapping[str, UserError] = refused_inputs(self.calculation, self.form.values())
        if not found and not self.missing():
            try:
                self.outcome()
            except RefusedInputError as error:
                found = {error.key: error} if error.key in self.form.fields else {}
            except UserError:
                # The inputs do not go together: no one of them is at fault, and the results say so.
                pass
        return {key: self.told(error) for key, error in found.items()}

    def _judge_all_but(self, armed: QWidget) -> None:
        refusals = self.refusals()
        for key, field in self.form.fields.items():
            # An empty field keeps saying that it is missing, if it was asked for.
            if field is not armed and field.value().strip():
                field.refuse(refusals.get(key, ""))

    def _hand_in(self) -> None:
        refusals = self.refusals()
        refusals |= {key: tr("{what} is missing.", what=self.label(key)) for key in self._missing()}
        self.form.refuse(refusals)
        if not refusals:
            self.done.emit()

    def last_stop(self) -> QWidget:
        """Return where the Tab key stops last."""
        inside = self.form.findChildren(QWidget)
        return [w for w in inside if w.focusPolicy() & Qt.FocusPolicy.TabFocus and w.focusProxy() is None][-1]

    def go_to_first(self) -> None:
        """Give the keyboard to the first input."""
        self.setFocus(Qt.FocusReason.TabFocusReason)
