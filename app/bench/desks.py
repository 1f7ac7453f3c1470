"""What works beside the fields of a stage: photos, prints, drawer, advice, board, “what if”, practice, handing over."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from app.bench.advising import AdviceDesk
from app.bench.aside import Aside
from app.bench.contact_desk import ContactDesk
from app.bench.finish import HandOver
from app.bench.from_drawer import DrawerDesk
from app.bench.gauges import BenchSettings
from app.bench.handing_over import HandingOver
from app.bench.photo_desk import PhotoDesk, Run
from app.bench.practice_desk import PracticeDesk
from app.bench.print_desk import PrintDesk
from app.bench.stage_page import StagePage
from app.bench.what_if_desk import WhatIfDesk
from app.widgets.entry_field import EntryField
from core.facts import Job
from core.stages.state import JobState
from core.workshop import Workshop


class Desks(QObject):
    """All desks of the bench page, which are made, shown and left together.

    Signals
    -------
    changed(state)
        A desk wrote something; the job as it is judged now.
    rearranged()
        What takes the focus came or went.
    view_changed(is_shown)
        A view stands in the place of the stage, or no longer does.
    """

    changed = Signal(object)
    rearranged = Signal()
    view_changed = Signal(bool)

    def __init__(
        self,
        page: QWidget,
        workshop: Workshop,
        settings: BenchSettings,
        run: Run,
        settle_stage: Callable[[], None],
        left_over: Callable[[], list[str]],
    ) -> None:
        super().__init__(page)
        self.photos = PhotoDesk(page, workshop, settings, run)
        self.prints = PrintDesk(page, workshop, settings, run, self.photos, settle_stage)
        self.drawer = DrawerDesk(page, workshop, settings, run)
        self.advice = AdviceDesk(page, workshop, settings, run, settle_stage)
        self.board = ContactDesk(page)
        self.what_if = WhatIfDesk(page, workshop, run, settle_stage)
        self.practice = PracticeDesk(page)
        self.handing_over = HandingOver(page, workshop, settings, left_over)
        for writes in (self.drawer, self.handing_over):
            writes.changed.connect(self.changed)
        for moves in (self.board, self.drawer, self.advice):
            moves.rearranged.connect(self.rearranged)
        for stands_in in (self.photos, self.what_if):
            stands_in.view_changed.connect(self.view_changed)

    @property
    def views(self) -> tuple[QWidget, ...]:
        """What may stand in the place of the stage."""
        return self.photos.view, self.prints.view, self.what_if.view

    def close_views(self) -> None:
        """Give the stage its place back."""
        self.photos.close_view()
        self.what_if.close_view()

    def leave(self) -> None:
        """Let go of the job that was shown."""
        self.photos.leave()
        self.prints.leave()
        self.drawer.leave()
        self.advice.leave()
        self.board.leave()
        self.what_if.leave()
        self.practice.leave()
        self.handing_over.leave()

    def adopt(self, stage_key: str, page: StagePage) -> None:
        """Serve the page of a stage that was made."""
        aside = page.aside
        aside.photos.rearranged.connect(self.rearranged)
        self.photos.adopt(aside.photos)
        self.drawer.adopt(aside)
        self.advice.adopt(aside)
        self.what_if.adopt(stage_key, aside)
        self.practice.adopt(stage_key, aside)
        if isinstance(page.end, HandOver):
            self.handing_over.adopt(page.end)

    def show_aside(self, state: JobState, stage_key: str, aside: Aside, units: str) -> None:
        """Show beside the fields of a stage what belongs to it."""
        stage = state.stage(stage_key)
        self.photos.show_stage(state.context.job, stage.stage, aside.photos)
        self.prints.show_stage(state)
        self.drawer.show_stage(state.context.job, aside)
        aside.show_stage(stage, state, units)
        self.advice.show_stage(state, stage_key, aside)
        self.what_if.show_stage(state)

    def arm(self, field: EntryField, job: Job, stage_key: str) -> None:
        """Turn to the field that is armed now."""
        self.photos.arm(field)
        self.drawer.arm(field, job, stage_key)

    def beside(self, aside: Aside) -> list[QWidget]:
        """Return what takes the focus beside the fields, in order."""
        return [stop for desk in (self.what_if, self.practice, self.drawer) for stop in desk.focusables(aside)]

    def instead(self) -> list[QWidget]:
        """Return what takes the focus in the place of the stage, in order."""
        return [*self.what_if.view.focusables(), *self.prints.view.focusables()]
