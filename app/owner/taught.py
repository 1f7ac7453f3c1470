"""What the jobs of a casing family have taught, and how good the advice has been; a family is chosen by keyboard."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.jobs.form import Scrolled, unsaid
from app.jobs.latest import Run
from app.jobs.panes import Panes
from app.jobs.rows import Column, RowsView
from app.owner.of_family import FamilySection, Read
from app.theme import GRID
from app.widgets.sentences import say, words
from core.advice.record import FamilyRecord
from core.advice.record_words import bound_sentence, score_rows, score_sentences, start_rows, taught_rows
from core.errors import NotFoundError
from core.language import mark, tr
from core.workshop import Workshop

LEAST_DIGITS = 150
MOST_ROWS = 12

TAUGHT_COLUMNS = (
    Column(mark("What"), lambda row: row.what, stretches=True),
    Column(mark("Usually"), lambda row: row.usual, is_number=True),
    Column(mark("Axle to axle"), lambda row: row.scatter, is_number=True),
    Column(mark("Jobs"), lambda row: row.jobs, is_number=True),
)
START_COLUMNS = (
    Column(mark("Known before the first trial"), lambda row: row.what, stretches=True),
    Column(mark("Sum known to (95 %)"), lambda row: row.known, is_number=True),
    Column(mark("Chance at best"), lambda row: row.chance, is_number=True),
)
SCORE_COLUMNS = (
    Column(mark("Stage"), lambda row: row.stage, stretches=True),
    Column(mark("Chance stated"), lambda row: row.stated, is_number=True),
    Column(mark("Trials"), lambda row: row.trials, is_number=True),
    Column(mark("On average"), lambda row: row.mean, is_number=True),
    Column(mark("Conformed (90 % sure)"), lambda row: row.share, is_number=True),
)
WHAT_SCATTER_SAYS = mark(
    "Axle to axle says how far single axles stray from what is usual (one standard deviation). What no job has told is "
    "assumed (common practice)."
)
WHAT_COUNTS = mark("Only trials with the pair advised count, within 0.005 mm on each side.")


@dataclass(frozen=True)
class Taught(Read):
    """What was read for the section, and what the chosen family's jobs have taught."""

    record: FamilyRecord | None = None


class TaughtSection(FamilySection[Taught]):
    """What is usual, what a first trial can start from, and what came of the advice."""

    def __init__(self, workshop: Workshop, run: Run, parent: QWidget | None = None) -> None:
        super().__init__(workshop, run, Taught({}, "", "metric"), parent)
        self.taught = RowsView(TAUGHT_COLUMNS, tr("What is usual in this family"))
        self.starts = RowsView(START_COLUMNS, tr("What a first trial can start from"))
        self.scores = RowsView(SCORE_COLUMNS, tr("What came of the advice, by the chance stated"))
        self.bound, self.score, self.counts = unsaid("body"), unsaid("body"), words(tr(WHAT_COUNTS), "quiet")
        usual = _pane(
            words(tr("What is usual in this family"), "heading"),
            self.taught,
            words(tr(WHAT_SCATTER_SAYS), "quiet"),
            words(tr("What a first trial can start from"), "heading"),
            self.starts,
            self.bound,
        )
        advice = _pane(
            words(tr("How good the advice has been"), "heading"),
            self.score,
            self.scores,
            self.counts,
        )
        self._fill(Panes(usual, advice, LEAST_DIGITS, wide=(1, 1), narrow=(1, 1)))

    def _look(self, family: str) -> Taught:
        families, units = self._workshop.charted_families(), self._workshop.shop().units
        chosen = self._chosen_of(families, family)
        try:
            return Taught(families, chosen, units, self._workshop.family_record(chosen) if chosen else None)
        except NotFoundError:
            # Its only job was reopened at another bench this very moment; what that bench wrote is shown next.
            return Taught({name: count for name, count in families.items() if name != chosen}, "", units)

    @property
    def _no_job_words(self) -> str:
        return tr("No job is signed yet; the first one teaches the family most.")

    @property
    def _stops(self) -> tuple[QWidget, ...]:
        return self.taught, self.starts, self.scores

    # -- showing -----------------------------------------------------------------------------------------------------

    @property
    def shown(self) -> FamilyRecord | None:
        """What is in view, or None."""
        return self._read.record

    def _tell(self) -> None:
        record, units = self._read.record, self._read.units
        if record is None:
            return
        self.taught.show_rows(taught_rows(record, units), lambda row: row.what, is_first_chosen=False)
        self.starts.show_rows(start_rows(record, units), lambda row: row.what, is_first_chosen=False)
        rows = score_rows(record)
        self.scores.show_rows(rows, lambda row: (row.stage, row.stated), is_first_chosen=False)
        say(self.bound, bound_sentence(record, units))
        say(self.score, "\n".join(score_sentences(record)))
        self.scores.setVisible(bool(rows))
        self.counts.setVisible(bool(rows))
        self._fit()

    def _fit(self) -> None:
        for view in (self.taught, self.starts, self.scores):
            view.fit_height(MOST_ROWS)

    def theme_changed(self) -> None:
        """Give the rows the height of the type now in force."""
        self._fit()


def _pane(*widgets: QWidget) -> Scrolled:
    content = QWidget()
    column = QVBoxLayout(content)
    column.setContentsMargins(0, 0, GRID, 0)
    column.setSpacing(GRID)
    for widget in widgets:
        column.addWidget(widget)
    column.addStretch(1)
    return Scrolled(content)
