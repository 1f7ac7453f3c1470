"""From the contact stage to "what if" and back."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QPushButton, QWidget

from app.bench.aside import Aside
from app.bench.photo_desk import Run
from app.bench.what_if_view import WhatIfView
from core.advice.what_if import WhatIf
from core.errors import UserError
from core.language import tr
from core.quantities import unit_for
from core.stages.contact_pattern import KEY
from core.stages.prints import print_at
from core.stages.state import JobState
from core.stages.tooth import COAST, DRIVE, tooth_of
from core.workshop import Workshop

OPEN_KEY = "Ctrl+Shift+W"

Answer = tuple[WhatIf | None, str] | Exception
"""What can be asked, or why nothing can; or a fault."""


class WhatIfDesk(QObject):
    """Opens the view in the place of the stage; what it asks is worked out off the window's thread.

    Signals
    -------
    view_changed(is_open)
        The view stands in the place of the stage, or no more.
    """

    view_changed = Signal(bool)

    def __init__(self, page: QWidget, workshop: Workshop, run: Run, settle: Callable[[], object]) -> None:
        super().__init__(page)
        self._workshop, self._run, self._settle = workshop, run, settle
        self._state: JobState | None = None
        self._push: QPushButton | None = None
        self._is_open = self._is_asking = self._is_stale = False
        self.view = WhatIfView(page)
        self.view.closed.connect(self.close_view)

    def adopt(self, stage_key: str, aside: Aside) -> None:
        """Put the push beside the contact stage, whose page was just made."""
        if stage_key != KEY:
            return
        self._push = QPushButton(tr("What if …"))
        self._push.setAutoDefault(False)
        self._push.setToolTip(
            tr("Move pinion and ring gear on the screen and see where the prints would go ({key})", key=OPEN_KEY)
        )
        self._push.clicked.connect(self.open_view)
        aside.put_under_advice(self._push)

    def focusables(self, aside: Aside) -> list[QWidget]:
        """Return what takes the focus beside a stage."""
        return [self._push] if self._push is not None and aside.isAncestorOf(self._push) else []

    def show_stage(self, state: JobState) -> None:
        """Follow the job: what is shown is asked anew where it changed meanwhile."""
        is_other = self._state is not state
        self._state = state
        if self._is_open and is_other:
            self._ask()

    def leave(self) -> None:
        """Forget the job that was shown."""
        self.close_view()
        self._state = self._push = None

    @property
    def is_asking(self) -> bool:
        """Whether an answer is still being worked out."""
        return self._is_asking

    @property
    def is_open(self) -> bool:
        """Whether the view stands in the place of the stage."""
        return self._is_open

    def open_view(self) -> None:
        """Show the view as the gears stand."""
        if self._is_open or self._state is None:
            return
        # What is typed counts: it is stored before it is asked for.
        self._settle()
        self._is_open = True
        self.view_changed.emit(True)
        self.view.show()
        self.view.await_answer()
        self.view.back.setFocus(Qt.FocusReason.OtherFocusReason)
        self._ask()

    def close_view(self) -> None:
        """Go back to the stage."""
        if not self._is_open:
            return
        self._is_open = False
        self.view.hide()
        self.view_changed.emit(False)
        if self._push is not None:
            self._push.setFocus(Qt.FocusReason.OtherFocusReason)

    def _ask(self) -> None:
        if self._is_asking:
            self._is_stale = True
            return
        if self._state is None:
            return
        self._is_asking, self._is_stale = True, False
        self._run(partial(_answer, self._workshop, self._state.context.job.id), self._answered)

    def _answered(self, answer: Answer) -> None:
        self._is_asking = False
        if not self._is_open or self._state is None:
            return
        if self._is_stale:
            # The job changed meanwhile; the answer to the last question counts.
            self._ask()
            return
        if isinstance(answer, Exception):
            raise answer
        what_if, why_not = answer
        if what_if is None:
            self.view.refuse(why_not)
            return
        context = self._state.context
        trial = what_if.trial or max(context.trials(KEY), default=1)
        prints = {side: print_at(context, KEY, side, trial) for side in (DRIVE, COAST)}
        unit = what_if.unit or unit_for("length", self._workshop.shop().units, "mm").id
        # Asked anew while it is open, the answer must not take the hand from where it is.
        was_waiting = not self.view.is_answered and self.view.back.hasFocus()
        self.view.show_what_if(what_if, tooth_of(context.job), prints, unit)
        if was_waiting:
            self.view.pinion.slider.setFocus(Qt.FocusReason.OtherFocusReason)


def _answer(workshop: Workshop, job_id: int) -> Answer:
    """Return what can be asked; a fault comes back too, so that the next question can be asked."""
    try:
        return workshop.what_if(job_id)
    except UserError as error:
        return None, str(error)
    except Exception as error:
        return error
