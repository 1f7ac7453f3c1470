"""The shop's page: what the workshop keeps, one shelf at a time."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import TypeVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QStackedWidget, QVBoxLayout, QWidget

from app.drawer.cards import CardsSection
from app.drawer.drawer_section import DrawerSection
from app.drawer.gauges import GaugesSection
from app.drawer.shop import ShopSection
from app.jobs.form import button
from app.keeping.keeper import Keeper
from app.keeping.section import BackupsSection
from app.people.section import PeopleSection
from app.people.trail import TrailSection
from app.settings import Settings
from app.theme import GRID
from app.widgets.flow import FlowLayout
from core.language import mark, tr
from core.workshop import Workshop

SECTIONS = (
    ("parts", mark("The drawer")),
    ("gauges", mark("Gauges")),
    ("cards", mark("Spec cards")),
    ("people", mark("People")),
    ("shop", mark("The shop")),
    ("trail", mark("What was done")),
    ("backups", mark("Backups")),
)

Shown = DrawerSection | GaugesSection | CardsSection | PeopleSection | ShopSection | TrailSection | BackupsSection
Section = TypeVar("Section", bound=Shown)


class ShopPage(QWidget):
    """The drawer, gauges, spec cards, people and the shop itself; each keeps what was typed while others are looked at.

    A section is built when it is first turned to: a card alone is a hundred lines to type into, and the window
    should not wait for them.
    """

    changed = Signal()

    def __init__(
        self,
        workshop: Workshop,
        person: Callable[[], str] = str,
        keeper: Keeper | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._keeper = keeper or Keeper(workshop, Settings())
        self._workshop = workshop
        self._person = person
        self._sections = QStackedWidget()
        self._chooser = QButtonGroup(self)
        self.row = QWidget()
        flow = FlowLayout(self.row, gap=0)
        for name, title in SECTIONS:
            push = button(tr(title), "stage")
            push.setObjectName(name)
            push.setCheckable(True)
            push.setAccessibleName(tr("Show: {section}", section=tr(title)))
            self._chooser.addButton(push)
            flow.addWidget(push)
        self._chooser.buttonClicked.connect(self._turn_to)
        page = QVBoxLayout(self)
        page.setContentsMargins(3 * GRID, GRID, 3 * GRID, 2 * GRID)
        page.setSpacing(3 * GRID)
        page.addWidget(self.row)
        page.addWidget(self._sections, 1)
        self.show_section(self.parts)

    @cached_property
    def parts(self) -> DrawerSection:
        """The drawer."""
        return self._built("parts", DrawerSection(self._workshop, self._person))

    @cached_property
    def gauges(self) -> GaugesSection:
        """The gauges."""
        return self._built("gauges", GaugesSection(self._workshop, self._person))

    @cached_property
    def people(self) -> PeopleSection:
        """The people."""
        return self._built("people", PeopleSection(self._workshop, self._person))

    @cached_property
    def backups(self) -> BackupsSection:
        """The backups."""
        return self._built("backups", BackupsSection(self._workshop, self._keeper, self._keeper.run))

    @cached_property
    def trail(self) -> TrailSection:
        """What was done."""
        return self._built("trail", TrailSection(self._workshop))

    @cached_property
    def cards(self) -> CardsSection:
        """The spec cards."""
        return self._built("cards", CardsSection(self._workshop, self._person))

    @cached_property
    def shop(self) -> ShopSection:
        """The shop itself."""
        return self._built("shop", ShopSection(self._workshop, self._person))

    def _built(self, name: str, section: Section) -> Section:
        section.setObjectName(name)
        section.kept.connect(self.changed)
        self._sections.addWidget(section)
        return section

    def _turn_to(self, push: QAbstractButton) -> None:
        self.show_section(getattr(self, push.objectName()))

    def show_section(self, section: QWidget) -> None:
        """Turn to one section."""
        self._sections.setCurrentWidget(section)
        for push in self._chooser.buttons():
            push.setChecked(push.objectName() == section.objectName())

    def show_thing(self, name: str, thing_id: int) -> None:
        """Turn to a section by its name, and choose the thing of this id in its list."""
        section = getattr(self, name)
        self.show_section(section)
        ids = [getattr(row, "id", None) for row in section.list.rows_model.rows]
        if thing_id in ids:
            section.list.choose(ids.index(thing_id))
        section.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def refresh(self) -> None:
        """Show the section one is on as it is now: another bench wrote. What is typed here stays."""
        shown = self._sections.currentWidget()
        if isinstance(shown, Shown):
            shown.refresh()

    def person_changed(self) -> None:
        """Show what the one who is at the bench now may do."""
        shown = self._sections.currentWidget()
        if isinstance(shown, PeopleSection | GaugesSection | ShopSection):
            shown.refresh()

    def write_card(self) -> None:
        """Turn to the spec cards with a new card begun."""
        self.show_section(self.cards)
        self.cards.begin_new()
