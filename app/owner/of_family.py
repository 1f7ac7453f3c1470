"""A section of the owner's page that is about one casing family, which is chosen above it by keyboard."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Generic, TypeVar

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QRadioButton, QVBoxLayout, QWidget

from app.jobs.form import ChoiceField, Form
from app.jobs.latest import Latest, Run
from app.jobs.panes import Panes
from app.theme import GRID
from app.widgets.abstract import AbstractWidget
from app.widgets.sentences import say, words
from core.language import tr
from core.workshop import Workshop


@dataclass(frozen=True)
class Read:
    """What was read for a section: the families with their signed jobs, which one is chosen, the shop's units."""

    families: Mapping[str, int]
    family: str
    units: str


AnyRead = TypeVar("AnyRead", bound=Read)


class FamilySection(QWidget, Generic[AnyRead], metaclass=AbstractWidget):
    """The choice of a family, and under it what is shown of the one that is chosen."""

    def __init__(self, workshop: Workshop, run: Run, nothing_read: AnyRead, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._ask = Latest(run)
        self._read = nothing_read
        self.nothing = words(tr("Looking through the signed jobs …"), "body")
        self.form = Form()

    @abstractmethod
    def _look(self, family: str) -> AnyRead:
        """Collect what is to be shown of a family, or of the first there is; runs off the window's thread."""

    @property
    @abstractmethod
    def _no_job_words(self) -> str:
        """What is said while no job is signed."""

    @property
    @abstractmethod
    def _stops(self) -> tuple[QWidget, ...]:
        """What the Tab key goes through after the choices, in order."""

    @abstractmethod
    def _tell(self) -> None:
        """Show what was read."""

    def _add_choices(self, form: Form, before: Mapping[str, str]) -> None:
        """Add further choices under that of the family; `before` is what was chosen so far."""

    def _fill(self, panes: Panes) -> None:
        """Put the choice of the family above what is shown of it."""
        self.panes = panes
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(2 * GRID)
        self._column.addWidget(self.nothing)
        self._column.addWidget(self.form)
        self._column.addWidget(self.panes, 1)
        self._column.addStretch(0)
        self.form.hide()
        self.panes.hide()

    def refresh(self) -> None:
        """Read the signed jobs again; what was chosen stays chosen."""
        self._choose(self._read.family)

    def _choose(self, family: str) -> None:
        self._ask.ask(lambda: self._look(family), self._show)

    @staticmethod
    def _chosen_of(families: Mapping[str, int], family: str) -> str:
        """Return a family, or the first there is where that one has no signed job (any more)."""
        return family if family in families else next(iter(families), "")

    def _show(self, read: AnyRead) -> None:
        is_new = dict(read.families) != dict(self._read.families)
        self._read = read
        if is_new:
            self._offer()
        say(self.nothing, "" if read.families else self._no_job_words)
        self.form.setVisible(bool(read.families))
        self.panes.setVisible(bool(read.families))
        self._tell()

    def _offer(self) -> None:
        """Offer other families; the other choices and the keyboard stay where they were."""
        before, had_keyboard = self.form.values(), self.form.isAncestorOf(self.focusWidget() or self)
        made = Form()
        if self._read.family:
            families = [
                (name, tr("{family} ({count})", family=name, count=count))
                for name, count in self._read.families.items()
            ]
            made.add(ChoiceField("family", tr("Casing family"), families))
            made.fields["family"].put(self._read.family)
            self._add_choices(made, before)
            made.fields["family"].changed.connect(self._choose_another)
            made.handed_in.connect(self._into_first)
        self._column.replaceWidget(self.form, made)
        self.form.hide()
        self.form.deleteLater()
        self.form = made
        if made.fields:
            # Tab goes as the eye does, whenever the choices were made.
            stops = (made.findChildren(QRadioButton)[-1], *self._stops)
            for stop, following in pairwise(stops):
                QWidget.setTabOrder(stop, following)
            self.setFocusProxy(made.fields["family"])
            if had_keyboard:
                made.fields["family"].setFocus(Qt.FocusReason.OtherFocusReason)

    def _choose_another(self) -> None:
        self._choose(self.form.fields["family"].value())

    def _into_first(self) -> None:
        self._stops[0].setFocus(Qt.FocusReason.TabFocusReason)
