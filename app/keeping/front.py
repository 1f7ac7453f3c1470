"""Which window stands in front: the one on the logbook or, while that is damaged, the way back to a backup of it."""

from __future__ import annotations

import sys
from collections.abc import Callable

from PySide6.QtWidgets import QApplication

from app import theme
from app.keeping.way_back import WayBackWindow
from app.settings import Settings, load
from app.window import Window, open_window
from core.errors import DamagedLogbookError, UserError
from core.language import tr
from core.records.location import Place
from core.workshop import Workshop


class Front:
    """Shows the window on a logbook, or the way back; `open_workshop` is asked again once that was gone."""

    def __init__(self, place: Place, open_workshop: Callable[[], Workshop], settings: Settings) -> None:
        self._place = place
        self._open_workshop = open_workshop
        self._settings = settings
        self.window: Window | None = None
        self._workshop: Workshop | None = None
        self.way_back: WayBackWindow | None = None

    def open(self, workshop: Workshop) -> None:
        """Show the window on a logbook."""
        self._workshop = workshop
        self.window = open_window(workshop, self._settings)
        self.window.way_back_wanted.connect(self._leave_window)

    def offer(self, error: DamagedLogbookError) -> None:
        """Show the way back of a damaged logbook."""
        self.way_back = window = WayBackWindow(self._place, error.message, self._settings.backup_folder)
        window.boundary.install()
        window.page.went_back.connect(self._went_back)
        window.show()
        if error.way_back is None:
            window.page.look()
        else:
            window.page.show_way(error.way_back)

    def _leave_window(self, error: DamagedLogbookError) -> None:
        """Turn from the window to the way back, unless something typed in it is not saved yet."""
        if self.window is None or not _closed(self.window):
            return
        if self._workshop is not None:
            self._workshop.close()
        self.window = self._workshop = None
        self.offer(error)

    def _went_back(self, kept_as: str) -> None:
        """Turn from the way back to the window on what was restored."""
        if self.way_back is None:
            return
        try:
            workshop = self._open_workshop()
        except UserError as error:
            self.way_back.message.say(str(error), True)
            return
        before, self.way_back = self.way_back, None
        _closed(before)
        self.open(workshop)
        if self.window is not None and kept_as:
            self.window.message.say(tr("The damaged file is kept as {path}.", path=kept_as))


def _closed(window: Window | WayBackWindow) -> bool:
    """Close a window though another follows: the program goes on."""
    QApplication.setQuitOnLastWindowClosed(False)
    try:
        return window.close()
    finally:
        QApplication.setQuitOnLastWindowClosed(True)


def show(place: Place, open_workshop: Callable[[], Workshop], *, is_asked_for: bool = False) -> int:
    """Open a logbook and its window, or the way back of a damaged one; return the exit code.

    Parameters
    ----------
    place : Path or URL
        Where the logbook is.
    open_workshop : callable
        Opens it.
    is_asked_for : bool
        Whether somebody named the place: what lies there without a backup may just be the wrong file.

    Raises
    ------
    UserError
        It cannot be opened, and there is no way back to offer.
    """
    workshop: Workshop | None = None
    damage: DamagedLogbookError | None = None
    try:
        workshop = open_workshop()
    except DamagedLogbookError as error:
        if error.way_back is None and is_asked_for:
            raise
        damage = error
    app = QApplication(sys.argv[:1])
    app.setApplicationName("Pinionbook")
    app.setDesktopFileName("pinionbook")
    settings = load()
    theme.apply(app, settings.scheme, settings.text_scale)
    front = Front(place, open_workshop, settings)
    if damage is not None:
        front.offer(damage)
    elif workshop is not None:
        front.open(workshop)
    return app.exec()
