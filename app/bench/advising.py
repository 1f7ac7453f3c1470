"""From a stage to its advice, and from the advice to the next trial."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QWidget

from app import theme
from app.bench.advice_panel import AdvicePanel, Shown
from app.bench.aside import Aside
from app.bench.gauges import BenchSettings
from app.bench.photo_desk import Run
from core.advice import Advice
from core.errors import UserError
from core.language import tr
from core.stages.advised import are_same_pieces
from core.stages.contact_pattern import PINION_SHIMS
from core.stages.context import Context
from core.stages.sides import pair
from core.stages.state import JobState
from core.workshop import Workshop
from core.workshop.fitting import next_trial

Answer = tuple[Advice | None, bytes | None]
"""What is advised, and its plot as SVG."""


class AdviceDesk(QObject):
    """Everything the bench does with advice; the page only says what it shows.

    An answer may take a tenth of a second, so it is worked out off the window's thread. What stands on the page is the
    last answer to the last question; a question asked meanwhile waits for its turn, and only the last one does.

    Signals
    -------
    taken(state, stage, trial)
        The pair advised has become a trial: the job is judged anew.
    reading_wanted(again)
        The hand is to go to a reading that should be repeated.
    ticket_wanted(job_id, stage, trial)
        What is advised, or else what the last trial has, is wanted on paper.
    rearranged()
        The order of the Tab key must be set anew.
    said(sentence)
        Nothing could be done, and why.
    """

    taken = Signal(object, str, int)
    reading_wanted = Signal(object)
    ticket_wanted = Signal(int, str, int)
    rearranged = Signal()
    said = Signal(str)

    def __init__(
        self, page: QWidget, workshop: Workshop, settings: BenchSettings, run: Run, settle: Callable[[], object]
    ) -> None:
        super().__init__(page)
        self._page, self._workshop, self._settings = page, workshop, settings
        self._run, self._settle = run, settle
        self._state: JobState | None = None
        self._stage = ""
        self._aside: Aside | None = None
        self._is_asking = self._is_stale = False

    def adopt(self, aside: Aside) -> None:
        """Do what is asked for beside a stage."""
        panel = aside.advice
        panel.take_wanted.connect(self.take)
        panel.reading_wanted.connect(self.reading_wanted)
        panel.ticket_wanted.connect(self.print_ticket)
        panel.rearranged.connect(self.rearranged)

    def show_stage(self, state: JobState, stage: str, aside: Aside) -> None:
        """Show what is advised on a stage; until it is known, what was advised before steps back."""
        if self._aside is not aside:
            aside.advice.refuse("")
        self._state, self._stage, self._aside = state, stage, aside
        aside.advice.await_answer()
        self._ask()

    def leave(self) -> None:
        """Forget the job that was shown."""
        self._state = self._aside = None

    @property
    def is_asking(self) -> bool:
        """Whether an answer is still being worked out."""
        return self._is_asking

    # -- asking --------------------------------------------------------------------------------------------------

    def _ask(self) -> None:
        if self._is_asking:
            self._is_stale = True
            return
        if self._state is None or self._aside is None:
            return
        self._is_asking, self._is_stale = True, False
        work = partial(_answer, self._workshop, self._state.context.job.id, self._stage, theme.current())
        self._run(work, partial(self._answered, self._aside))

    def _answered(self, aside: Aside, answer: Answer | Exception) -> None:
        self._is_asking = False
        if self._is_stale or aside is not self._aside:
            # Another question came meanwhile; its answer is the one that counts.
            self._ask()
            return
        if isinstance(answer, Exception):
            raise answer
        if self._state is None:
            return
        advice, plot = answer
        context = self._state.context
        trial = next_trial(context, self._stage) if advice is not None and advice.can_be_taken else 0
        is_signed = context.job.signed_at is not None
        aside.show_advice(Shown(advice, trial, _is_in(context, self._stage, trial, advice), is_signed, plot))

    # -- doing ---------------------------------------------------------------------------------------------------

    def take(self) -> None:
        """Make the pair that stands on the page the next trial."""
        panel = self._panel()
        if panel is None or self._state is None:
            return
        if panel.shown.is_read_only or panel.shown.is_taken:
            is_signed = panel.shown.is_read_only
            self.said.emit(tr("The job is signed.") if is_signed else tr("What is advised is in already: read it."))
            return
        if not panel.is_in_sight:
            # Scrolled away, or under the fields of a narrow page: first it is shown, and the key once more takes it.
            panel.take.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        advice = panel.shown.advice
        offer = (advice.offer or advice.shims) if advice is not None else None
        job_id, stage = self._state.context.job.id, self._stage
        # What is typed counts, and may be about to change what is advised.
        self._settle()
        panel.refuse("")
        try:
            state = self._workshop.take_advice(job_id, stage, self._settings.person, seen=offer)
        except UserError as error:
            panel.refuse(str(error))
            # Somebody else may have been quicker: what is advised now is shown beside the sentence.
            self._ask()
            return
        self.taken.emit(state, stage, max(state.context.trials(stage)))

    def print_ticket(self) -> None:
        """Put what is advised on paper, or else what the last trial has."""
        if not self._is_at_bench() or self._state is None or self._aside is None:
            return
        self._settle()
        context = self._state.context
        trial = self._aside.advice.shown.trial or max(context.trials(self._stage), default=0)
        self.ticket_wanted.emit(context.job.id, self._stage, trial)

    def _is_at_bench(self) -> bool:
        is_seen = self._aside is not None and self._page.isVisible()
        if not is_seen:
            self.said.emit(tr("Turn to the bench first: what is advised stands beside the trials."))
        return is_seen

    def _panel(self) -> AdvicePanel | None:
        """Return where a pair is advised that can be seen; say what is missing where there is none."""
        if not self._is_at_bench() or self._aside is None:
            return None
        advice = self._aside.advice.shown.advice
        if advice is None or not advice.can_be_taken:
            self.said.emit(tr("No pair is advised on this stage."))
            return None
        return self._aside.advice


def _answer(workshop: Workshop, job_id: int, stage: str, look: theme.Theme) -> Answer | Exception:
    """Return what is advised, with its plot; a fault comes back too, so that the next question can be asked."""
    try:
        advice = workshop.advice(job_id, stage)
    except UserError as error:
        # A card that lacks what advice needs must not keep the figure from being drawn.
        return Advice(tr("No advice"), str(error)), None
    except Exception as error:
        return error
    if advice is None or advice.picture is None:
        return advice, None
    from core.sheet.figures import advice_plot, as_svg

    return advice, as_svg(advice_plot(advice.picture, look.figure_palette()))


def _is_in(context: Context, stage: str, trial: int, advice: Advice | None) -> bool:
    """Tell whether what is advised is what the coming trial has already."""
    if advice is None or not trial:
        return False
    if advice.offer is not None:
        fitted, wanted = pair(context, stage, trial), advice.offer.pair
        return fitted is not None and are_same_pieces(
            (fitted.ring_gear_side_mm, fitted.opposite_side_mm), (wanted.ring_gear_side_mm, wanted.opposite_side_mm)
        )
    under = [context.value(stage, key, trial=trial) for key in PINION_SHIMS]
    return advice.shims is not None and are_same_pieces(
        [size_mm for size_mm in under if size_mm is not None], advice.shims.shims_mm
    )
