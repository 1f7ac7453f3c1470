"""The gauges on the shop's page: as they want calibrating, the chosen one beside them, and the form that adds one."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from itertools import pairwise
from operator import attrgetter

from PySide6.QtWidgets import QWidget

from app.drawer.gauge_care import ChosenGauge
from app.drawer.section import Line, Shelf, ShelfSection, Values, cell_columns
from app.jobs.form import ChoiceField, Field, TextField
from app.widgets.sentences import say
from core.errors import InputError
from core.facts import Gauge
from core.gauges import by_urgency, day_of, standing, standing_words, width_words
from core.language import mark, tr
from core.quantities import KINDS, parse
from core.shop_inputs import GAUGE_KINDS, gauge_error, past_day, whole_number
from core.stages.entry import GAUGE_USES
from core.workshop import Workshop


def gauge_lines(gauges: Iterable[Gauge], today: date, units: str) -> list[Line]:
    """Return the rows of the list, those first that want calibrating first."""
    return [
        Line(
            gauge.id,
            (
                gauge.name,
                tr(GAUGE_USES.get(gauge.use, gauge.use)),
                tr("± {error}", error=width_words(gauge, gauge.stated_error, units)),
                tr("retired") if gauge.is_retired else standing_words(standing(gauge, today)),
            ),
        )
        for gauge in by_urgency(gauges, today)
    ]


def due_words(gauges: Iterable[Gauge], today: date) -> str:
    """Say which gauges want calibrating, or which will next; "" where none is followed."""
    followed = [(gauge, standing(gauge, today)) for gauge in by_urgency(gauges, today) if not gauge.is_retired]
    lapsed = [gauge.name for gauge, now in followed if now.is_lapsed]
    if lapsed:
        return tr("To be calibrated: {gauges}.", gauges=", ".join(lapsed))
    due = next(((gauge, now.due_on) for gauge, now in followed if now.due_on is not None), None)
    if due is None:
        return ""
    gauge, day = due
    return tr("All that are followed are in date; next is {gauge}, by {day}.", gauge=gauge.name, day=day.isoformat())


class GaugeUseField(ChoiceField):
    """What a gauge is for; resolution and error are taken in the unit such a gauge reads."""

    def __init__(self, *widths: TextField) -> None:
        super().__init__(
            "use", tr("Used as"), [(key, tr(label)) for key, label in GAUGE_USES.items() if key in GAUGE_KINDS]
        )
        self._widths = widths
        self.changed.connect(self._show_units)

    def put(self, value: str) -> None:
        super().put(value)
        self._show_units()

    def _show_units(self) -> None:
        use = self.value()
        label = KINDS[GAUGE_KINDS[use][0]].unit(GAUGE_KINDS[use][1]).label if use else ""
        for field in self._widths:
            field.set_unit(label)


def _gauge_fields() -> Sequence[Field]:
    resolution = TextField(
        "resolution", tr("Resolution"), tr("The smallest step it shows, such as 0.01 mm or 0.0005 in.")
    )
    error = TextField("error", tr("Stated error"), tr("The ± on its certificate or data sheet, such as 0.015 mm."))
    return (
        TextField("name", tr("Name"), tr("As it is called at the bench, such as dial gauge 1.")),
        GaugeUseField(resolution, error),
        resolution,
        error,
        TextField("calibrated", tr("Calibrated on"), tr("Year-month-day; leave it empty where it is not known.")),
        TextField(
            "interval", tr("Calibrate every"), tr("Months; leave it empty where it is not followed."), tr("months")
        ),
    )


def _use(values: Values) -> str:
    if not values["use"]:
        raise InputError(tr("It is not said what the gauge is used as."), tr("Choose one."))
    return values["use"]


def _add(workshop: Workshop, values: Values, person: str = "") -> Gauge:
    return workshop.add_gauge(
        values["name"],
        values["use"],
        values["resolution"],
        values["error"],
        values["calibrated"],
        values["interval"],
        person,
    )


GAUGES = Shelf(
    mark("Gauges"),
    mark("There is no gauge yet. Without one, verdicts take no account of how well a reading can be known."),
    cell_columns(
        (mark("Name"), False),
        (mark("Used as"), False),
        (mark("Stated error"), True),
        (mark("Calibration"), False),
    ),
    lambda workshop: gauge_lines(workshop.gauges(), workshop.today(), workshop.shop().units),
    mark("Add a gauge"),
    mark("Add gauge"),
    _gauge_fields,
    {
        "name": lambda values: parse("text", values["name"]),
        "use": _use,
        "resolution": lambda values: gauge_error(values["use"] or "dial", values["resolution"]),
        "error": lambda values: gauge_error(values["use"] or "dial", values["error"]),
        "calibrated": lambda values: past_day(values["calibrated"], day_of(datetime.now(UTC))),
        "interval": lambda values: whole_number(values["interval"]) if values["interval"].strip() else None,
    },
    _add,
    {},
)


class GaugesSection(ShelfSection):
    """The shelf of gauges, with the chosen one above the form that adds another."""

    def __init__(self, workshop: Workshop, person: Callable[[], str] = str, parent: QWidget | None = None) -> None:
        shelf = replace(GAUGES, add=lambda workshop, values: _add(workshop, values, person()))
        chosen = ChosenGauge(workshop, person)
        super().__init__(shelf, workshop, parent, above=(chosen,))
        self._gauges: dict[int, Gauge] = {}
        self.chosen = chosen
        for one, following in pairwise([self.list, *self.chosen.focusables()]):
            QWidget.setTabOrder(one, following)
        self.list.chosen.connect(self._show_chosen)
        self.chosen.armed.connect(self.form.armed)
        self.chosen.kept.connect(self._changed)

    def refresh(self) -> None:
        """Read the gauges again."""
        gauges, today = self._workshop.gauges(), self._workshop.today()
        self._gauges = {gauge.id: gauge for gauge in gauges}
        self.list.show_rows(gauge_lines(gauges, today, self._workshop.shop().units), attrgetter("id"))
        self._show_chosen(self.list.current())
        say(self.count, due_words(gauges, today) if gauges else tr(self._shelf.empty))

    def _show_chosen(self, line: Line | None) -> None:
        self.chosen.show_gauge(None if line is None else self._gauges.get(line.id))

    def _changed(self) -> None:
        self.refresh()
        self.kept.emit()

    def _added(self) -> None:
        super()._added()
        ids = [line.id for line in self.list.rows_model.rows]
        self.list.choose(ids.index(max(ids)))
