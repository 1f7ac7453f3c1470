"""The window: which page is shown, who is at the bench, how it looks. Navigation only; the pages do the work."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QUrl, Signal, Slot
from PySide6.QtGui import QAction, QActionGroup, QCloseEvent, QDesktopServices, QKeySequence
from PySide6.QtWidgets import QApplication, QFileDialog, QMainWindow, QMenu, QStackedWidget, QVBoxLayout, QWidget

from app import theme
from app.bench.page import BenchPage
from app.boundary import Boundary
from app.calculators.page import CalculatorsPage
from app.drawer.page import ShopPage
from app.jobs.desk import DeskPage
from app.jobs.new_job import NewJobPage
from app.jobs.unit import UnitPage
from app.keeping.exchange import ExchangePage
from app.keeping.keeper import Keeper
from app.message_line import MessageLine
from app.others import Others, told
from app.owner.page import OwnerPage
from app.people.at_bench import AtBench
from app.settings import SCHEMES, TEXT_SCALES, Settings
from app.sheets import default_folder, make_folder, sheet_name
from app.shortcuts import OwnShortcuts
from app.tasks import Tasks
from core.errors import DamagedLogbookError
from core.facts import Job
from core.language import mark, tr
from core.workshop import Changes, Workshop

SCHEME_WORDS = {"light": mark("Light"), "dark": mark("Dark"), "contrast": mark("High contrast")}


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
        self.at_bench = AtBench(workshop, settings)
        self.desk = DeskPage(workshop, self.tasks.run)
        self.new_job = NewJobPage(workshop, self.tasks.run, self._person)
        self.unit = UnitPage(workshop, self.tasks.run)
        self.bench = BenchPage(workshop, settings, run=self.tasks.run)
        self.shop = ShopPage(workshop, self._person, self.keeper)
        self.calculators = CalculatorsPage()
        self.owner = OwnerPage(workshop, self.tasks.run, self._backup_folder)
        self.exchange = ExchangePage(workshop, self.tasks.run, self._person, self._open_job, self._sheet_folder)
        self._job_id: int | None = None
        self._sheet: Path | None = None
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
        self.pages = QStackedWidget()
        for page in (
            self.desk,
            self.new_job,
            self.unit,
            self.bench,
            self.shop,
            self.calculators,
            self.owner,
            self.exchange,
        ):
            self.pages.addWidget(page)
        whole = QWidget()
        column = QVBoxLayout(whole)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.at_bench)
        column.addWidget(self.pages, 1)
        column.addWidget(self.message)
        self.setCentralWidget(whole)

    def _menus(self) -> None:
        # Who is at the bench stands in the bar, so the bar stands in the window on every system.
        self.menuBar().setNativeMenuBar(False)
        self._seat_name()
        go = self.menuBar().addMenu(tr("&Go to"))
        self._action(go, tr("&Desk"), "Ctrl+D", self.show_desk)
        self._action(go, tr("&Bench"), "Ctrl+B", self.show_bench)
        self._action(go, tr("&Unit: all its visits"), "Ctrl+U", self.show_unit)
        self._action(go, tr("&Shop: people, gauges, rings, spec cards"), "Ctrl+Shift+S", self.show_shop)
        self._action(go, tr("&Calculations"), "Ctrl+K", self.show_calculators)
        self._action(go, tr("&Owner's page: what waits, comebacks, charts"), "Ctrl+Shift+O", self.show_owner)
        self._action(go, tr("&Exchange: hand over, take in"), "Ctrl+Shift+E", self.show_exchange)
        go.addSeparator()
        self._action(go, tr("Close the &window"), "Ctrl+Q", self.close)
        job = self.menuBar().addMenu(tr("&Job"))
        self._action(job, tr("&New job"), "Ctrl+Shift+N", self.show_new_job)
        self._action(job, tr("Build sheet, &shop's copy"), "Ctrl+P", self.make_shop_sheet)
        self._action(job, tr("Build sheet, &customer's copy"), "Ctrl+Shift+P", self.make_customer_sheet)
        self._action(job, tr("Keep build sheets &in …"), "", self.choose_folder)
        self.people_menu = self.menuBar().addMenu(tr("&At the bench"))
        self.people_menu.aboutToShow.connect(self._list_people)
        self._people = self._group(self._choose_person)
        self._who = QAction(tr("&Change who is at the bench"), self)
        self._who.setShortcut(QKeySequence("Ctrl+Shift+B"))
        self._who.triggered.connect(self._offer_people)
        self.addAction(self._who)
        self._list_people()
        look = self.menuBar().addMenu(tr("&Look"))
        self._schemes = self._group(self._choose_scheme)
        self._fill(look, self._schemes, [(tr(SCHEME_WORDS[s]), s) for s in SCHEMES], self.settings.scheme)
        look.addSeparator()
        self._scales = self._group(self._choose_scale)
        scales = [(tr("Text at {percent} %", percent=scale), scale) for scale in TEXT_SCALES]
        self._fill(look, self._scales, scales, self.settings.text_scale)

    def _action(self, menu: QMenu, words: str, keys: str, act: Callable[[], object]) -> None:
        action = menu.addAction(words)
        if keys:
            action.setShortcut(QKeySequence(keys))
        action.triggered.connect(act)

    def _group(self, choose: Callable[[QAction], None]) -> QActionGroup:
        group = QActionGroup(self)
        group.triggered.connect(choose)
        return group

    def _fill(self, menu: QMenu, group: QActionGroup, choices: Iterable[tuple[str, object]], now: object) -> None:
        for words, value in choices:
            action = menu.addAction(words)
            action.setCheckable(True)
            action.setData(value)
            action.setChecked(value == now)
            group.addAction(action)

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
        self.bench.sheet_wanted.connect(self.make_sheet)
        self.bench.person_wanted.connect(self._offer_people)
        self.at_bench.changed.connect(self._person_changed)
        self.at_bench.said.connect(self._seat_name)
        self.at_bench.people_wanted.connect(self.show_people)
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
    def _list_people(self) -> None:
        for action in self._people.actions():
            self._people.removeAction(action)
        self.people_menu.clear()
        people = [(person.name, person.name) for person in self._workshop.people() if person.is_active]
        self._fill(self.people_menu, self._people, people, self.settings.person)
        if people:
            self.people_menu.addAction(self._who)
        else:
            self._action(self.people_menu, tr("Add people on the shop page"), "", self.show_people)

    @Slot()
    def _seat_name(self) -> None:
        # Seated anew with each name: the bar gives its corner the room of the words it was seated with.
        self.menuBar().setCornerWidget(self.at_bench.button)

    @Slot()
    def _offer_people(self) -> None:
        self.at_bench.open_panel()

    @Slot(QAction)
    def _choose_person(self, action: QAction) -> None:
        self.at_bench.choose(action.data())

    @Slot()
    def _person_changed(self) -> None:
        self.bench.person_changed()
        self.shop.person_changed()

    @Slot(QAction)
    def _choose_scheme(self, action: QAction) -> None:
        self.settings.scheme = action.data()
        self._look()

    @Slot(QAction)
    def _choose_scale(self, action: QAction) -> None:
        self.settings.text_scale = action.data()
        self._look()

    def _look(self) -> None:
        self.settings.save()
        app = QApplication.instance()
        if isinstance(app, QApplication):
            theme.apply(app, self.settings.scheme, self.settings.text_scale)
        self.bench.theme_changed()
        self.calculators.theme_changed()
        self.owner.theme_changed()

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
            self.make_sheet(self._job_id, copy)

    @Slot(int, str)
    def make_sheet(self, job_id: int, copy: str) -> None:
        """Write a job's sheet in the background and say where it is."""
        job = self._workshop.state(job_id).context.job
        path = Path(self.settings.sheet_folder or default_folder()) / sheet_name(job, copy)
        page, person = self.settings.page, self.settings.person

        def write() -> Path:
            make_folder(path.parent)
            return self._workshop.write_sheet(job_id, path, copy=copy, page=page, person=person)

        self.tasks.run(write, self._sheet_written, tr("Writing the build sheet of job {number} …", number=job.number))

    def _sheet_written(self, path: Path) -> None:
        self._sheet = path
        self.message.say(
            tr("The build sheet is in {path}.", path=path), action=tr("Open the sheet"), act=self._open_sheet
        )

    def _open_sheet(self) -> None:
        if self._sheet is not None:
            QDesktopServices.openUrl(QUrl.fromLocalFile(str(self._sheet)))

    @Slot()
    def choose_folder(self) -> None:
        """Ask where build sheets are kept from now on."""
        now = self.settings.sheet_folder or str(default_folder())
        chosen = QFileDialog.getExistingDirectory(self, tr("Keep build sheets in"), now)
        if chosen:
            self.settings.sheet_folder = chosen
            self.settings.save()

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
        unsaved = [] if self.bench.settle() else self.bench.unsaved()
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
