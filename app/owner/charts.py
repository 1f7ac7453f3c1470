"""The charts of the owner's page: a family, a quantity, and who or what read it, chosen by keyboard."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app import theme
from app.jobs.form import ChoiceField, Form, Scrolled
from app.jobs.latest import Run
from app.jobs.panes import Panes
from app.jobs.rows import RowsView
from app.owner.lists import POINT_COLUMNS, PointRow, point_key, point_rows
from app.owner.of_family import FamilySection, Read
from app.theme import GRID
from app.widgets.figure_view import FigureView
from app.widgets.sentences import words
from core.charts import BY, BY_PERSON, QUANTITIES, FamilyChart, grouped
from core.language import tr
from core.overview_words import chart_sentences, group_sentences, signal_sentences
from core.workshop import Workshop

LEAST_DIGITS = 150
WIDEST = 680
"""So many pixels wide the chart is drawn at most at 100 % text size: its words should not shout."""


@dataclass(frozen=True)
class Charts(Read):
    """What was read for the section, and the charts of the chosen family."""

    charts: Mapping[str, FamilyChart] = field(default_factory=dict)


class ChartsSection(FamilySection[Charts]):
    """The chart, what it says in words, and its points as rows."""

    job_wanted = Signal(int)

    def __init__(self, workshop: Workshop, run: Run, parent: QWidget | None = None) -> None:
        super().__init__(workshop, run, Charts({}, "", "metric"), parent)
        self.figure = FigureView()
        self._told = QVBoxLayout()
        self.points = RowsView(POINT_COLUMNS, tr("Jobs on the chart, newest first"))
        self.points.opened.connect(self._want)
        self._lay_out()

    def _lay_out(self) -> None:
        self._told.setSpacing(GRID)
        drawn = QWidget()
        left = QVBoxLayout(drawn)
        left.setContentsMargins(GRID, 0, GRID, 0)
        left.setSpacing(2 * GRID)
        row = QHBoxLayout()
        row.addWidget(self.figure, 1)
        # Takes the room the chart leaves once it is as wide as it gets.
        row.addStretch()
        left.addLayout(row)
        left.addLayout(self._told)
        left.addStretch(1)
        # It takes the keyboard, so that the arrows reach what is below and the chart can be listened to.
        self.reading = Scrolled(drawn)
        self.reading.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        theme.give_role(self.reading, "reading")
        self._fill(Panes(self.reading, self.points, LEAST_DIGITS, wide=(6, 7), narrow=(3, 2)))

    def _look(self, family: str) -> Charts:
        families = self._workshop.charted_families()
        chosen = self._chosen_of(families, family)
        charts = self._workshop.family_charts(chosen) if chosen else {}
        return Charts(families, chosen, self._workshop.shop().units, charts)

    @property
    def _no_job_words(self) -> str:
        return tr("No job is signed yet; the charts begin with the first one.")

    @property
    def _stops(self) -> tuple[QWidget, ...]:
        return self.reading, self.points

    def _add_choices(self, form: Form, before: Mapping[str, str]) -> None:
        form.add(ChoiceField("quantity", tr("What is charted"), [(q.key, tr(q.label)) for q in QUANTITIES]))
        form.add(ChoiceField("by", tr("Marks tell"), [(key, tr(label)) for key, label in BY.items()]))
        form.fields["quantity"].put(before.get("quantity") or QUANTITIES[0].key)
        form.fields["by"].put(before.get("by") or BY_PERSON)
        form.changed.connect(self.draw)

    # -- showing -----------------------------------------------------------------------------------------------------

    @property
    def shown(self) -> FamilyChart | None:
        """The chart in view, or None."""
        quantity = self.form.values().get("quantity", "")
        return self._read.charts.get(quantity)

    def _tell(self) -> None:
        self.draw()

    def draw(self) -> None:
        """Draw the chosen chart in the colours in force, and say and list what it shows."""
        chart = self.shown
        if chart is None:
            return
        # The figures bring reportlab with them; a window should show before that is loaded.
        from core.sheet.figures import as_svg, family_chart_figure

        by, units = self.form.values()["by"], self._read.units
        drawing = family_chart_figure(chart, by, theme.current().figure_palette(), units=units)
        signals = list(signal_sentences(chart, units))
        sentences = [*signals, *chart_sentences(chart, units), *group_sentences(chart, by, units)]
        self.figure.setMaximumWidth(theme.current().px(WIDEST))
        name = tr("Chart of {family}: {quantity}", family=chart.family, quantity=tr(chart.quantity.label))
        self.figure.show_figure(as_svg(drawing), name, " ".join(sentences))
        self.reading.setAccessibleName(name)
        self.reading.setAccessibleDescription(" ".join(sentences))
        self._say(sentences, len(signals))
        self.points.show_rows(point_rows(chart, grouped(chart.points, by), by, units), point_key)

    def _say(self, sentences: list[str], signals: int) -> None:
        """Say what the chart shows; what is unusual comes first and stands out."""
        while (item := self._told.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for at, sentence in enumerate(sentences):
            label = words(sentence, "body" if at < signals else "quiet")
            label.setProperty("tone", "uncertain" if at < signals else "")
            self._told.addWidget(label)

    def _want(self, row: PointRow | None) -> None:
        if row is not None:
            self.job_wanted.emit(row.point.job_id)
