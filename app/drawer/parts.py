"""One piece of the drawer: what is known of it and what can be done with it; and the form that adds another."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QPushButton, QRadioButton, QVBoxLayout, QWidget

from app.drawer.part_forms import ACTS, ADD_READERS, FIRST, Act, add, add_fields, asks_where_it_fits, refusals
from app.drawer.part_rows import MOVE_COLUMNS, move_lines, part_facts, warning
from app.jobs.form import Form, button, unsaid
from app.jobs.rows import RowsView
from app.theme import GRID
from app.widgets.flow import FlowLayout
from app.widgets.sentences import Reply, say, words
from core.errors import UserError
from core.facts import Part
from core.language import tr
from core.quantities import unit_for
from core.workshop import Workshop

MOVES_SHOWN = 8


class ActForm(QWidget):
    """The form of one act, below the buttons; Escape puts it away."""

    done = Signal(object)
    refused = Signal()
    closed = Signal()

    def __init__(self, act: Act, part: Part, workshop: Workshop, person: Callable[[], str]) -> None:
        super().__init__()
        self.act, self._part, self._workshop, self._person = act, part, workshop, person
        self._is_refused = False
        self.form = Form()
        fields, first = act.fields(workshop, part)
        for field in fields:
            self.form.add(field)
        self.form.put(first)
        self.answer = Reply()
        self.push = button(tr(act.push), "main")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GRID)
        column.addWidget(self.form)
        column.addWidget(self.answer)
        column.addWidget(self.push, 0, Qt.AlignmentFlag.AlignLeft)
        self.push.clicked.connect(self._do)
        self.form.handed_in.connect(self._do)
        self.form.changed.connect(self.answer.forget)

    def first(self) -> QWidget:
        """Return where typing begins."""
        return next(iter(self.form.fields.values()), self.push)

    def show_part(self, part: Part) -> None:
        """Go on with the part as it is now, once a refusal said what became of it; what was typed stays.

        Until then the part as it was when the form was opened is what somebody writes about: what another bench did
        meanwhile must be named to him, not passed over.
        """
        if self._is_refused:
            self._is_refused, self._part = False, part

    def _do(self) -> None:
        values = self.form.values()
        refused = self.act.refusals(values, self._part)
        self.form.refuse(refused)
        if refused:
            return
        try:
            after = self.act.do(self._workshop, self._part, values, self._person())
        except UserError as error:
            self.answer.refuse(error)
            self._is_refused = True
            self.refused.emit()
        else:
            self.done.emit(after)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)


class ChosenPart(QWidget):
    """One part: what is known of it, what can be done with it, and where its pieces went."""

    kept = Signal()
    looked_again = Signal()
    form_shown = Signal(object)

    def __init__(self, workshop: Workshop, person: Callable[[], str]) -> None:
        super().__init__()
        self._workshop, self._person = workshop, person
        self._shown: Part | None = None
        self.open: ActForm | None = None
        self.name, self.facts, self.warning = words("", "heading"), words("", "body"), unsaid("body")
        self.warning.setProperty("tone", "uncertain")
        self.answer = Reply()
        self.pushes: dict[str, QPushButton] = {}
        self._row = QWidget()
        row = FlowLayout(self._row)
        for act in ACTS:
            push = button(tr(act.title))
            push.clicked.connect(partial(self.begin, act))
            row.addWidget(push)
            self.pushes[act.key] = push
        self._form = QVBoxLayout()
        self.moves_title = words(tr("Where its pieces went"), "strong")
        self.moves = RowsView(MOVE_COLUMNS, tr("Moves of the chosen piece"))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, GRID, GRID)
        column.setSpacing(GRID)
        for widget in (self.name, self.facts, self.warning, self._row):
            column.addWidget(widget)
        column.addLayout(self._form)
        for widget in (self.answer, self.moves_title, self.moves):
            column.addWidget(widget)
        # What a form leaves behind when it goes must not pull the sentences apart.
        column.addStretch(1)

    def show_part(self, part: Part | None) -> None:
        """Show a part, or none; what is being typed about it stays."""
        is_other = part is None or self._shown is None or part.id != self._shown.id
        self._shown = part
        self.setVisible(part is not None)
        if is_other:
            self.put_away()
            self.answer.forget()
        if part is None:
            return
        if self.open is not None:
            self.open.show_part(part)
        unit = unit_for("length", self._workshop.shop().units).id
        self.name.setText(part.called)
        self.facts.setText(" ".join(part_facts(part, unit)))
        say(self.warning, warning(part, unit))
        self.pushes["retire"].setVisible(not part.is_retired)
        self._show_moves(part)

    def _show_moves(self, part: Part) -> None:
        lines = move_lines(self._workshop.moves(part.id))
        self.moves.show_rows(lines, is_first_chosen=False)
        head, row = self.moves.horizontalHeader(), self.moves.verticalHeader().defaultSectionSize()
        self.moves.setFixedHeight(head.sizeHint().height() + row * min(max(len(lines), 1), MOVES_SHOWN) + 2 * GRID)

    def begin(self, act: Act) -> None:
        """Open the form of an act; pushed again, its button puts it away."""
        if self._shown is None:
            return
        was_open = self.open.act if self.open is not None else None
        self.put_away()
        self.answer.forget()
        if was_open is act:
            return
        form = ActForm(act, self._shown, self._workshop, self._person)
        form.done.connect(self._done)
        form.refused.connect(self.looked_again)
        form.closed.connect(self._closed)
        self._form.addWidget(form)
        self.open = form
        self.form_shown.emit(form.form)
        self._order_tabs(form)
        form.first().setFocus(Qt.FocusReason.OtherFocusReason)

    def _order_tabs(self, form: ActForm) -> None:
        before: QWidget = self.pushes["retire"]
        chain = [*form.form.findChildren(QLineEdit), form.push]
        radios = form.form.findChildren(QRadioButton)
        for following in (*radios, *chain, self.moves):
            QWidget.setTabOrder(before, following)
            before = following

    def is_writing(self, part: Part) -> bool:
        """Whether a form about this part is open."""
        return self.open is not None and self._shown is not None and self._shown.id == part.id

    def put_away(self) -> None:
        """Close the form that is open."""
        form, self.open = self.open, None
        if form is not None:
            self._form.removeWidget(form)
            form.hide()
            form.deleteLater()

    def _closed(self) -> None:
        key = self.open.act.key if self.open is not None else "receive"
        self.put_away()
        self.pushes[key].setFocus(Qt.FocusReason.OtherFocusReason)

    def _done(self, part: Part) -> None:
        key = self.open.act.key if self.open is not None else "receive"
        self.put_away()
        self.kept.emit()
        self.answer.tell(tr("Kept: {piece}, {count} free.", piece=part.called, count=part.count))
        self.pushes[key].setFocus(Qt.FocusReason.OtherFocusReason)


class AddPart(QWidget):
    """The form that puts a new part into the drawer."""

    added = Signal(object)

    def __init__(self, workshop: Workshop, person: Callable[[], str]) -> None:
        super().__init__()
        self._workshop, self._person = workshop, person
        self.form = Form()
        self.form.add_heading(tr("Add to the drawer"))
        for field in add_fields(workshop):
            self.form.add(field)
        self.form.put(FIRST)
        self.answer = Reply()
        self.push = button(tr("Add it"), "main")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, GRID, GRID)
        column.setSpacing(2 * GRID)
        column.addWidget(self.form)
        column.addWidget(self.answer)
        column.addWidget(self.push, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)
        self.push.clicked.connect(self._add)
        self.form.handed_in.connect(self._add)
        self.form.changed.connect(self.answer.forget)
        self.form.changed.connect(self._show_fits)
        self._show_fits()

    def _show_fits(self) -> None:
        """Ask where it fits of a shim only; what was said of one is forgotten with it."""
        fits, is_asked = self.form.fields["fits"], asks_where_it_fits(self.form.fields["kind"].value())
        if not is_asked:
            fits.put("")
        for widget in (fits.label, fits):
            widget.setVisible(is_asked)

    def _add(self) -> None:
        values = self.form.values()
        refused = refusals(ADD_READERS, values)
        self.form.refuse(refused)
        if refused:
            return
        try:
            part = add(self._workshop, values, self._person())
        except UserError as error:
            self.answer.refuse(error)
            return
        # The next one is most often of the same kind.
        self.form.put({**FIRST, "kind": values["kind"], "fits": values["fits"]})
        self.added.emit(part)
        self.answer.tell(tr("Added: {name}.", name=part.called))
        self.form.fields["place"].setFocus(Qt.FocusReason.OtherFocusReason)
