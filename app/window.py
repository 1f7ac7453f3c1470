"""The window: which page is shown, who is at the bench, how it looks. Navigation only; the pages do the work."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal, Slot
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QMainWindow, QStackedWidget, QVBoxLayout, QWidget

from app.bench.advice_panel import TAKE_KEY, TICKET_KEY
from app.bench.page import BenchPage
from app.bench.what_if_desk import OPEN_KEY
from app.boundary import Boundary
from app.calculators.page import CalculatorsPage
from app.drawer.page import ShopPage
from app.jobs.desk import DeskPage
from app.jobs.new_job import NewJobPage
from app.jobs.unit import UnitPage
from app.keeping.exchange import ExchangePage
from app.keeping.keeper import Keeper
from app.menus import LookMenu, PeopleMenu, add_action
from app.message_line import MessageLine
from app.others import Others, told
from app.owner.page import OwnerPage
from app.people.at_bench import AtBench
from app.practice.page import PracticePage
from app.settings import Settings
from app.sheet_desk import SheetDesk
from app.shortcuts import OwnShortcuts
from app.tasks import Tasks
from core.errors import DamagedLogbookError
from core.facts import Job
from core.language import tr
from core.workshop import Changes, Workshop


class Window(QMainWindow):
    """One window on one logbook.

    Signals
    -------
    way_back_wanted(object)
        The logbook is damaged, and somebody wants to go back to a backup; the error comes with it.
    """

    way_back_wanted = Signal(object)

    def __init__(self, workshop: Workshop, settings: Settings) -> None:
        super().__init__()
        self._workshop = workshop
        self.settings = settings
        self.message = MessageLine()
        self.boundary = Boundary(self.message.say, damaged=self._damaged)
        self.tasks = Tasks(self.boundary.failed, self)
        self.keeper = Keeper(workshop, settings, self.tasks.run, self.message.say, self)
        self.sheets = SheetDesk(self, workshop, settings, self.tasks, self.message)
        self.at_bench = AtBench(workshop, settings)
        self.desk = DeskPage(workshop, self.tasks.run)
        self.new_job = NewJobPage(workshop, self.tasks.run, self._person)
        self.unit = UnitPage(workshop, self.tasks.run)
        self.bench = BenchPage(workshop, settings, run=self.tasks.run)
        self.shop = ShopPage(workshop, self._person, self.keeper)
        self.calculators = CalculatorsPage()
        self.owner = OwnerPage(workshop, self.tasks.run, self._backup_folder)
        self.exchange = ExchangePage(workshop, self.tasks.run, self._person, self._open_job, self._sheet_folder)
        self.practice = PracticePage(self.tasks.run, self._person)
        self._job_id: int | None = None
        self._warned_of: list[str] = []
        self._lay_out()
        self._menus()
        self.others = Others(workshop, self)
        self._connect()
        OwnShortcuts(self)
        self.setWindowTitle(tr("Pinionbook – {shop}", shop=workshop.shop().name or workshop.location))
        self.resize(1360, 880)

    # -- putting together ----------------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        # From the outside in: a page that changes hands has its style made anew, with all that is on it.
        whole = QWidget()
        self.setCentralWidget(whole)
        column = QVBoxLayout(whole)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self.pages = QStackedWidget()
        column.addWidget(self.at_bench)
        column.addWidget(self.pages, 1)
        column.addWidget(self.message)
        for page in (
            self.desk,
            self.new_job,
            self.unit,
            self.bench,
            self.shop,
            self.calculators,
            self.owner,
            self.exchange,
            self.practice,
        ):
            self.pages.addWidget(page)

    def _menus(self) -> None:
        # Who is at the bench stands in the bar, so the bar stands in the window on every system.
        self.menuBar().setNativeMenuBar(False)
        self._seat_name()
        go = self.menuBar().addMenu(tr("&Go to"))
        add_action(go, tr("&Desk"), "Ctrl+D", self.show_desk)
        add_action(go, tr("&Bench"), "Ctrl+B", self.show_bench)
        add_action(go, tr("&Unit: all its visits"), "Ctrl+U", self.show_unit)
        add_action(go, tr("&Shop: people, gauges, rings, spec cards"), "Ctrl+Shift+S", self.show_shop)
        add_action(go, tr("&Calculations"), "Ctrl+K", self.show_calculators)
        add_action(go, tr("&Owner's page: what waits, comebacks, charts"), "Ctrl+Shift+O", self.show_owner)
        add_action(go, tr("&Exchange: hand over, take in"), "Ctrl+Shift+E", self.show_exchange)
        add_action(go, tr("&Reading practice: what contact prints ask for"), "Ctrl+Shift+R", self.show_practice)
        go.addSeparator()
        add_action(go, tr("Close the &window"), "Ctrl+Q", self.close)
        job = self.menuBar().addMenu(tr("&Job"))
        add_action(job, tr("&New job"), "Ctrl+Shift+N", self.show_new_job)
        advice = self.bench.desks.advice
        add_action(job, tr("Make the pair advised the next &trial"), TAKE_KEY, advice.take)
        add_action(job, tr("&Bench ticket: the pair advised, or the last one"), TICKET_KEY, advice.print_ticket)
        add_action(job, tr("&What if pinion and ring gear were moved"), OPEN_KEY, self.show_what_if)
        add_action(job, tr("Build sheet, &shop's copy"), "Ctrl+P", self.make_shop_sheet)
        add_action(job, tr("Build sheet, &customer's copy"), "Ctrl+Shift+P", self.make_customer_sheet)
        add_action(job, tr("Keep build sheets &in …"), "", self.sheets.choose_folder)
        self.people_menu = PeopleMenu(self._workshop, self.settings, self.at_bench, self)
        self.look_menu = LookMenu(self.settings, self)
        self.menuBar().addMenu(self.people_menu)
        self.menuBar().addMenu(self.look_menu)
        self.addAction(self.people_menu.change)

    def _connect(self) -> None:
        self.desk.job_wanted.connect(self.open_job)
        self.desk.new_job_wanted.connect(self.show_new_job)
        self.desk.unit_wanted.connect(self.show_unit_of)
        self.unit.job_wanted.connect(self.open_job)
        self.unit.back_wanted.connect(self.show_desk)
        self.new_job.job_opened.connect(self.open_job)
        self.new_job.cancelled.connect(self.show_desk)
        self.new_job.card_wanted.connect(self.show_cards)
        self.bench.back_wanted.connect(self.show_desk)
        self.bench.unit_wanted.connect(self.show_unit_of)
        self.bench.sheet_wanted.connect(self.sheets.make_sheet)
        self.bench.desks.advice.ticket_wanted.connect(self.sheets.make_ticket)
        self.bench.desks.advice.said.connect(self.message.say)
        self.bench.desks.practice.wanted.connect(self.show_practice)
        self.bench.person_wanted.connect(self._offer_people)
        self.at_bench.changed.connect(self._person_changed)
        self.at_bench.said.connect(self._seat_name)
        self.at_bench.people_wanted.connect(self.show_people)
        self.people_menu.people_wanted.connect(self.show_people)
        self.people_menu.change.triggered.connect(self._offer_people)
        self.look_menu.changed.connect(self._theme_changed)
        self.shop.changed.connect(self.at_bench.refresh)
        self.owner.job_wanted.connect(self.open_job)
        self.owner.shelf_wanted.connect(self.show_on_shelf)
        self.exchange.taken.connect(self.at_bench.refresh)
        self.tasks.started.connect(self._working)
        self.keeper.damaged.connect(self._damaged)
        self.others.wrote.connect(self._others_wrote)

    # -- where to ------------------------------------------------------------------------------------------------

    @Slot()
    def show_desk(self) -> None:
        self._turn_to(self.desk)
        self.desk.search.setFocus()

    @Slot()
    def show_new_job(self) -> None:
        self._turn_to(self.new_job)

    @Slot()
    def show_shop(self) -> None:
        self._turn_to(self.shop)

    @Slot()
    def show_people(self) -> None:
        self._turn_to(self.shop)
        self.shop.show_section(self.shop.people)

    @Slot()
    def show_calculators(self) -> None:
        self._turn_to(self.calculators)

    @Slot()
    def show_owner(self) -> None:
        self._turn_to(self.owner)

    @Slot()
    def show_exchange(self) -> None:
        self._turn_to(self.exchange)

    @Slot()
    def show_practice(self) -> None:
        self._turn_to(self.practice)

    @Slot(str, int)
    def show_on_shelf(self, section: str, thing_id: int) -> None:
        self._turn_to(self.shop)
        self.shop.show_thing(section, thing_id)

    @Slot()
    def show_cards(self) -> None:
        self._turn_to(self.shop)
        self.shop.write_card()

    @Slot()
    def show_bench(self) -> None:
        if self._job_id is None:
            self.message.say(tr("No job is open: choose one on the desk."))
            self.show_desk()
        else:
            self.open_job(self._job_id)

    @Slot()
    def show_what_if(self) -> None:
        """Show what would come of moving the gears of the job at the bench."""
        if self.pages.currentWidget() is not self.bench:
            self.show_bench()
        self.bench.show_what_if()

    @Slot()
    def show_unit(self) -> None:
        """Show the unit of the job at the bench, or of the one chosen on the desk."""
        if self.pages.currentWidget() is self.desk:
            self.desk.want_unit()
        elif self._job_id is None:
            self.message.say(tr("No job is open: choose one on the desk."))
        else:
            self.show_unit_of(self._job_id)

    @Slot(int)
    def show_unit_of(self, job_id: int) -> None:
        self.unit.show_unit_of(job_id)
        self._turn_to(self.unit)

    @Slot(int)
    def open_job(self, job_id: int) -> None:
        self._job_id = job_id
        self.bench.show_job(job_id)
        self._turn_to(self.bench)

    def _turn_to(self, page: QWidget) -> None:
        self.pages.setCurrentWidget(page)
        if page.focusProxy() is not None:
            page.setFocus()

    def _person(self) -> str:
        return self.settings.person

    def _open_job(self) -> Job | None:
        return None if self._job_id is None else self._workshop.state(self._job_id).context.job

    def _sheet_folder(self) -> str:
        return self.settings.sheet_folder

    def _backup_folder(self) -> str:
        return self.settings.backup_folder

    @Slot(object)
    def _others_wrote(self, changes: Changes) -> None:
        """Show what another bench wrote, where it can be seen; what is typed here stays."""
        if "person" in changes.tables:
            self.at_bench.refresh()
            self.shop.person_changed()
        if self._job_id in changes.jobs:
            self.bench.look_again()
            if self.pages.currentWidget() is self.bench:
                self.message.say(told(changes, self.bench.job_number))
        refresh = getattr(self.pages.currentWidget(), "refresh", None)
        if refresh is not None:
            refresh()

    # -- who and how ---------------------------------------------------------------------------------------------

    @Slot()
    def _seat_name(self) -> None:
        # Seated anew with each name: the bar gives its corner the room of the words it was seated with.
        self.menuBar().setCornerWidget(self.at_bench.button)

    @Slot()
    def _offer_people(self) -> None:
        self.at_bench.open_panel()

    @Slot()
    def _person_changed(self) -> None:
        self.bench.person_changed()
        self.shop.person_changed()
        self.practice.person_changed()

    @Slot()
    def _theme_changed(self) -> None:
        """Draw anew what is drawn from colours."""
        self.bench.theme_changed()
        self.calculators.theme_changed()
        self.owner.theme_changed()
        self.practice.theme_changed()

    # -- paper ---------------------------------------------------------------------------------------------------

    @Slot()
    def make_shop_sheet(self) -> None:
        self._sheet_of_open_job("shop")

    @Slot()
    def make_customer_sheet(self) -> None:
        self._sheet_of_open_job("customer")

    def _sheet_of_open_job(self, copy: str) -> None:
        if self._job_id is None:
            self.message.say(tr("No job is open: choose one on the desk."))
        else:
            self.sheets.make_sheet(self._job_id, copy)

    # -- work, damage, the end ---------------------------------------------------------------------------------------

    @Slot(str)
    def _working(self, label: str) -> None:
        self.message.working(label, self._cancel_work)

    def _cancel_work(self) -> None:
        self.tasks.cancel()
        self.message.say(tr("Cancelled; nothing was handed over."))

    @Slot(object)
    def _damaged(self, error: DamagedLogbookError) -> None:
        """Say that the logbook is damaged, with the way back to a backup of it."""
        self.keeper.stop()
        sentence = tr("The logbook answered: {sentence}", sentence=str(error))
        self.message.say(sentence, True, tr("Go back to a backup …"), partial(self.way_back_wanted.emit, error))

    def closeEvent(self, event: QCloseEvent) -> None:
        """Keep what is still typed, and wait for a sheet that is being written; what cannot be kept is named first."""
        unsaved = self.bench.left_over()
        if unsaved and unsaved != self._warned_of:
            self._warned_of = unsaved
            self.message.say(
                tr("Not saved yet: {fields}. Put it right, or close once more to leave it.", fields=", ".join(unsaved)),
                is_fault=True,
            )
            event.ignore()
            return
        if not self.keeper.may_close():
            event.ignore()
            return
        self.others.close()
        self.tasks.close()
        self.boundary.remove()
        super().closeEvent(event)


def _load_figures() -> None:
    """Load what draws the figures while the desk is being read, so that the first job opens without a wait."""
    import core.sheet.figures  # noqa: F401


def _nothing(_: None) -> None:
    """Take a result nobody waits for."""


def open_window(workshop: Workshop, settings: Settings) -> Window:
    """Show a window on a logbook; whoever asks for it holds on to it."""
    window = Window(workshop, settings)
    window.boundary.install()
    window.show()
    window.show_desk()
    window.at_bench.ask_if_needed()
    window.tasks.run(_load_figures, _nothing)
    window.keeper.start()
    return window
