"""The people section of the shop's page: who works here, what each may do, and one's own PIN."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.jobs.form import ChoiceField, Form, Scrolled, TextField, button, unsaid
from app.jobs.panes import Panes, form_pane, list_pane
from app.jobs.rows import Column, RowsView
from app.people.pin_line import PinEditor
from app.theme import GRID
from app.widgets.flow import FlowLayout
from app.widgets.sentences import Reply, say, words
from core.errors import ConflictError, InputError, PinError, RuleError, UserError
from core.facts import Person
from core.language import mark, tr
from core.quantities import parse
from core.workshop import Workshop

LEAST_DIGITS = 130
ROLES = (("bench", mark("works at the bench")), ("owner", mark("owner")))


def role_words(person: Person) -> str:
    """Return what somebody is in the shop."""
    return tr(dict(ROLES)[person.role]) if person.is_active else tr("works here no longer")


def signs_words(person: Person) -> str:
    """Return how somebody signs."""
    return tr("name and PIN") if person.has_pin else tr("name alone")


COLUMNS = (
    Column(mark("Name"), lambda person: str(person.name), stretches=True),
    Column(mark("Role"), role_words),
    Column(mark("Signs with"), signs_words),
)


class PinField(TextField):
    """A line for a PIN in a form; what is typed is not shown."""

    def __init__(self, key: str, label: str, help_text: str = "") -> None:
        super().__init__(key, label, help_text)
        self.editor.setEchoMode(PinEditor.EchoMode.Password)
        self.editor.setInputMethodHints(Qt.InputMethodHint.ImhDigitsOnly | Qt.InputMethodHint.ImhSensitiveData)


class OwnPin(QWidget):
    """The form in which somebody gives himself a PIN."""

    kept = Signal()

    def __init__(self, workshop: Workshop, person: Callable[[], str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop, self._person = workshop, person
        self.form = Form()
        self.form.add_heading(tr("My PIN"))
        self.form.add(PinField("old_pin", tr("Present PIN"), tr("The one you have now.")))
        self.form.add(PinField("new_pin", tr("New PIN"), tr("4 to 12 digits that nobody would try first.")))
        self.form.add(PinField("again", tr("New PIN once more"), tr("So that a slip does not lock you out.")))
        self.answer = Reply()
        self.push = button(tr("Set my PIN"))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, GRID, 0, 0)
        column.setSpacing(GRID)
        for widget in (self.form, self.answer):
            column.addWidget(widget)
        column.addWidget(self.push, 0, Qt.AlignmentFlag.AlignLeft)
        self.push.clicked.connect(self._set)
        self.form.handed_in.connect(self._set)
        self.form.changed.connect(self.answer.forget)

    def show_person(self, person: Person) -> None:
        """Ask for the present PIN only where there is one."""
        for widget in (self.form.fields["old_pin"], self.form.fields["old_pin"].label):
            widget.setVisible(person.has_pin)

    def _set(self) -> None:
        values = self.form.values()
        try:
            if values["new_pin"] and values["new_pin"] != values["again"]:
                raise InputError(tr("The two are not alike."), tr("Type the new PIN once more."))
            self._workshop.set_pin(self._person(), values["old_pin"], values["new_pin"])
        except UserError as error:
            self._refuse(error, values)
            return
        self.forget()
        self.answer.tell(tr("Your PIN is set; it is asked for when you sign and when you come to the bench."))
        self.kept.emit()

    def _refuse(self, error: UserError, values: dict[str, str]) -> None:
        if isinstance(error, PinError):
            self.form.refuse({"old_pin": str(error)})
        elif isinstance(error, InputError):
            unlike = values["new_pin"] and values["new_pin"] != values["again"]
            self.form.refuse({"again" if unlike else "new_pin": str(error)})
        else:
            self.answer.refuse(error)

    def forget(self) -> None:
        """Forget what was typed."""
        self.form.put({})
        self.answer.forget()


class ChosenPerson(QWidget):
    """One of the people: what the owner may change, and the PIN where it is one's own."""

    kept = Signal()

    def __init__(self, workshop: Workshop, person: Callable[[], str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop, self._at_bench = workshop, person
        self._shown: Person | None = None
        self.name, self.facts = words("", "heading"), words("", "quiet")
        self.role, self.reset, self.leave = button(""), button(tr("Take the PIN away")), button("")
        self.answer = Reply()
        self.own_pin = OwnPin(workshop, person)
        self._owners = QWidget()
        row = FlowLayout(self._owners)
        for push in (self.role, self.reset, self.leave):
            row.addWidget(push)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GRID)
        for widget in (self.name, self.facts, self._owners, self.answer, self.own_pin):
            column.addWidget(widget)
        self.role.clicked.connect(self._change_role)
        self.reset.clicked.connect(self._reset_pin)
        self.leave.clicked.connect(self._change_active)
        self.own_pin.kept.connect(self.kept)

    def show_person(self, person: Person | None) -> None:
        """Show somebody, or nobody."""
        is_other = person is None or self._shown is None or person.id != self._shown.id
        self._shown = person
        self.setVisible(person is not None)
        if is_other:
            self.answer.forget()
            self.own_pin.forget()
        if person is None:
            return
        is_own = person.name == self._at_bench() and person.is_active
        may_own = self._workshop.may_own(self._at_bench())
        self.name.setText(person.name)
        say(self.facts, " ".join(self._remarks(person, is_own=is_own, may_own=may_own)))
        self.role.setText(tr("Make an owner") if person.role == "bench" else tr("No longer an owner"))
        self.leave.setText(tr("Works here no longer") if person.is_active else tr("Works here again"))
        self._owners.setVisible(may_own)
        self.role.setVisible(person.is_active)
        self.reset.setVisible(person.has_pin)
        self.own_pin.setVisible(is_own)
        self.own_pin.show_person(person)

    @staticmethod
    def _remarks(person: Person, *, is_own: bool, may_own: bool) -> list[str]:
        told = []
        if not may_own:
            told.append(tr("Role, a lost PIN and leaving are for the owner to change."))
        if person.is_active and not is_own:
            told.append(tr("The PIN is set by {name} alone, once at the bench.", name=person.name))
        return told

    def _change_role(self) -> None:
        role = "owner" if self._chosen.role == "bench" else "bench"
        self._change(lambda who, by: self._workshop.change_role(who.id, role, by, seen=who.version))

    def _reset_pin(self) -> None:
        self._change(lambda who, by: self._workshop.reset_pin(who.id, by, seen=who.version))

    def _change_active(self) -> None:
        is_active = not self._chosen.is_active
        self._change(lambda who, by: self._workshop.put_active(who.id, is_active, by, seen=who.version))

    @property
    def _chosen(self) -> Person:
        if self._shown is None:
            raise LookupError("nobody is shown")
        return self._shown

    def _change(self, act: Callable[[Person, str], Person]) -> None:
        try:
            after = act(self._chosen, self._at_bench())
        except UserError as error:
            self.answer.refuse(error)
            if isinstance(error, ConflictError):
                self.kept.emit()
            return
        self.answer.tell(tr("{name}: {role}, signs with {how}.", name=after.name, role=role_words(after),
                            how=signs_words(after)))  # fmt: skip
        self.kept.emit()


class PeopleSection(QWidget):
    """Everybody who works here, or once did; beside it the chosen one, and the form that adds somebody."""

    kept = Signal()

    def __init__(self, workshop: Workshop, person: Callable[[], str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop, self._at_bench = workshop, person
        self._was_at_bench = ""
        self.list = RowsView(COLUMNS, tr("People"))
        self.count = unsaid()
        self.chosen = ChosenPerson(workshop, person)
        self.form = Form()
        self.form.add_heading(tr("Add a person"))
        self.form.add(TextField("name", tr("Name"), tr("As it should stand under a build sheet.")))
        self.form.add(ChoiceField("role", tr("Role"), [(key, tr(label)) for key, label in ROLES]))
        self.form.put({"role": "bench"})
        self.answer = Reply()
        self.push = button(tr("Add person"), "main")
        self._lay_out()
        self.list.chosen.connect(self.chosen.show_person)
        self.chosen.kept.connect(self._changed)
        self.push.clicked.connect(self._add)
        self.form.handed_in.connect(self._add)
        self.form.changed.connect(self.answer.forget)

    def _lay_out(self) -> None:
        content = form_pane((self.chosen, self.form, self.answer), self.push)
        forms = Scrolled(content, self.chosen.own_pin.form, self.form)
        Panes(list_pane(self.count, self.list), forms, LEAST_DIGITS, wide=(1, 1), narrow=(1, 2)).fill(self)

    def showEvent(self, event: QShowEvent) -> None:
        """Show the people as they are now, whoever is at the bench chosen; the forms keep what was typed."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Read the people again."""
        people = self._workshop.people()
        self.list.show_rows(people)
        if self._was_at_bench != self._at_bench():
            self._was_at_bench = self._at_bench()
            self._choose(people, self._was_at_bench)
        self.chosen.show_person(self.list.current())
        say(self.count, "" if people else tr("Nobody is entered yet. A job is signed by name, so begin with yourself."))

    def _choose(self, people: Sequence[Person], name: str) -> None:
        names = [person.name for person in people]
        if name in names:
            self.list.choose(names.index(name))

    def _changed(self) -> None:
        self.refresh()
        self.kept.emit()

    def _add(self) -> None:
        values = self.form.values()
        try:
            parse("text", values["name"])
            added = self._workshop.add_person(values["name"], values["role"], self._at_bench())
        except (InputError, RuleError) as error:
            self.form.refuse({"name": str(error)})
        except UserError as error:
            self.answer.refuse(error)
        else:
            self._added(added)

    def _added(self, person: Person) -> None:
        self.form.put({"role": "bench"})
        self.refresh()
        self._choose(self.list.rows_model.rows, person.name)
        self.answer.tell(tr("Added: {name}.", name=person.name))
        self.form.fields["name"].setFocus(Qt.FocusReason.OtherFocusReason)
        self.kept.emit()
