"""The right column: the figure of the stage, what to try next, remarks, photos, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app import theme
from app.bench.photos import PhotoPane
from app.widgets.figure_view import FigureView
from app.widgets.marks import answer_word
from app.widgets.sentences import CautionBox, say, words
from core.advice import Advice
from core.language import tr
from core.quantities import show
from core.stages.entry import Remark
from core.stages.state import JobState, StageState


def draw_figure(stage: StageState, job: JobState, units: str) -> bytes | None:
    """Return the stage's figure as SVG in the colours in force, or None where it has none."""
    # The figures bring reportlab with them; a window should show before that is loaded.
    from core.sheet.figures import FIGURES, SIZES, as_svg, figure

    name = stage.stage.figure
    if name not in FIGURES:
        return None
    return as_svg(figure(name, stage, job, theme.current().figure_palette(), SIZES[name], units))


class Aside(QWidget):
    """Figure, advice, remarks, photos and cautions of one stage."""

    def __init__(self, stage: StageState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.figure = FigureView()
        self.title, self.text, self.why = words("", "heading"), words("", "body"), words("", "quiet")
        self.cautions = CautionBox(stage.stage.cautions)
        self.photos = PhotoPane(tr(stage.stage.label))
        self._remarks = QVBoxLayout()
        self._remarks.setSpacing(theme.GRID)
        column = QVBoxLayout(self)
        column.setContentsMargins(2 * theme.GRID, 0, 2 * theme.GRID, 2 * theme.GRID)
        column.setSpacing(theme.GRID)
        for widget in (self.figure, self.title, self.text, self.why):
            column.addWidget(widget)
        column.addLayout(self._remarks)
        column.addWidget(self.photos)
        column.addSpacing(2 * theme.GRID)
        column.addWidget(self.cautions)
        column.addStretch(1)

    def put_before_photos(self, widget: QWidget) -> None:
        """Put something under the remarks, before the photos."""
        column = self.layout()
        if isinstance(column, QVBoxLayout):
            column.insertWidget(column.indexOf(self.photos), widget)

    def show_stage(self, stage: StageState, job: JobState, advice: Advice | None, units: str) -> None:
        """Show what is known of the stage beside its fields."""
        say(self.title, advice.title if advice else "")
        say(self.text, advice.text if advice else "")
        say(self.why, tr("Why: {why}", why=advice.why) if advice and advice.why else "")
        self._show_remarks(stage.remarks)
        self.show_figure(stage, job, units)

    def show_figure(self, stage: StageState, job: JobState, units: str) -> None:
        """Draw the figure anew."""
        svg = draw_figure(stage, job, units)
        self.figure.setVisible(svg is not None)
        if svg is not None:
            name = tr("Figure: {stage}", stage=tr(stage.stage.label))
            self.figure.show_figure(svg, name, stage_in_words(stage))

    def _show_remarks(self, remarks: Sequence[Remark]) -> None:
        while (item := self._remarks.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for remark in remarks:
            label = words(remark.text, "body")
            if remark.is_warning:
                # A word, not only a colour.
                label.setText(tr("Look again: {remark}", remark=remark.text))
                label.setProperty("tone", "uncertain")
            self._remarks.addWidget(label)


def stage_in_words(stage: StageState) -> str:
    """Return what a figure shows, for who cannot see it: every value of the stage with its verdict."""
    last = stage.trials[-1] if stage.trials else None
    derived = (*stage.derived, *(last.derived if last else ()))
    told = [
        tr(
            "{label} {value}{verdict}.",
            label=tr(d.derived.label),
            value=show(d.derived.kind, d.value, d.derived.unit),
            verdict=tr(", {word}", word=answer_word(d.verdict.answer)) if d.verdict else "",
        )
        for d in derived
        if d.value is not None
    ]
    return " ".join(told) or tr("Nothing measured yet.")
