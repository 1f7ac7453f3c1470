"""What is handed over: the job on the bench, its unit or everything, as an archive or as a table."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QVBoxLayout, QWidget

from app.jobs.form import ChoiceField, Form, button
from app.keeping.keeper import Runner
from app.sheets import MOST_NAME, default_folder, make_folder
from app.theme import GRID
from app.widgets.sentences import Reply, words
from core.errors import UserError
from core.exchange.form import EVERYTHING, JOB, UNIT
from core.facts import Job
from core.language import mark, tr
from core.workshop import Workshop
from core.workshop.exchange import TABLES

ARCHIVE = "archive"
SCOPES = ((JOB, mark("the open job")), (UNIT, mark("its unit, every visit")), (EVERYTHING, mark("everything")))


class HandOver(QWidget):
    """Writes an archive or a table where somebody says, off the window's thread."""

    def __init__(
        self,
        workshop: Workshop,
        run: Runner,
        job: Callable[[], Job | None],
        folder: Callable[[], str] = str,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._run = run
        self._job = job
        self._folder = folder
        self._offered = 0
        self.form = Form()
        self.form.add(
            ChoiceField(
                "what",
                tr("What"),
                [(key, tr(label)) for key, label in SCOPES],
                tr("With everything it rests on: customer, unit, spec card, gauges, photos."),
            )
        )
        kinds = [(ARCHIVE, tr("archive")), *((key, tr("{name} (CSV)", name=tr(name))) for key, name in TABLES.items())]
        self.form.add(
            ChoiceField(
                "how",
                tr("As"),
                kinds,
                tr("Another logbook takes in an archive; CSV is a flat table, for calculating with."),
            )
        )
        self.form.put({"what": EVERYTHING, "how": ARCHIVE})
        self.about = words(role="quiet")
        self.push = button(tr("Hand over to a file …"), "main")
        self.answer = Reply()
        self._lay_out()
        self.form.changed.connect(self._changed)
        self.form.handed_in.connect(self._choose)
        self.push.clicked.connect(self._choose)

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, GRID, GRID)
        column.setSpacing(2 * GRID)
        column.addWidget(words(tr("Hand over"), "heading"))
        column.addWidget(self.form)
        column.addWidget(self.about)
        column.addWidget(self.push, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.answer)
        column.addWidget(
            words(
                tr(
                    "An archive is one file: everything as written text, photos, a build sheet of each job, and the "
                    "tables. It never holds a PIN. It is read back before it gets its name."
                ),
                "quiet",
            )
        )
        column.addStretch(1)

    def refresh(self) -> None:
        """Say what would be handed over now; a job that was opened since is offered first."""
        job = self._job()
        if job is not None and job.id != self._offered:
            self._offered = job.id
            self.form.fields["what"].put(JOB)
        self._changed()

    def offer(self, scope: str) -> None:
        """Choose what is handed over."""
        self.form.fields["what"].put(scope)
        self.refresh()

    def _changed(self) -> None:
        job, scope = self._job(), self.form.fields["what"].value()
        self.answer.forget()
        is_missing = job is None and scope != EVERYTHING
        self.push.setEnabled(not is_missing)
        if is_missing:
            self.about.setText(tr("No job is open: choose one on the desk."))
        elif job is None or scope == EVERYTHING:
            self.about.setText(tr("The whole logbook."))
        elif scope == JOB:
            self.about.setText(tr("Job {number}, unit {serial}.", number=job.number, serial=job.serial))
        else:
            self.about.setText(tr("Every visit of unit {serial}.", serial=job.serial))

    def _choose(self) -> None:
        job, scope, how = self._job(), self.form.fields["what"].value(), self.form.fields["how"].value()
        if job is None and scope != EVERYTHING:
            return
        which = {JOB: {"job": job.number}, UNIT: {"unit": job.serial}}.get(scope, {}) if job else {}
        chosen = self.ask_file(self._suggested(job, scope, how))
        if not chosen:
            return
        export = (
            partial(self._workshop.export_archive, Path(chosen), **which)
            if how == ARCHIVE
            else partial(self._workshop.export_table, Path(chosen), how, **which)
        )
        self.answer.tell(tr("Writing it, and reading it back …"))
        self.push.setEnabled(False)
        self._run(partial(_tried, export), self._done)

    def _suggested(self, job: Job | None, scope: str, how: str) -> str:
        about = {JOB: f"{job.number} {job.serial}", UNIT: job.serial}.get(scope, "logbook") if job else "logbook"
        table, suffix = ("", ".zip") if how == ARCHIVE else (f" {how}", ".csv")
        name = re.sub(r"[^\w.-]+", " ", about, flags=re.ASCII).strip(" .")[:MOST_NAME] or "logbook"
        folder = Path(self._folder() or default_folder())
        try:
            make_folder(folder)
        except UserError:
            # Where it cannot be made, another is chosen anyway.
            return f"{name}{table}{suffix}"
        return str(folder / f"{name}{table}{suffix}")

    def _done(self, made: Path | UserError) -> None:
        self.push.setEnabled(True)
        if isinstance(made, UserError):
            self.answer.refuse(made)
        else:
            self.answer.tell(tr("It is in {path}.", path=made), "body")

    def ask_file(self, suggested: str) -> str:
        """Ask where to write it; "" where nothing was chosen. What is there already is never written over."""
        chosen, _ = QFileDialog.getSaveFileName(
            self, tr("Hand over to"), suggested, options=QFileDialog.Option.DontConfirmOverwrite
        )
        return chosen


def _tried(export: Callable[[], Path]) -> Path | UserError:
    """Return what became of it; a refusal is shown on this page, where it was asked for."""
    try:
        return export()
    except UserError as error:
        return error
