"""Readings, limits and times as the sheet writes them: in the shop's units, the other system's beside them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from core.facts import Gauge, Limit, Reading
from core.language import mark, tr
from core.outlines import outline_words
from core.quantities import KINDS, show, to_unit, unit_for
from core.stages.entry import Choice, Entry

MONTHS = tuple(
    mark(month)
    for month in (
        "January", "February", "March", "April", "May", "June",
        "July", "August", "September", "October", "November", "December",
    )
)  # fmt: skip
SHORT_MONTHS = tuple(
    mark(month) for month in ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
)
MOST_DECIMALS = 6
METRIC, INCH = "metric", "inch"


@dataclass(frozen=True)
class Written:
    """A value as it is written: in the shop's unit, in the other system's ("" where it is the same), and as typed."""

    own: str
    other: str = ""
    typed: str = ""


def other_system(system: str) -> str:
    """Return the system that stands in grey beside the shop's."""
    return INCH if system == METRIC else METRIC


def written(kind: str, value: float, unit: str, system: str, decimals: int = 0) -> Written:
    """Return a canonical value in the shop's unit that goes with `unit`, and in the other system's."""
    own, other = unit_for(kind, system, unit), unit_for(kind, other_system(system), unit)
    own_text = show(kind, value, own.id, max(own.decimals, decimals))
    return Written(own_text, "" if other.id == own.id else show(kind, value, other.id))


def written_reading(entry: Entry, reading: Reading, system: str) -> Written:
    """Return a reading as the sheet writes it; what was typed in a third unit is kept beside it."""
    if entry.kind == "outline":
        return Written(outline_words(reading.text))
    if not KINDS[entry.kind].is_number or reading.value is None:
        return Written(choice_label(entry.choices, reading.text))
    own = unit_for(entry.kind, system, entry.unit)
    found = written(entry.kind, reading.value, entry.unit, system, _typed_decimals(entry.kind, reading, own.id))
    other = unit_for(entry.kind, other_system(system), entry.unit)
    is_third = bool(reading.unit) and reading.unit not in (own.id, other.id)
    return Written(found.own, found.other, reading.text if is_third else "")


def _typed_decimals(kind: str, reading: Reading, unit: str) -> int:
    """Return how many decimals were typed, so that the sheet never shows a reading coarser than it is."""
    if reading.unit != unit or reading.value is None:
        return 0
    exact = Decimal(repr(round(to_unit(kind, reading.value, unit), MOST_DECIMALS))).normalize()
    exponent = exact.as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def choice_label(choices: tuple[Choice, ...], text: str) -> str:
    """Return the label of a chosen answer; a key no longer declared, and free text, stay as they are."""
    return next((tr(c.label) for c in choices if c.key == text), text)


def written_limit(limit: Limit, kind: str, unit: str, system: str) -> Written:
    """Return a limit in both systems: a range, or at most, or at least."""
    own = unit_for(kind, system, unit)
    other = unit_for(kind, other_system(system), unit)
    return Written(_limit(limit, kind, own.id), "" if other.id == own.id else _limit(limit, kind, other.id))


def _limit(limit: Limit, kind: str, unit: str) -> str:
    low, high = (None if v is None else show(kind, v, unit) for v in (limit.low, limit.high))
    if low is not None and high is not None:
        label = KINDS[kind].unit(unit).label
        return f"{low.removesuffix(label).rstrip()} – {high}" if label else f"{low} – {high}"
    if high is not None:
        return tr("at most {high}", high=high)
    return "" if low is None else tr("at least {low}", low=low)


def written_gauge(gauge: Gauge, system: str) -> str:
    """Return a gauge's stated error, with the sign for both ways."""
    return "± " + written(gauge.kind, gauge.stated_error, "", system).own


def day(moment: date) -> str:
    """Return a date in words; a moment counts in the shop's own time."""
    here = _here(moment) if isinstance(moment, datetime) else moment
    return f"{here.day} {tr(MONTHS[here.month - 1])} {here.year}"


def short_day(moment: date) -> str:
    """Return a date with its month shortened."""
    here = _here(moment) if isinstance(moment, datetime) else moment
    return f"{here.day} {tr(SHORT_MONTHS[here.month - 1])} {here.year}"


def day_and_time(moment: datetime) -> str:
    """Return a date, shortened, and the time of day, in the shop's own time."""
    return f"{short_day(moment)} {time_of_day(moment)}"


def time_of_day(moment: datetime) -> str:
    """Return the time of day, in the shop's own time."""
    return f"{_here(moment):%H:%M}"


def _here(moment: datetime) -> datetime:
    return moment.astimezone() if moment.tzinfo is not None else moment
