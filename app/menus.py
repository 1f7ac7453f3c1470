"""The window's menus beside those of its pages: who is at the bench, and how the window looks."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QApplication, QMenu, QWidget

from app import theme
from app.people.at_bench import AtBench
from app.settings import SCHEMES, TEXT_SCALES, Settings
from core.language import mark, tr
from core.workshop import Workshop

SCHEME_WORDS = {"light": mark("Light"), "dark": mark("Dark"), "contrast": mark("High contrast")}


def add_action(menu: QMenu, words: str, keys: str, act: Callable[[], object]) -> None:
    """Add something to do to a menu, with the keys it is done by from anywhere, or none."""
    action = menu.addAction(words)
    if keys:
        action.setShortcut(QKeySequence(keys))
    action.triggered.connect(act)


class Choices(QActionGroup):
    """Entries of a menu of which one holds at a time.

    Signals
    -------
    chosen(value)
        Another one was chosen.
    """

    chosen = Signal(object)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.triggered.connect(self._tell)

    def fill(self, menu: QMenu, choices: Iterable[tuple[str, object]], now: object) -> None:
        """Add the choices to a menu, each by its words; the one that holds now has its tick."""
        for words, value in choices:
            action = menu.addAction(words)
            action.setCheckable(True)
            action.setData(value)
            action.setChecked(value == now)
            self.addAction(action)

    def forget(self) -> None:
        """Let go of all choices."""
        for action in self.actions():
            self.removeAction(action)

    @Slot(QAction)
    def _tell(self, action: QAction) -> None:
        self.chosen.emit(action.data())


class PeopleMenu(QMenu):
    """Who may come to the bench, by name.

    Signals
    -------
    people_wanted()
        Nobody is entered yet; people are to be added.
    """

    people_wanted = Signal()

    def __init__(self, workshop: Workshop, settings: Settings, at_bench: AtBench, parent: QWidget) -> None:
        super().__init__(tr("&At the bench"), parent)
        self._workshop, self._settings = workshop, settings
        self.people = Choices(self)
        self.people.chosen.connect(at_bench.choose)
        self.change = QAction(tr("&Change who is at the bench"), parent)
        self.change.setShortcut(QKeySequence("Ctrl+Shift+B"))
        self.aboutToShow.connect(self.list_people)
        self.list_people()

    @Slot()
    def list_people(self) -> None:
        """List who works here now."""
        self.people.forget()
        self.clear()
        people = [(person.name, person.name) for person in self._workshop.people() if person.is_active]
        self.people.fill(self, people, self._settings.person)
        if people:
            self.addAction(self.change)
        else:
            add_action(self, tr("Add people on the shop page"), "", self.people_wanted.emit)


class LookMenu(QMenu):
    """Colours and the size of text.

    Signals
    -------
    changed()
        The application looks different now.
    """

    changed = Signal()

    def __init__(self, settings: Settings, parent: QWidget) -> None:
        super().__init__(tr("&Look"), parent)
        self._settings = settings
        self.schemes, self.scales = Choices(self), Choices(self)
        self.schemes.fill(self, [(tr(SCHEME_WORDS[s]), s) for s in SCHEMES], settings.scheme)
        self.addSeparator()
        scales = [(tr("Text at {percent} %", percent=scale), scale) for scale in TEXT_SCALES]
        self.scales.fill(self, scales, settings.text_scale)
        self.schemes.chosen.connect(self._choose_scheme)
        self.scales.chosen.connect(self._choose_scale)

    @Slot(object)
    def _choose_scheme(self, scheme: str) -> None:
        self._settings.scheme = scheme
        self._look()

    @Slot(object)
    def _choose_scale(self, scale: int) -> None:
        self._settings.text_scale = scale
        self._look()

    def _look(self) -> None:
        self._settings.save()
        app = QApplication.instance()
        if isinstance(app, QApplication):
            theme.apply(app, self._settings.scheme, self._settings.text_scale)
        self.changed.emit()
