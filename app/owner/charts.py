"""The charts of the owner's page: a family, a quantity, and who or what read it, chosen by keyboard."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QRadioButton, QVBoxLayout, QWidget

from app import theme
from app.jobs.form import ChoiceField, Form, Scrolled
from app.jobs.latest import Latest, Run
from app.jobs.panes import Panes
from app.jobs.rows import RowsView
from app.owner.lists import POINT_COLUMNS, PointRow, point_key, point_rows
from app.theme import GRID
from app.widgets.figure_view import FigureView
from app.widgets.sentences import say, words
from core.charts import BY, BY_PERSON, QUANTITIES, FamilyChart, grouped
from core.language import tr
from core.overview_words import chart_sentences, group_sentences, signal_sentences
from core.workshop import Workshop

LEAST_DIGITS = 150
WIDEST = 680
"""So many pixels wide the chart is drawn at most at 100 % text size: its words should not shout."""


@dataclass(frozen=True)
class Read:
    """What was read for the section: the families with their signed jobs, and the charts of the chosen one."""

    families: Mapping[str, int]
    family: str
    charts: Mapping[str, FamilyChart]
    units: str


class ChartsSection(QWidget):
    """The chart, what it says in words, and its points as rows."""

    job_wanted = Signal(int)

    def __init__(self, workshop: Workshop, run: Run, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._workshop = workshop
        self._ask = Latest(run)
        self._read = Read({}, "", {}, "metric")
        self.nothing = words(tr("Looking through the signed jobs …"), "body")
        self.form = Form()
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
        self.panes = Panes(self.reading, self.points, LEAST_DIGITS, wide=(6, 7), narrow=(3, 2))
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
        """Read the signed jobs again; what was chosen stays chosen."""
        family = self._read.family
        self._ask.ask(lambda: self._look(family), self._show)

    def _look(self, family: str) -> Read:
        """Collect the charts of a family, or of the first there is; runs off the window's thread."""
        families = self._workshop.charted_families()
        chosen = family if family in families else next(iter(families), "")
        charts = self._workshop.family_charts(chosen) if chosen else {}
        return Read(families, chosen, charts, self._workshop.shop().units)

    def _show(self, read: Read) -> None:
        is_new = dict(read.families) != dict(self._read.families)
        self._read = read
        if is_new:
            self._offer(read)
        say(self.nothing, "" if read.families else tr("No job is signed yet; the charts begin with the first one."))
        self.form.setVisible(bool(read.families))
        self.panes.setVisible(bool(read.families))
        self.draw()

    def _offer(self, read: Read) -> None:
        """Offer other families; the other choices and the keyboard stay where they were."""
        before, had_keyboard = self.form.values(), self.form.isAncestorOf(self.focusWidget() or self)
        families = [(name, tr("{family} ({count})", family=name, count=count)) for name, count in read.families.items()]
        made = Form()
        if families:
            made.add(ChoiceField("family", tr("Casing family"), families))
            made.add(ChoiceField("quantity", tr("What is charted"), [(q.key, tr(q.label)) for q in QUANTITIES]))
            made.add(ChoiceField("by", tr("Marks tell"), [(key, tr(label)) for key, label in BY.items()]))
            first = {"quantity": QUANTITIES[0].key, "by": BY_PERSON}
            made.put({**first, **{key: value for key, value in before.items() if value}, "family": read.family})
            made.fields["family"].changed.connect(self._choose_family)
            made.changed.connect(self.draw)
            made.handed_in.connect(self._into_chart)
        self._column.replaceWidget(self.form, made)
        self.form.hide()
        self.form.deleteLater()
        self.form = made
        if made.fields:
            # Tab goes as the eye does: the chart comes after the choices, whenever those were made.
            QWidget.setTabOrder(made.findChildren(QRadioButton)[-1], self.reading)
            QWidget.setTabOrder(self.reading, self.points)
            self.setFocusProxy(made.fields["family"])
        if had_keyboard and made.fields:
            made.fields["family"].setFocus(Qt.FocusReason.OtherFocusReason)

    def _choose_family(self) -> None:
        family = self.form.fields["family"].value()
        self._ask.ask(lambda: self._look(family), self._show)

    # -- showing -----------------------------------------------------------------------------------------------------

    @property
    def shown(self) -> FamilyChart | None:
        """The chart in view, or None."""
        quantity = self.form.values().get("quantity", "")
        return self._read.charts.get(quantity)

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
        self._tell(sentences, len(signals))
        self.points.show_rows(point_rows(chart, grouped(chart.points, by), by, units), point_key)

    def _tell(self, sentences: list[str], signals: int) -> None:
        """Say what the chart shows; what is unusual comes first and stands out."""
        while (item := self._told.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for at, sentence in enumerate(sentences):
            label = words(sentence, "body" if at < signals else "quiet")
            label.setProperty("tone", "uncertain" if at < signals else "")
            self._told.addWidget(label)

    def _into_chart(self) -> None:
        self.reading.setFocus(Qt.FocusReason.TabFocusReason)

    def _want(self, row: PointRow | None) -> None:
        if row is not None:
            self.job_wanted.emit(row.point.job_id)
