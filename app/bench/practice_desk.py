"""From the contact stage to the practice of reading prints."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QPushButton, QWidget

from app.bench.aside import Aside
from app.jobs.form import button
from core.language import tr
from core.stages.contact_pattern import KEY


class PracticeDesk(QObject):
    """Puts the way to the practice beside the contact stage.

    Signals
    -------
    wanted()
        Somebody wants to practise.
    """

    wanted = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._push: QPushButton | None = None

    def adopt(self, stage_key: str, aside: Aside) -> None:
        """Put the push beside the contact stage, whose page was just made."""
        if stage_key != KEY:
            return
        self._push = button(tr("Practise reading prints"), "plain")
        self._push.setToolTip(tr("Prints of invented gears to look at; nothing of this job is touched"))
        self._push.clicked.connect(self.wanted)
        aside.put_under_advice(self._push)

    def focusables(self, aside: Aside) -> list[QWidget]:
        """Return what takes the focus beside a stage."""
        return [self._push] if self._push is not None and aside.isAncestorOf(self._push) else []

    def leave(self) -> None:
        """Forget the job that was shown."""
        self._push = None
