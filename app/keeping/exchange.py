"""The page of exchange: what is handed over to another shop, and what is taken in from one."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.jobs.form import Scrolled
from app.jobs.panes import Panes
from app.keeping.hand_over import HandOver
from app.keeping.keeper import Runner, at_once
from app.keeping.take_in import TakeIn
from app.theme import GRID
from core.facts import Job
from core.workshop import Workshop

LEAST_DIGITS = 140
"""So many digits must fit across the page before the two stand beside each other."""


def _no_job() -> Job | None:
    return None


class ExchangePage(QWidget):
    """Handing over on the left, taking in on the right."""

    taken = Signal()

    def __init__(
        self,
        workshop: Workshop,
        run: Runner = at_once,
        person: Callable[[], str] = str,
        job: Callable[[], Job | None] = _no_job,
        folder: Callable[[], str] = str,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.hand_over = HandOver(workshop, run, job, folder)
        self.take_in = TakeIn(workshop, run, person)
        self.panes = (Scrolled(self.hand_over, self.hand_over.form), Scrolled(self.take_in))
        page = QVBoxLayout(self)
        page.setContentsMargins(3 * GRID, 2 * GRID, 3 * GRID, 2 * GRID)
        page.addWidget(Panes(*self.panes, LEAST_DIGITS, wide=(2, 3), narrow=(2, 3)))
        self.setFocusProxy(self.hand_over.form.fields["what"])
        self.take_in.taken.connect(self.taken)

    def showEvent(self, event: QShowEvent) -> None:
        """Say what would be handed over now."""
        super().showEvent(event)
        self.hand_over.refresh()
