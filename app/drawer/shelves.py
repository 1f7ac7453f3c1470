"""What the shop keeps: gauges."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime

from app.drawer.section import Line, Shelf, Values, cell_columns
from app.jobs.form import ChoiceField, Field, TextField
from core.errors import InputError
from core.facts import Gauge
from core.language import mark, tr
from core.quantities import KINDS, number, parse, unit_for, width_of
from core.shop_inputs import GAUGE_KINDS, gauge_error, past_day, whole_number
from core.stages.entry import GAUGE_USES
from core.workshop import Workshop

MONTHS = 12


# -- gauges ------------------------------------------------------------------------------------------------------------


def _gauges(workshop: Workshop) -> list[Line]:
    units = workshop.shop().units
    return [
        Line(
            gauge.id,
            (
                gauge.name,
                tr(GAUGE_USES.get(gauge.use, gauge.use)),
                _width(gauge, gauge.resolution, units),
                tr("± {error}", error=_width(gauge, gauge.stated_error, units)),
                calibration_words(gauge, datetime.now(UTC).astimezone().date()),
            ),
        )
        for gauge in workshop.gauges()
    ]


def _width(gauge: Gauge, value: float, units: str) -> str:
    kind, canonical = width_of(gauge.kind, KINDS[gauge.kind].canonical.id)
    unit = unit_for(kind, units, canonical)
    # A resolution is finer than the readings it belongs to, and written without noughts at its end.
    digits = number(kind, value, unit.id, unit.decimals + 2).rstrip("0").rstrip(".")
    return f"{digits} {unit.label}"


def due_on(gauge: Gauge) -> date | None:
    """Return the day a gauge's calibration runs out, or None where it is not followed."""
    if gauge.calibrated_on is None or gauge.interval_months is None:
        return None
    month = gauge.calibrated_on.month - 1 + gauge.interval_months
    year, month = gauge.calibrated_on.year + month // MONTHS, month % MONTHS + 1
    if year > date.max.year:
        return None
    # The 31st of a month that has no 31st is its last day.
    for day in range(gauge.calibrated_on.day, 0, -1):
        try:
            return date(year, month, day)
        except ValueError:
            continue
    return None


def calibration_words(gauge: Gauge, today: date) -> str:
    """Say how a gauge stands with its calibration."""
    due = due_on(gauge)
    if gauge.calibrated_on is None:
        return tr("not known")
    if due is None:
        return tr("on {day}", day=gauge.calibrated_on.isoformat())
    if due < today:
        return tr("ran out {day}", day=due.isoformat())
    return tr("good until {day}", day=due.isoformat())


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


GAUGES = Shelf(
    mark("Gauges"),
    mark("There is no gauge yet. Without one, verdicts take no account of how well a reading can be known."),
    cell_columns(
        (mark("Name"), False),
        (mark("Used as"), False),
        (mark("Resolution"), True),
        (mark("Stated error"), True),
        (mark("Calibration"), False),
    ),
    _gauges,
    mark("Add a gauge"),
    mark("Add gauge"),
    _gauge_fields,
    {
        "name": lambda values: parse("text", values["name"]),
        "use": _use,
        "resolution": lambda values: gauge_error(values["use"] or "dial", values["resolution"]),
        "error": lambda values: gauge_error(values["use"] or "dial", values["error"]),
        "calibrated": lambda values: past_day(values["calibrated"], datetime.now(UTC).date()),
        "interval": lambda values: whole_number(values["interval"]) if values["interval"].strip() else None,
    },
    lambda workshop, values: workshop.add_gauge(
        values["name"],
        values["use"],
        values["resolution"],
        values["error"],
        values["calibrated"],
        values["interval"],
    ),
    {},
)
