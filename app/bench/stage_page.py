"""What belongs to one stage on the bench: its fields, what ends it, and what stands beside it."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtWidgets import QWidget

from app.bench.aside import Aside
from app.bench.column import StageColumn
from app.bench.finish import GoOn, HandOver
from core.language import tr
from core.stages.state import JobState, StageState


@dataclass(frozen=True)
class StagePage:
    """The parts of one stage's page; made once for a job and kept, with whatever is typed in them."""

    column: StageColumn
    end: GoOn | HandOver
    aside: Aside

    @property
    def parts(self) -> tuple[QWidget, ...]:
        """The parts, in the order they are seen."""
        return self.column, self.end, self.aside

    def hide(self) -> None:
        """Hide all parts; they stay as they are."""
        for part in self.parts:
            part.hide()

    def throw_away(self) -> None:
        """Let go of all parts."""
        for part in self.parts:
            part.hide()
            part.deleteLater()


def make_stage_page(state: StageState, job: JobState, left: QWidget, right: QWidget) -> StagePage:
    """Make the page of a stage; the last stage ends with the hand-over, the others with the way to the next.

    The parts are made where they will stand: a widget that moves to another parent is styled anew, children and all.
    """
    keys = [s.stage.key for s in job.stages]
    following = job.stages[keys.index(state.stage.key) + 1 :]
    end = GoOn(tr(following[0].stage.label), left) if following else HandOver(left)
    return StagePage(StageColumn(left), end, Aside(state, right))
