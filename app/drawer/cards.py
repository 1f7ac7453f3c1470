"""The spec cards of the shop: the families on the left, the card being read or written on the right."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QShortcut, QShowEvent
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QVBoxLayout, QWidget

from app.drawer.card_form import FAMILY, CardForm, CardTexts, texts_of
from app.drawer.card_history import CardHistory, CardTaking
from app.drawer.section import cell_columns
from app.jobs.form import Scrolled, button, unsaid
from app.jobs.panes import Panes
from app.jobs.rows import RowsView
from app.theme import GRID
from app.widgets.flow import FlowLayout
from app.widgets.sentences import Reply, say, words
from core.errors import UserError
from core.facts import SpecCard
from core.language import mark, tr
from core.workshop import Workshop

LEAST_DIGITS = 150

NEW = ""
"""The key typing for a card that is not kept yet stands under."""


@dataclass(frozen=True)
class CardLine:
    """One family in the list; `id` is the family, "" for a card not kept yet."""

    id: str
    cells: tuple[str, ...]


class CardsSection(QWidget):
    """Families and their cards. Typing is kept family by family until it is saved, whatever is looked at between."""

    kept = Signal()

    def __init__(self, workshop: Workshop, person: Callable[[], str] = str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._person = person
        self._cards: dict[str, SpecCard] = {}
        self._typed: dict[str, CardTexts] = {}
        self._taken_back: dict[str, CardTexts] = {}
        self._shown = NEW
        self.list = RowsView(
            cell_columns((mark("Family"), False), (mark("Revision"), True), (mark("State"), False)), tr("Spec cards")
        )
        self.count = unsaid()
        self.new = button(tr("New card"))
        self.file_in = button(tr("Take a card in from a file …"))
        self.history = CardHistory(workshop)
        self.taking = CardTaking()
        self._file = Path()
        self.card = CardForm()
        self.heading = words(role="heading")
        self.what_saving_does = unsaid()
        self.answer = Reply()
        self.save = button(tr("Save card"), "main")
        self.drop = button(tr("Take my changes back"), "plain")
        self.file_out = button(tr("Hand the card out as a file …"), "plain")
        self._lay_out()
        self._connect()
        self._show(NEW)

    def _lay_out(self) -> None:
        families, written = QWidget(), QWidget()
        left = QVBoxLayout(families)
        left.setContentsMargins(0, 0, 0, 0)
        left.setSpacing(GRID)
        left.addWidget(self.count)
        left.addWidget(self.list, 2)
        begin = QWidget()
        beginnings = FlowLayout(begin, gap=GRID)
        beginnings.addWidget(self.new)
        beginnings.addWidget(self.file_in)
        left.addWidget(begin)
        left.addWidget(self.history, 5)
        left.addWidget(self.taking, 5)
        pushes = QHBoxLayout()
        pushes.setSpacing(GRID)
        pushes.addWidget(self.save)
        pushes.addWidget(self.drop)
        pushes.addStretch(1)
        pushes.addWidget(self.file_out)
        right = QVBoxLayout(written)
        right.setContentsMargins(0, 0, 0, 0)
        right.setSpacing(GRID)
        right.addWidget(self.heading)
        right.addWidget(self.what_saving_does)
        right.addWidget(Scrolled(self.card, self.card.form), 1)
        right.addWidget(self.answer)
        right.addLayout(pushes)
        Panes(families, written, LEAST_DIGITS, wide=(2, 5), narrow=(2, 3)).fill(self)

    def _connect(self) -> None:
        self.list.chosen.connect(self._show_chosen)
        self.list.opened.connect(self._into_card)
        self.new.clicked.connect(self.begin_new)
        self.card.changed.connect(self._keep_typing)
        self.card.handed_in.connect(self._save)
        self.save.clicked.connect(self._save)
        self.drop.clicked.connect(self._take_or_bring_back)
        self.file_in.clicked.connect(self._look_at_file)
        self.file_out.clicked.connect(self._hand_out)
        self.taking.wanted.connect(self._take_in)
        self.taking.left.connect(self._leave_file)
        shortcut = QShortcut("Ctrl+S", self)
        shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        shortcut.activated.connect(self._save)

    def showEvent(self, event: QShowEvent) -> None:
        """Show the families as they are now; cards being written stay as typed."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Read the families again; a card that has a newer revision now is shown so, unless it is being written."""
        before = self._cards.get(self._shown)
        self._cards = {card.family: card for card in self._workshop.cards()}
        self._list_families()
        kept = self._cards.get(self._shown)
        if before is None or kept is None or before.revision == kept.revision:
            return
        if self._shown in self._typed:
            self._show_around(self._shown)
        else:
            self._show(self._shown)

    def _list_families(self) -> None:
        lines = [
            CardLine(family, (family, str(card.revision), tr("not saved") if family in self._typed else ""))
            for family, card in sorted(self._cards.items())
        ]
        if NEW in self._typed or (self._shown == NEW and lines):
            lines.append(CardLine(NEW, (tr("new card"), "", tr("not saved") if NEW in self._typed else "")))
        with QSignalBlocker(self.list):
            self.list.show_rows(lines, lambda line: line.id, is_first_chosen=False)
            at = next((at for at, line in enumerate(lines) if line.id == self._shown), None)
            if at is not None:
                self.list.choose(at)
        say(self.count, "" if self._cards else tr("There is no spec card yet. A job needs one: write the first here."))

    def begin_new(self) -> None:
        """Go to an empty card, or to the new one somebody has begun to write."""
        self._show(NEW)
        self._list_families()
        self.card.form.fields[FAMILY].setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_chosen(self, line: CardLine | None) -> None:
        if line is not None and line.id != self._shown:
            self._show(line.id)

    def _into_card(self, line: CardLine | None) -> None:
        if line is not None:
            self.card.form.fields[FAMILY].setFocus(Qt.FocusReason.TabFocusReason)

    def _show(self, family: str) -> None:
        self._shown = family
        kept = self._cards.get(family)
        self.card.fill(self._typed.get(family) or (texts_of(kept) if kept else CardTexts()))
        self.answer.forget()
        self._show_around(family)

    def _show_around(self, family: str) -> None:
        """Show what stands around the card: which revision is in force, what can be done, what went before."""
        kept = self._cards.get(family)
        say(self.heading, tr("Card {family}", family=family) if family else tr("New card"))
        say(
            self.what_saving_does,
            tr(
                "Revision {now} is in force. Saving makes revision {next}; jobs already open stay with theirs.",
                now=kept.revision,
                next=kept.revision + 1,
            )
            if kept
            else tr("A bare number is taken in the unit that stands behind it; any other unit can be typed."),
        )
        self._name_drop()
        self.file_out.setVisible(kept is not None)
        if not self.taking.isVisibleTo(self):
            self.history.show_family(family)

    def _keep_typing(self) -> None:
        is_first = self._shown not in self._typed
        self._typed[self._shown] = self.card.texts()
        self._taken_back.pop(self._shown, None)
        self.answer.forget()
        self._name_drop()
        if is_first:
            self._list_families()

    def _take_or_bring_back(self) -> None:
        """Show the card as it is kept; pushed again before anything is typed, bring the typing back."""
        if self._shown in self._typed:
            self._taken_back[self._shown] = self._typed.pop(self._shown)
        else:
            self._typed[self._shown] = self._taken_back.pop(self._shown)
        self._show(self._shown)
        self._list_families()

    def _name_drop(self) -> None:
        is_typed = self._shown in self._typed
        self.drop.setText(tr("Take my changes back") if is_typed else tr("Bring my changes back"))
        self.drop.setVisible(is_typed or self._shown in self._taken_back)

    def _save(self) -> None:
        taken = self._another_card_of_that_name()
        if taken:
            sentence = tr(
                "There is a card {family} already: choose it in the list to write its next revision.", family=taken
            )
            self.card.form.refuse({FAMILY: sentence})
            return
        try:
            card = self.card.save(self._workshop, self._person())
        except UserError as error:
            self.answer.refuse(error)
            return
        if card is None:
            self.answer.refuse(tr("Not saved: see the sentences in the card."))
            return
        self._typed.pop(self._shown, None)
        self._cards = {kept.family: kept for kept in self._workshop.cards()}
        self._show(card.family)
        self._list_families()
        self.answer.tell(tr("Saved as revision {revision}.", revision=card.revision))
        self.kept.emit()

    # -- files -----------------------------------------------------------------------------------------------------

    def _hand_out(self) -> None:
        """Write the card as it is kept into a file."""
        if self._shown in self._typed:
            self.answer.refuse(tr("Not saved yet: save the card, or take your changes back, then hand it out."))
            return
        try:
            # Asked before anybody chooses a place for nothing.
            self._workshop.card_as_file(self._shown)
            chosen = self.ask_target(f"{self._shown}.json")
            path = self._workshop.export_card(self._shown, Path(chosen)) if chosen else None
        except UserError as error:
            self.answer.refuse(error)
            return
        if path is not None:
            self.answer.tell(tr("The card is in {path}.", path=path))

    def _look_at_file(self) -> None:
        """Show what a card from a file would change; nothing is taken in yet."""
        chosen = self.ask_file()
        if not chosen:
            return
        self._file = Path(chosen)
        try:
            taken = self._workshop.preview_card(self._file)
        except UserError as error:
            self.answer.refuse(error)
            return
        self.answer.forget()
        self.history.hide()
        self.taking.show_taken(self._file.name, taken)

    def _take_in(self) -> None:
        try:
            taken = self._workshop.import_card(self._file, self._person())
        except UserError as error:
            say(self.taking.answer, str(error))
            return
        self.taking.hide()
        self._cards = {kept.family: kept for kept in self._workshop.cards()}
        self._show(taken.family)
        self._list_families()
        if taken.card is not None:
            self.answer.tell(tr("Taken in as revision {revision}.", revision=taken.card.revision))
            self.kept.emit()

    def _leave_file(self) -> None:
        self.taking.hide()
        self.history.show_family(self._shown)
        self.file_in.setFocus(Qt.FocusReason.OtherFocusReason)

    def ask_file(self) -> str:
        """Ask for the file of a card; "" where none was chosen."""
        return QFileDialog.getOpenFileName(self, tr("Take a card in from"), "", tr("Spec cards (*.json)"))[0]

    def ask_target(self, name: str) -> str:
        """Ask where a card is written; "" where no place was chosen."""
        return QFileDialog.getSaveFileName(self, tr("Write the card into"), name, tr("Spec cards (*.json)"))[0]

    def _another_card_of_that_name(self) -> str:
        typed = " ".join(self.card.texts().family.split()).casefold()
        return next((f for f in self._cards if f != self._shown and f.casefold() == typed), "")
