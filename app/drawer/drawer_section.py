"""The drawer on the shop's page: the list, the chosen piece beside it, and what is to be ordered."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QGuiApplication, QShowEvent
from PySide6.QtWidgets import QButtonGroup, QRadioButton, QVBoxLayout, QWidget

from app.drawer.part_rows import PART_COLUMNS, PartLine, part_lines
from app.drawer.parts import AddPart, ChosenPart
from app.jobs.form import Scrolled, button, line_editor, unsaid
from app.jobs.panes import Panes
from app.jobs.rows import RowsView
from app.theme import GRID
from app.widgets.flow import FlowLayout
from app.widgets.sentences import say
from core.facts import Part
from core.language import mark, tr
from core.quantities import unit_for
from core.workshop import Workshop

LEAST_DIGITS = 150
ALL, TO_ORDER = "all", "to_order"

SHELVES = {
    ALL: mark("all"),
    "ring": mark("rings"),
    "shim": mark("shims"),
    "spacer": mark("spacers"),
    "seal": mark("seals"),
    "bearing": mark("bearings"),
    TO_ORDER: mark("to order"),
}
"""What of the drawer may be looked at."""


class DrawerSection(QWidget):
    """Rings, shims, spacers, seals and bearings, one list; kind and words narrow it down."""

    kept = Signal()

    def __init__(self, workshop: Workshop, person: Callable[[], str] = str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._parts: list[Part] = []
        self.shelves: dict[str, QRadioButton] = {}
        self._chooser = QButtonGroup(self)
        self.search = line_editor("find_part", tr("Find a piece"))
        self.search.setPlaceholderText(tr("Find by name, place or size"))
        self.list = RowsView(PART_COLUMNS, tr("Pieces in the drawer"))
        self.count, self.answer = unsaid(), unsaid()
        self.begin_add = button(tr("Add to the drawer"))
        self.copy = button(tr("Copy the order list"))
        self.chosen, self.adding = ChosenPart(workshop, person), AddPart(workshop, person)
        self._lay_out()
        self._connect()
        self._show_adding(is_shown=False)

    def _lay_out(self) -> None:
        shelf, kinds, pushes, right = QWidget(), QWidget(), QWidget(), QWidget()
        row = FlowLayout(kinds, gap=GRID // 2)
        for key, label in SHELVES.items():
            radio = QRadioButton(tr(label))
            radio.setAccessibleName(tr("Show: {what}", what=tr(label)))
            self._chooser.addButton(radio)
            row.addWidget(radio)
            self.shelves[key] = radio
        self.shelves[ALL].setChecked(True)
        below = FlowLayout(pushes)
        for push in (self.begin_add, self.copy):
            below.addWidget(push)
        left = QVBoxLayout(shelf)
        left.setContentsMargins(0, 0, 0, 0)
        left.setSpacing(GRID)
        for widget in (kinds, self.search, self.count):
            left.addWidget(widget)
        left.addWidget(self.list, 1)
        left.addWidget(self.answer)
        left.addWidget(pushes)
        column = QVBoxLayout(right)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.chosen)
        column.addWidget(self.adding)
        column.addStretch(1)
        self._scrolled = Scrolled(right, self.adding.form)
        Panes(shelf, self._scrolled, LEAST_DIGITS, wide=(6, 5), narrow=(3, 2)).fill(self)

    def _connect(self) -> None:
        self._chooser.buttonClicked.connect(self._narrow)
        self.search.textChanged.connect(self._narrow)
        self.list.chosen.connect(self._show_chosen)
        self.list.opened.connect(self._into_chosen)
        self.begin_add.clicked.connect(self.add)
        self.copy.clicked.connect(self._copy)
        self.chosen.kept.connect(self._changed)
        self.chosen.looked_again.connect(self.refresh)
        self.chosen.form_shown.connect(self._scrolled.follow)
        self.adding.added.connect(self._added)

    # -- showing -------------------------------------------------------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        """Show the drawer as it is now; what is being typed stays."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Read the drawer again."""
        # What is kept no longer is shown only as long as pieces of it lie there, or somebody is writing about it.
        self._parts = [
            part for part in self._workshop.parts() if part.count or not part.is_retired or self.chosen.is_writing(part)
        ]
        lacking = sum(part.to_order > 0 for part in self._parts)
        self.shelves[TO_ORDER].setText(tr("to order: {count}", count=lacking))
        self._narrow()

    def _narrow(self) -> None:
        shelf = next(key for key, radio in self.shelves.items() if radio.isChecked())
        unit = unit_for("length", self._workshop.shop().units).id
        wanted = self.search.text().casefold().split()
        lines = [line for line in part_lines(self._parts, unit) if _is_on(shelf, line.part) and _holds(line, wanted)]
        self.list.show_rows(lines, lambda line: line.id)
        self._show_chosen(self.list.current())
        self.copy.setVisible(shelf == TO_ORDER)
        say(self.answer, "")
        say(self.count, "" if lines else self._why_nothing(shelf))

    def _why_nothing(self, shelf: str) -> str:
        if not self._parts:
            return tr("The drawer is empty. Advice can only name rings that are listed here.")
        if shelf == TO_ORDER and not self.search.text().strip():
            return tr("Nothing lies below its level.")
        return tr("Nothing in the drawer is called so.")

    def _show_chosen(self, line: PartLine | None) -> None:
        self.chosen.show_part(None if line is None else line.part)
        if line is None and not self._parts:
            self._show_adding(is_shown=True)
        elif self.adding.isVisibleTo(self):
            self.chosen.hide()

    def _show_adding(self, *, is_shown: bool) -> None:
        self.adding.setVisible(is_shown)
        self.chosen.setVisible(not is_shown and self.list.current() is not None)
        self.begin_add.setText(tr("Back to the chosen piece") if is_shown else tr("Add to the drawer"))

    def _into_chosen(self, line: PartLine | None) -> None:
        if line is not None:
            self._show_adding(is_shown=False)
            self.chosen.pushes["receive"].setFocus(Qt.FocusReason.TabFocusReason)

    # -- doing ---------------------------------------------------------------------------------------------------

    def add(self) -> None:
        """Turn to the form that adds, or back to the chosen piece; what was typed stays."""
        is_shown = not self.adding.isVisibleTo(self)
        self._show_adding(is_shown=is_shown)
        if is_shown:
            self.adding.form.fields["place"].setFocus(Qt.FocusReason.OtherFocusReason)

    def _copy(self) -> None:
        QGuiApplication.clipboard().setText(self._workshop.order_text())
        say(
            self.answer,
            tr("The order list is on the clipboard: {count} lines.", count=len(self._workshop.order_list())),
        )

    def _changed(self) -> None:
        self.refresh()
        self.kept.emit()

    def _added(self, part: Part) -> None:
        with QSignalBlocker(self.search):
            self.search.clear()
        self.shelves[ALL].setChecked(True)
        self.refresh()
        ids = [line.id for line in self.list.rows_model.rows]
        with QSignalBlocker(self.list):
            self.list.choose(ids.index(part.id))
        self.chosen.show_part(part)
        self.chosen.hide()
        self.kept.emit()


def _is_on(shelf: str, part: Part) -> bool:
    return shelf == ALL or (part.to_order > 0 if shelf == TO_ORDER else part.kind == shelf)


def _holds(line: PartLine, wanted: list[str]) -> bool:
    text = " ".join(line.cells[:6]).casefold()
    return all(word in text for word in wanted)
