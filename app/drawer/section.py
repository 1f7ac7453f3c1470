"""One shelf of the shop: a list of what is there and, beside it, the form that adds to it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QWidget

from app.jobs.form import Field, Form, Scrolled, button, unsaid
from app.jobs.panes import Panes, form_pane, list_pane
from app.jobs.rows import Column, RowsView
from app.widgets.sentences import Reply, say
from core.errors import RuleError, UserError
from core.language import tr
from core.workshop import Workshop

LEAST_DIGITS = 130

Values = Mapping[str, str]
Reader = Callable[[Values], object]


@dataclass(frozen=True)
class Line:
    """One thing on a shelf as its row shows it, every cell already in words."""

    id: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Shelf:
    """What one shelf holds: how its rows read, which fields add to it, and who reads those fields.

    `readers` hold one reader for each field that can be refused on its own; `first` is filled in beforehand.
    """

    title: str
    empty: str
    columns: tuple[Column, ...]
    rows: Callable[[Workshop], Sequence[Line]]
    add_title: str
    add_push: str
    fields: Callable[[], Sequence[Field]]
    readers: Mapping[str, Reader]
    add: Callable[[Workshop, Values], object]
    first: Values


def cell_columns(*titles: tuple[str, bool], stretched: int = 0) -> tuple[Column, ...]:
    """Return columns over the cells of a `Line`; each title comes with whether its cells are numbers."""
    return tuple(
        Column(title, _cell(at), is_number=is_number, stretches=at == stretched)
        for at, (title, is_number) in enumerate(titles)
    )


def _cell(at: int) -> Callable[[Any], str]:
    return lambda line: str(line.cells[at])


class ShelfSection(QWidget):
    """A shelf on the page; `above` stands above the form that adds to it."""

    kept = Signal()

    def __init__(
        self, shelf: Shelf, workshop: Workshop, parent: QWidget | None = None, above: Sequence[QWidget] = ()
    ) -> None:
        super().__init__(parent)
        self._shelf = shelf
        self._workshop = workshop
        self.list = RowsView(shelf.columns, tr(shelf.title))
        self.count = unsaid()
        self.form = Form()
        self.form.add_heading(tr(shelf.add_title))
        for field in shelf.fields():
            self.form.add(field)
        self.form.put(shelf.first)
        self.answer = Reply()
        self.push = button(tr(shelf.add_push), "main")
        content = form_pane((*above, self.form, self.answer), self.push)
        panes = Panes(list_pane(self.count, self.list), Scrolled(content, self.form), LEAST_DIGITS, wide=(1, 1))
        panes.fill(self)
        self.push.clicked.connect(self._add)
        self.form.handed_in.connect(self._add)
        self.form.changed.connect(self.answer.forget)

    def showEvent(self, event: QShowEvent) -> None:
        """Show the shelf as it is now; the form keeps what was typed."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Read the shelf again."""
        lines = self._shelf.rows(self._workshop)
        self.list.show_rows(lines, attrgetter("id"))
        say(self.count, "" if lines else tr(self._shelf.empty))

    def _refusals(self, values: Values) -> dict[str, str]:
        refused = {}
        for key, read in self._shelf.readers.items():
            try:
                read(values)
            except UserError as error:
                refused[key] = str(error)
        return refused

    def _add(self) -> None:
        values = self.form.values()
        refused = self._refusals(values)
        self.form.refuse(refused)
        if refused:
            return
        try:
            self._shelf.add(self._workshop, values)
        except RuleError as error:
            # What a name by itself cannot know: that it is taken.
            self.form.refuse({next(iter(self.form.fields)): str(error)})
        except UserError as error:
            self.answer.refuse(error)
        else:
            self._added()

    def _added(self) -> None:
        first = next(iter(self.form.fields.values()))
        name = first.value()
        self.form.put(self._shelf.first)
        self.refresh()
        self.answer.tell(tr("Added: {name}.", name=name))
        first.setFocus(Qt.FocusReason.OtherFocusReason)
        self.kept.emit()
