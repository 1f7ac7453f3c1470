"""The bench: one job, one stage at a time, made from the stage declarations and the judged state of the job."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app import theme
from app.bench.body import Body
from app.bench.column import StageColumn
from app.bench.desks import Desks
from app.bench.finish import GoOn
from app.bench.gauges import BenchSettings, GaugeLine
from app.bench.header import Header
from app.bench.photo_desk import Run, at_once
from app.bench.stage_bar import StageBar
from app.bench.stage_page import StagePage, make_stage_page
from app.bench.tab_order import set_tab_order
from app.bench.taking import Taker
from app.bench.unstored import NO_STAGE, Unstored
from app.widgets.entry_field import EntryField
from app.widgets.sentences import NextThing
from app.widgets.settle import when_mouse_rests
from core.advice.answer import Again
from core.history import replaced_by_place
from core.stages import contact_pattern, evaluate_job
from core.stages.state import JobState, StageState
from core.verdict import Answer
from core.workshop import Workshop, utc_now

TWO_COLUMNS_FROM = 1080
"""Width at 100 % text size from which the figure stands beside the fields; narrower, it stands under them."""


class BenchPage(QWidget):
    """The page a job is worked on.

    Signals
    -------
    sheet_wanted(job_id, copy)
        A build sheet is wanted.
    back_wanted()
        The person wants the list of jobs.
    unit_wanted(job_id)
        The person wants all visits of the unit.
    person_wanted()
        Somebody is to say who is at the bench.
    """

    sheet_wanted = Signal(int, str)
    back_wanted = Signal()
    unit_wanted = Signal(int)
    person_wanted = Signal()

    def __init__(
        self,
        workshop: Workshop,
        settings: BenchSettings,
        clock: Callable[[], datetime] = utc_now,
        parent: QWidget | None = None,
        run: Run = at_once,
    ) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._state: JobState | None = None
        self._stage = ""
        self._open_trials: dict[str, int] = {}
        self._pages: dict[str, StagePage] = {}
        self._unstored = Unstored()
        self._is_wide = True
        self.setProperty("role", "page")
        self.setProperty("bench", True)
        self.header, self.stages, self.next_thing = Header(), StageBar(), NextThing()
        self.gauges, self._body = GaugeLine(settings, workshop), Body()
        self._taker = Taker(workshop, settings, self.gauges, clock)
        self.desks = Desks(self, workshop, settings, run, self._settle_stage, self.left_over)
        self._lay_out()
        self._connect()

    # -- putting together ----------------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        top = QVBoxLayout()
        top.setContentsMargins(2 * theme.GRID, 0, 2 * theme.GRID, theme.GRID)
        top.setSpacing(theme.GRID)
        top.addWidget(self.stages)
        top.addWidget(self.next_thing)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.GRID)
        column.addWidget(self.header)
        column.addLayout(top)
        column.addWidget(self._body, 1)
        for view in self.desks.views:
            column.addWidget(view, 1)
        column.addWidget(self.gauges)

    def _connect(self) -> None:
        self.header.back_wanted.connect(self.back_wanted)
        self.header.unit_wanted.connect(self._want_unit)
        self.stages.stage_wanted.connect(self.turn_to)
        self.gauges.done.connect(self._back_to_field)
        self.gauges.checked.connect(self.look_again)
        self.desks.changed.connect(self._redraw)
        self.desks.rearranged.connect(self._set_tab_order)
        for out_of_the_way in (self.next_thing, self._body, self.gauges):
            self.desks.view_changed.connect(out_of_the_way.setHidden)
        self.desks.prints.kept.connect(self._print_kept)
        self.desks.advice.taken.connect(self._trial_taken)
        self.desks.advice.reading_wanted.connect(self._read_again)
        self.desks.handing_over.sheet_wanted.connect(self.sheet_wanted)
        self.desks.handing_over.person_wanted.connect(self.person_wanted)
        for field in self.header.details.fields:
            field.committed.connect(self._take_detail)

    # -- which job, which stage ------------------------------------------------------------------------------------

    def show_job(self, job_id: int) -> None:
        """Show a job at the first stage that wants something."""
        if self._state is not None:
            self.settle()
            self._unstored.keep(self._state.context.job.id, self._all_fields())
        self._clear()
        self._state = self._workshop.state(job_id)
        self.gauges.show_gauges(self._workshop.gauges())
        unfinished = (s.stage.key for s in self._state.stages if s.verdict.answer is Answer.MISSING)
        self.turn_to(next(unfinished, self._state.stages[-1].stage.key))
        for field in self.header.details.fields:
            self._unstored.put_back(job_id, NO_STAGE, field)

    def look_again(self) -> None:
        """Show the job as it is now: somebody else worked on it. What stands typed here stays."""
        if self._state is not None:
            self.gauges.show_gauges(self._workshop.gauges())
            self._redraw(self._workshop.state(self._state.context.job.id))

    @property
    def job_number(self) -> str:
        """The number of the job that is shown."""
        return self._job.context.job.number

    def _clear(self) -> None:
        for page in self._pages.values():
            page.throw_away()
        self._pages.clear()
        self._body.leave()
        self.desks.leave()
        self._open_trials.clear()
        for field in self.header.details.fields:
            field.restore()

    def turn_to(self, stage_key: str) -> None:
        """Show another stage of the job, with the first field that wants a reading armed."""
        if self._state is None:
            return
        self.desks.close_views()
        if self._stage in self._pages:
            self._page.hide()
        self._stage = stage_key
        if stage_key not in self._pages:
            self._make_page(self._state.stage(stage_key))
        self._show_state()
        self._place()
        self._arm_first()

    def show_what_if(self) -> None:
        """Show what would come of moving the gears, in the place of the contact stage."""
        what_if = self.desks.what_if
        if self._state is None or what_if.is_open:
            return
        self.turn_to(contact_pattern.KEY)
        what_if.show_stage(self._state)
        what_if.open_view()

    def _make_page(self, state: StageState) -> None:
        page = make_stage_page(state, self._job, self._body.left, self._body.right)
        # Hidden until it is filled: drawing it field by field takes three times as long.
        page.hide()
        self._pages[state.stage.key] = page
        page.column.made.connect(self._field_made)
        page.column.rearranged.connect(self._set_tab_order)
        page.column.next_trial_wanted.connect(self._start_trial)
        self.desks.adopt(state.stage.key, page)
        if isinstance(page.end, GoOn):
            page.end.button.clicked.connect(self._go_to_next_stage)

    @property
    def _job(self) -> JobState:
        if self._state is None:
            raise LookupError("no job is shown")
        return self._state

    @property
    def _page(self) -> StagePage:
        return self._pages[self._stage]

    @property
    def column(self) -> StageColumn:
        """The fields of the stage that is shown."""
        return self._page.column

    # -- showing -------------------------------------------------------------------------------------------------

    def _redraw(self, state: JobState) -> None:
        """Show a job judged anew, once nothing is pressed that could move away."""
        self._state = evaluate_job(state.context, self._open_trials)
        when_mouse_rests(self, self._show_state)

    def _show_state(self) -> None:
        state = self._job
        job, stage = state.context.job, state.stage(self._stage)
        self.header.show_job(job)
        self.stages.show_job(state, self._stage)
        self.next_thing.show_sentence(stage.next_thing)
        self.column.show_stage(stage, is_read_only=job.signed_at is not None)
        self.desks.board.show_stage(state, self._stage, self.column)
        self.column.show_replaced(self._stage, replaced_by_place(state.context.readings))
        self.desks.handing_over.show_job(job)
        # After the fields: the hand goes on typing while the figure is drawn.
        QTimer.singleShot(0, self, self._show_aside)

    def _show_aside(self) -> None:
        if self._state is not None:
            self.desks.show_aside(self._state, self._stage, self._page.aside, self._workshop.shop().units)

    def _place(self) -> None:
        self._body.place(self._page, is_wide=self._is_wide)
        self._set_tab_order()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._choose_columns()

    def _choose_columns(self) -> None:
        is_wide = self.width() >= theme.current().px(TWO_COLUMNS_FROM)
        if is_wide != self._is_wide:
            self._is_wide = is_wide
            self.header.set_wide(is_wide)
            if self._stage in self._pages:
                self._place()

    def theme_changed(self) -> None:
        """Draw anew what is drawn from colours: marks and figure."""
        self._choose_columns()
        self.stages.draw_marks()
        self._show_aside()

    def person_changed(self) -> None:
        """Show who is at the bench now."""
        if self._state is not None:
            self._show_state()

    def _set_tab_order(self) -> None:
        """Let the Tab key go as the eye does."""
        if self._stage in self._pages:
            beside = self.desks.beside(self._page.aside)
            set_tab_order(self.header, self.stages, self._page, beside, self.gauges, self.desks.instead())

    # -- taking readings --------------------------------------------------------------------------------------------

    def _field_made(self, field: EntryField) -> None:
        field.committed.connect(self._take)
        field.went_on.connect(self._go_on)
        field.was_armed.connect(self._arm)
        self.desks.board.adopt(field)
        self._unstored.put_back(self._job.context.job.id, self._stage, field)

    def _take(self, field: EntryField) -> None:
        stage_key = next(key for key, page in self._pages.items() if page.column.isAncestorOf(field))
        self._show_stored(self._taker.reading(self._job, stage_key, field))

    def _take_detail(self, field: EntryField) -> None:
        self._show_stored(self._taker.detail(self._job.context.job, field))

    def _show_stored(self, stored: JobState | None) -> None:
        if stored is not None:
            self._redraw(stored)

    def _start_trial(self) -> None:
        number = self._job.stage(self._stage).trials[-1].number + 1
        self._open_trials[self._stage] = number
        self._redraw(self._job)
        first = next(field for field in self.column.fields() if field.trial == number)
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    def _trial_taken(self, state: JobState, stage: str, trial: int) -> None:
        """Show the trial the pair advised has become, with its first reading armed."""
        self._open_trials[stage] = trial
        self._redraw(state)
        self.column.go_to_reading(trial)

    def _print_kept(self, trial: int, entry: str) -> None:
        """Show a print that was read from a photo on its board."""
        self._redraw(self._workshop.state(self._job.context.job.id))
        self.column.go_to_reading(trial, entry)

    def _read_again(self, again: Again) -> None:
        self.column.go_to_reading(again.trial, again.entry, again.position)

    def _settle_stage(self) -> None:
        """Store what stands typed on the stage that is shown; what cannot be stored stays, and says why."""
        for field in self.column.fields():
            field.flush()

    def settle(self) -> bool:
        """Store what stands typed in any field; return whether nothing is left that could not be stored."""
        # Every field is asked: one that is refused must not keep the others from being stored.
        are_stored = [field.flush() for _, field in self._all_fields()]
        return all(are_stored) and not self.desks.photos.unsaved()

    def unsaved(self) -> list[str]:
        """Return the names of the fields that hold something that is not stored."""
        return [field.name for _, field in self._all_fields() if field.is_changed] + self.desks.photos.unsaved()

    def left_over(self) -> list[str]:
        """Store what stands typed in any field; return the names of those that could not be stored."""
        return [] if self.settle() else self.unsaved()

    def _all_fields(self) -> list[tuple[str, EntryField]]:
        """Return every field with the key of its stage."""
        if self._state is None:
            return []
        of_stages = [(key, field) for key, page in self._pages.items() for field in page.column.fields()]
        return [*((NO_STAGE, field) for field in self.header.details.fields), *of_stages]

    # -- moving ---------------------------------------------------------------------------------------------------

    def _arm_first(self) -> None:
        first = self.column.first_open()
        if first is not None:
            self.setFocusProxy(first)
            first.setFocus(Qt.FocusReason.OtherFocusReason)

    def _arm(self, field: EntryField) -> None:
        self.setFocusProxy(field)
        self.desks.arm(field, self._job.context.job, self._stage)
        self.gauges.show_use(field.entry.gauge)

    def _back_to_field(self) -> None:
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _go_on(self, field: EntryField) -> None:
        following = self.column.after(field) or self._page.end.first()
        following.setFocus(Qt.FocusReason.OtherFocusReason)

    def _go_to_next_stage(self) -> None:
        keys = [s.stage.key for s in self._job.stages]
        self.turn_to(keys[keys.index(self._stage) + 1])

    def _want_unit(self) -> None:
        self.unit_wanted.emit(self._job.context.job.id)
