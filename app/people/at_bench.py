"""Who is at the bench: said in the menu bar, above every page, and changed in the panel below it."""

from __future__ import annotations

from itertools import pairwise
from typing import Protocol

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from shiboken6 import isValid

from app import theme
from app.jobs.form import button
from app.people.pin_line import PinLine
from app.widgets.editors import ChoiceEditor
from app.widgets.sentences import say, words
from core.errors import PinError, UserError
from core.facts import Person
from core.language import mark, tr
from core.stages.entry import Choice
from core.workshop import Workshop

NOBODY = ""
# No name may be empty, so nobody's key in the row of names can be told from everybody's.
NOBODY_KEY = "\x00"


class PersonSetting(Protocol):
    """Where it is remembered who was at this bench."""

    person: str

    def save(self) -> None:
        """Keep it."""


class AtBench(QWidget):
    """The names to choose from, while somebody else comes to the bench; `button` says who is there.

    Who has a PIN gives it when coming to the bench; that holds too for who was there when the program was closed.

    Signals
    -------
    changed()
        Somebody else is at the bench now, or nobody.
    said()
        The words on the button may be others now.
    people_wanted()
        Nobody is entered yet; people are to be added.
    """

    changed = Signal()
    said = Signal()
    people_wanted = Signal()

    def __init__(self, workshop: Workshop, settings: PersonSetting, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop, self._settings = workshop, settings
        self._people: dict[str, Person] = {}
        self._came_from: QWidget | None = None
        self.button = button("", "plain")
        self.names = ChoiceEditor([Choice(NOBODY_KEY, mark("nobody"))])
        self.pin = PinLine(tr("Come to the bench"))
        self.refusal = words("", "refusal")
        self.close_button = button(tr("Leave it as it is"), "plain")
        self._lay_out()
        self._connect()
        self.refresh()
        self._waits_for = self._take_away_who_has_a_pin()

    def _lay_out(self) -> None:
        inner = QVBoxLayout(self)
        inner.setContentsMargins(2 * theme.GRID, theme.GRID, 2 * theme.GRID, theme.GRID)
        inner.setSpacing(theme.GRID)
        inner.addWidget(words(tr("Who is at the bench?"), "strong"))
        inner.addWidget(self.names)
        inner.addWidget(self.pin)
        inner.addWidget(self.refusal)
        inner.addWidget(self.close_button, 0, Qt.AlignmentFlag.AlignLeft)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        theme.give_role(self, "band")
        self.hide()

    def _connect(self) -> None:
        self.button.clicked.connect(self._pressed)
        self.pin.given.connect(self._take)
        self.pin.given_up.connect(self.close_panel)
        self.close_button.clicked.connect(self.close_panel)
        for widget in (self.button, self.close_button, *self.pin.focusables()):
            # Coming here from a field must not store what is half typed there under the wrong name.
            widget.setProperty("keeps_draft", True)

    # -- what is said ----------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Read who works here; who does not any more is not at the bench either."""
        everybody = self._workshop.people()
        self._people = {person.name: person for person in everybody if person.is_active}
        if everybody and self._settings.person not in (NOBODY, *self._people):
            self._put(NOBODY)
        self.button.setText(self._who_is_there(is_empty=not everybody))
        self.said.emit()

    def _who_is_there(self, *, is_empty: bool) -> str:
        if self._settings.person:
            return tr("At the bench: {name}", name=self._settings.person)
        return tr("Add the people who work here") if is_empty else tr("Say who is at the bench")

    def _take_away_who_has_a_pin(self) -> str:
        """Let nobody be at the bench by having been there last; return whose PIN is to be asked for."""
        last = self._people.get(self._settings.person)
        if last is None or not last.has_pin:
            return NOBODY
        # Only here, not in the file: until somebody comes, it is still known who was there last.
        self._settings.person = NOBODY
        self.refresh()
        return last.name

    def ask_if_needed(self) -> None:
        """Ask for the PIN of who was at this bench last."""
        if self._waits_for:
            self.open_panel(self._waits_for)

    # -- changing it -----------------------------------------------------------------------------------------------

    def _pressed(self) -> None:
        if self._people:
            self.open_panel()
        else:
            self.people_wanted.emit()

    def open_panel(self, name: str = "") -> None:
        """Offer the names, one of them chosen: that one, or who is there now."""
        self.refresh()
        self._came_from = QApplication.focusWidget()
        self._offer(name or self._settings.person or next(iter(self._people), NOBODY))
        self.show()
        asked = self.pin if self.pin.isVisibleTo(self) else self.names
        asked.setFocus(Qt.FocusReason.OtherFocusReason)

    def choose(self, name: str) -> None:
        """Let somebody come to the bench; who has a PIN is asked for it."""
        self.open_panel(name)
        if not self.pin.isVisibleTo(self):
            self._take()

    def _offer(self, chosen: str) -> None:
        old = self.names
        choices = [Choice(name, name) for name in self._people]
        self.names = ChoiceEditor([*choices, Choice(NOBODY_KEY, mark("nobody"))])
        self.names.set_name(tr("At the bench"))
        for push in self.names.buttons:
            push.setProperty("keeps_draft", True)
        self.names.set_text(chosen or NOBODY_KEY)
        self.names.edited.connect(self._show_pin)
        self.names.entered.connect(self._go_on)
        self.names.clicked.connect(self._go_on)
        self.names.escaped.connect(self.close_panel)
        layout = self.layout()
        if layout is not None:
            layout.replaceWidget(old, self.names)
        old.hide()
        old.deleteLater()
        stops = [*self.names.focusables(), *self.pin.focusables(), self.close_button]
        for stop, following in pairwise(stops):
            QWidget.setTabOrder(stop, following)
        self._show_pin()

    def _chosen(self) -> str:
        chosen = self.names.text()
        return NOBODY if chosen == NOBODY_KEY else chosen

    def _show_pin(self) -> None:
        """Ask for a PIN where the chosen one has one and is not there already."""
        say(self.refusal, "")
        person = self._people.get(self._chosen())
        if person is None or not person.has_pin or person.name == self._settings.person:
            self.pin.put_away()
        else:
            self.pin.ask(person.name)

    def _go_on(self) -> None:
        if self.pin.isVisibleTo(self):
            self.pin.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self._take()

    def _take(self) -> None:
        name = self._chosen()
        try:
            if name and name != self._settings.person:
                self._workshop.come_to_bench(name, self.pin.text())
        except PinError as error:
            # Somebody may have been given a PIN since the names were read.
            self.pin.ask(name)
            self.pin.refuse(error)
        except UserError as error:
            say(self.refusal, str(error))
        else:
            self._put(name)
            self.close_panel()

    def _put(self, name: str) -> None:
        self._waits_for = NOBODY
        self._settings.person = name
        self._settings.save()
        self.refresh()
        self.changed.emit()

    def close_panel(self) -> None:
        """Put the names away and go back to where one came from."""
        self.pin.put_away()
        self.hide()
        if self._came_from is not None and isValid(self._came_from) and self._came_from.isVisible():
            self._came_from.setFocus(Qt.FocusReason.OtherFocusReason)
        self._came_from = None
