"""The right column: what to try next, the figure of the stage, remarks, photos, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app import theme
from app.bench.advice_panel import AdvicePanel, Shown
from app.bench.photos import PhotoPane
from app.widgets.figure_view import FigureView
from app.widgets.marks import answer_word
from app.widgets.sentences import CautionBox, words
from core.language import tr
from core.quantities import show
from core.stages.entry import Remark
from core.stages.state import JobState, StageState

WITHOUT_CURVE = {"preload": "ring_stack"}
"""What is drawn of a figure where the plot of the advice shows the readings already."""


def draw_figure(stage: StageState, job: JobState, units: str, *, has_plot: bool = False) -> bytes | None:
    """Return the stage's figure as SVG in the colours in force, or None where it has none, or nothing beside a plot."""
    # The figures bring reportlab with them; a window should show before that is loaded.
    from core.sheet.figures import FIGURES, SIZES, NothingYet, as_svg, figure

    name = stage.stage.figure
    if has_plot:
        name = WITHOUT_CURVE.get(name, name)
    if name not in FIGURES:
        return None
    drawn = figure(name, stage, job, theme.current().figure_palette(), SIZES[name], units)
    return None if has_plot and isinstance(drawn, NothingYet) else as_svg(drawn)


class Aside(QWidget):
    """Advice, figure, remarks, photos and cautions of one stage."""

    def __init__(self, stage: StageState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.advice, self.figure = AdvicePanel(), FigureView()
        self._drawn: tuple[StageState, JobState, str] | None = None
        # Most often there is a plot; the curve drawn first would be gone a moment later.
        self._has_plot = stage.accepted is None
        self.cautions = CautionBox(stage.stage.cautions)
        self.photos = PhotoPane(tr(stage.stage.label))
        self._remarks = QVBoxLayout()
        self._remarks.setSpacing(theme.GRID)
        column = QVBoxLayout(self)
        column.setContentsMargins(2 * theme.GRID, 0, 2 * theme.GRID, 2 * theme.GRID)
        column.setSpacing(theme.GRID)
        # What to do comes first; the figure tells how things stand.
        column.addWidget(self.advice)
        column.addWidget(self.figure)
        column.addLayout(self._remarks)
        column.addWidget(self.photos)
        column.addSpacing(2 * theme.GRID)
        column.addWidget(self.cautions)
        column.addStretch(1)

    def put_under_advice(self, widget: QWidget) -> None:
        """Put something under what to do, before the figure."""
        column = self.layout()
        if isinstance(column, QVBoxLayout):
            column.insertWidget(column.indexOf(self.figure), widget, 0, Qt.AlignmentFlag.AlignLeft)

    def put_before_photos(self, widget: QWidget) -> None:
        """Put something under the remarks, before the photos."""
        column = self.layout()
        if isinstance(column, QVBoxLayout):
            column.insertWidget(column.indexOf(self.photos), widget)

    def show_stage(self, stage: StageState, job: JobState, units: str) -> None:
        """Show what is known of the stage beside its fields."""
        self._show_remarks(stage.remarks)
        self._drawn = stage, job, units
        self._show_figure()

    def show_advice(self, shown: Shown) -> None:
        """Show what is advised; the figure leaves out what the plot shows already."""
        has_plot = shown.plot is not None
        is_other, self._has_plot = has_plot != self._has_plot, has_plot
        self.advice.show_answer(shown)
        if is_other:
            self._show_figure()

    def _show_figure(self) -> None:
        if self._drawn is None:
            return
        stage, job, units = self._drawn
        svg = draw_figure(stage, job, units, has_plot=self._has_plot)
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
