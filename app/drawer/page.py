"""The shop's page: what the workshop keeps, one shelf at a time."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QButtonGroup, QStackedWidget, QVBoxLayout, QWidget

from app.drawer.cards import CardsSection
from app.drawer.section import ShelfSection
from app.drawer.shelves import GAUGES, PEOPLE, RINGS
from app.drawer.shop import ShopSection
from app.jobs.form import button
from app.theme import GRID
from app.widgets.flow import FlowLayout
from core.language import tr
from core.workshop import Workshop


class ShopPage(QWidget):
    """Rings, gauges, spec cards, people and the shop itself; each keeps what was typed while others are looked at."""

    changed = Signal()

    def __init__(self, workshop: Workshop, person: Callable[[], str] = str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.cards = CardsSection(workshop, person)
        self.shop = ShopSection(workshop)
        self.rings, self.gauges, self.people = (ShelfSection(shelf, workshop) for shelf in (RINGS, GAUGES, PEOPLE))
        self._sections = QStackedWidget()
        self._chooser = QButtonGroup(self)
        self.row = QWidget()
        flow = FlowLayout(self.row, gap=0)
        for words, section in (
            (tr("Rings in the drawer"), self.rings),
            (tr("Gauges"), self.gauges),
            (tr("Spec cards"), self.cards),
            (tr("People"), self.people),
            (tr("The shop"), self.shop),
        ):
            push = button(words, "stage")
            push.setCheckable(True)
            push.setAccessibleName(tr("Show: {section}", section=words))
            self._chooser.addButton(push, self._sections.addWidget(section))
            flow.addWidget(push)
        self._chooser.idClicked.connect(self._sections.setCurrentIndex)
        page = QVBoxLayout(self)
        page.setContentsMargins(3 * GRID, GRID, 3 * GRID, 2 * GRID)
        page.setSpacing(3 * GRID)
        page.addWidget(self.row)
        page.addWidget(self._sections, 1)
        for section in (self.rings, self.gauges, self.people):
            section.added.connect(self.changed)
        self.cards.card_saved.connect(self.changed)
        self.shop.shop_saved.connect(self.changed)
        self.show_section(self.rings)

    def show_section(self, section: QWidget) -> None:
        """Turn to one section."""
        self._sections.setCurrentWidget(section)
        self._chooser.button(self._sections.indexOf(section)).setChecked(True)

    def write_card(self) -> None:
        """Turn to the spec cards with a new card begun."""
        self.show_section(self.cards)
        self.cards.begin_new()
