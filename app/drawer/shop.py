"""The shop itself: what stands at the head of a build sheet, and the units it works in."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.jobs.form import ChoiceField, Form, TextField, button, unsaid
from app.jobs.panes import Panes
from app.theme import GRID, give_role
from app.widgets.sentences import say
from core.errors import UserError
from core.facts import Shop
from core.language import tr
from core.workshop import Workshop

LEAST_DIGITS = 130


class ShopSection(QWidget):
    """Name, address and units of the shop."""

    kept = Signal()

    def __init__(self, workshop: Workshop, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._is_typed = False
        self.form = Form()
        self.form.add(TextField("name", tr("Name of the shop"), tr("As it should stand at the head of a build sheet.")))
        self.form.add(TextField("address", tr("Address"), tr("One line, with commas.")))
        self.form.add(
            ChoiceField(
                "units",
                tr("Units"),
                (("metric", tr("millimetres and newton-metres")), ("inch", tr("inches and pound-inches"))),
                tr("What values are shown in. Readings can be typed in either, whatever is chosen here."),
            )
        )
        self.answer = unsaid()
        self.save = button(tr("Save shop"), "main")
        pane = QWidget()
        column = QVBoxLayout(pane)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2 * GRID)
        column.addWidget(self.form)
        column.addWidget(self.answer)
        column.addWidget(self.save, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)
        page = QVBoxLayout(self)
        page.setContentsMargins(0, 0, 0, 0)
        page.addWidget(Panes(pane, QWidget(), LEAST_DIGITS, narrow=(1, 0)))
        self.form.changed.connect(self._typed)
        self.form.handed_in.connect(self._save)
        self.save.clicked.connect(self._save)

    def showEvent(self, event: QShowEvent) -> None:
        """Show the shop as it is now, unless somebody has begun to change it."""
        super().showEvent(event)
        if not self._is_typed:
            shop = self._workshop.shop()
            self.form.put({"name": shop.name, "address": ", ".join(shop.address.splitlines()), "units": shop.units})

    def _typed(self) -> None:
        self._is_typed = True
        say(self.answer, "")

    def _save(self) -> None:
        values = self.form.values()
        try:
            self._workshop.save_shop(Shop(**values))
        except UserError as error:
            self._say(str(error), "refusal")
            return
        self._is_typed = False
        self._say(tr("Saved."), "quiet")
        self.kept.emit()

    def _say(self, sentence: str, role: str) -> None:
        give_role(self.answer, role)
        say(self.answer, sentence)
