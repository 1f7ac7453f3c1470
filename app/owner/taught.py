"""What the jobs of a casing family have taught, and how good the advice has been; a family is chosen by keyboard."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QRadioButton, QVBoxLayout, QWidget

from app.jobs.form import ChoiceField, Form, Scrolled, unsaid
from app.jobs.latest import Latest, Run
from app.jobs.panes import Panes
from app.jobs.rows import Column, RowsView
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
class Read:
    """What was read for the section: the families with their signed jobs, and what the chosen one has taught."""

    families: Mapping[str, int]
    record: FamilyRecord | None
    units: str


class TaughtSection(QWidget):
    """What is usual, what a first trial can start from, and what came of the advice."""

    def __init__(self, workshop: Workshop, run: Run, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._ask = Latest(run)
        self._read = Read({}, None, "metric")
        self.nothing = words(tr("Looking through the signed jobs …"), "body")
        self.form = Form()
        self.taught = RowsView(TAUGHT_COLUMNS, tr("What is usual in this family"))
        self.starts = RowsView(START_COLUMNS, tr("What a first trial can start from"))
        self.scores = RowsView(SCORE_COLUMNS, tr("What came of the advice, by the chance stated"))
        self.bound, self.score, self.counts = unsaid("body"), unsaid("body"), words(tr(WHAT_COUNTS), "quiet")
        self._lay_out()

    def _lay_out(self) -> None:
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
        self.panes = Panes(usual, advice, LEAST_DIGITS, wide=(1, 1), narrow=(1, 1))
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(2 * GRID)
        self._column.addWidget(self.nothing)
        self._column.addWidget(self.form)
        self._column.addWidget(self.panes, 1)
        self._column.addStretch(0)
        self.form.hide()
        self.panes.hide()

    # -- reading -----------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Read the signed jobs again; the chosen family stays chosen."""
        family = "" if self._read.record is None else self._read.record.family
        self._ask.ask(lambda: self._look(family), self._show)

    def _look(self, family: str) -> Read:
        """Collect what a family, or the first there is, has taught; runs off the window's thread."""
        families, units = self._workshop.charted_families(), self._workshop.shop().units
        chosen = family if family in families else next(iter(families), "")
        try:
            return Read(families, self._workshop.family_record(chosen) if chosen else None, units)
        except NotFoundError:
            # Its only job was reopened at another bench this very moment; what that bench wrote is shown next.
            return Read({name: count for name, count in families.items() if name != chosen}, None, units)

    def _show(self, read: Read) -> None:
        is_new = dict(read.families) != dict(self._read.families)
        self._read = read
        if is_new:
            self._offer(read)
        say(self.nothing, "" if read.families else tr("No job is signed yet; the first one teaches the family most."))
        self.form.setVisible(bool(read.families))
        self.panes.setVisible(bool(read.families))
        if read.record is not None:
            self._tell(read.record, read.units)

    def _offer(self, read: Read) -> None:
        """Offer other families; the keyboard stays where it was."""
        had_keyboard = self.form.isAncestorOf(self.focusWidget() or self)
        made = Form()
        if read.record is not None:
            families = [
                (name, tr("{family} ({count})", family=name, count=count)) for name, count in read.families.items()
            ]
            made.add(ChoiceField("family", tr("Casing family"), families))
            made.put({"family": read.record.family})
            made.fields["family"].changed.connect(self._choose_family)
            made.handed_in.connect(self._into_rows)
        self._column.replaceWidget(self.form, made)
        self.form.hide()
        self.form.deleteLater()
        self.form = made
        if made.fields:
            # Tab goes as the eye does, whenever the choice was made.
            QWidget.setTabOrder(made.findChildren(QRadioButton)[-1], self.taught)
            QWidget.setTabOrder(self.taught, self.starts)
            QWidget.setTabOrder(self.starts, self.scores)
            self.setFocusProxy(made.fields["family"])
            if had_keyboard:
                made.fields["family"].setFocus(Qt.FocusReason.OtherFocusReason)

    def _choose_family(self) -> None:
        family = self.form.fields["family"].value()
        self._ask.ask(lambda: self._look(family), self._show)

    # -- showing -----------------------------------------------------------------------------------------------------

    @property
    def shown(self) -> FamilyRecord | None:
        """What is in view, or None."""
        return self._read.record

    def _tell(self, record: FamilyRecord, units: str) -> None:
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

    def _into_rows(self) -> None:
        self.taught.setFocus(Qt.FocusReason.TabFocusReason)


def _pane(*widgets: QWidget) -> Scrolled:
    content = QWidget()
    column = QVBoxLayout(content)
    column.setContentsMargins(0, 0, GRID, 0)
    column.setSpacing(GRID)
    for widget in widgets:
        column.addWidget(widget)
    column.addStretch(1)
    return Scrolled(content)
