"""How a gauge stands on a day, and what that does to what was read with it.

A reading is judged with the gauge as it was when the reading was taken: every calibration, good or not, every interval
and every zero check is known with its day. An overdue gauge never refuses a reading; what it does to a verdict is the
owner's choice (`core.facts.ShopRules`).

Common practice of workshops and laboratories: equipment is recalibrated by interval, and what was measured since the
last good check is looked at again when a check fails. ISO/IEC 17025 and ILAC-G24 ask the same of laboratories; from
memory, no clause is quoted.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum

from core.facts import Calibration, Gauge, ShopRules, ZeroCheck
from core.language import mark, tr
from core.quantities import KINDS, number, unit_for, width_of

MONTHS = 12
ZEROED = ("dial", "torque", "micrometer", "caliper", "bore_gauge", "thermometer")
"""Uses of a gauge that shows a zero, or can be set against a master, a setting ring or melting ice."""
MARK, WIDEN, WITHHOLD = "mark", "widen", "withhold"
OVERDUE_RULES = {
    MARK: mark("the reading is marked, its verdict stands"),
    WIDEN: mark("the reading is marked, and the gauge's stated error counts several times"),
    WITHHOLD: mark("the reading is marked, and no verdict is given"),
}
"""What an overdue gauge may do to a verdict, the mildest first."""


class State(StrEnum):
    """How a gauge stands with its calibration."""

    IN_DATE = "in_date"
    NOT_FOLLOWED = "not_followed"
    OVERDUE = "overdue"
    NEVER = "never_calibrated"
    FOUND_BAD = "found_bad"


LAPSED = frozenset({State.OVERDUE, State.NEVER, State.FOUND_BAD})
"""What the owner's rule on overdue gauges is about."""


@dataclass(frozen=True)
class Standing:
    """A gauge's calibration on one day: the last good one, when it runs out, and how many days ago it did.

    `found_bad_on` is the day of a calibration it failed, where no good one followed.
    """

    state: State
    calibrated_on: date | None = None
    due_on: date | None = None
    overdue_days: int = 0
    found_bad_on: date | None = None

    @property
    def is_lapsed(self) -> bool:
        """Whether nothing vouches for the gauge any more."""
        return self.state in LAPSED


class Why(StrEnum):
    """Why a reading is marked; the words are stable, exports write them."""

    OVERDUE = "overdue"
    NEVER = "never_calibrated"
    FOUND_BAD = "found_bad"
    LATER_FOUND_BAD = "later_found_bad"
    BAD_ZERO = "bad_zero"


@dataclass(frozen=True)
class Doubt:
    """One mark on a reading: why, by which gauge, and how many days overdue or on which day it was found."""

    why: Why
    gauge: str
    days: int = 0
    day: date | None = None


@dataclass(frozen=True)
class Trust:
    """What a gauge is worth for a reading, or for several of one entry.

    `factor` is what its stated error is taken times; where the verdict is withheld, none is given at all.
    """

    gauge: Gauge
    doubts: tuple[Doubt, ...] = ()
    factor: float = 1.0
    is_withheld: bool = False

    @property
    def counted(self) -> Gauge:
        """The gauge with its stated error as the verdict counts it."""
        return self.gauge if self.factor == 1.0 else replace(self.gauge, stated_error=self.error)

    @property
    def error(self) -> float:
        """Stated error (±) as the verdict counts it [canonical unit of the gauge's kind]."""
        return self.gauge.stated_error * self.factor


def day_of(moment: datetime) -> date:
    """Return the day a moment falls on by the shop's own clock."""
    return moment.astimezone().date()


def due_on(calibrated_on: date | None, interval_months: int | None) -> date | None:
    """Return the last day a calibration is good on, or None where it is not followed.

    Parameters
    ----------
    calibrated_on : date or None
        The day it was calibrated on.
    interval_months : int or None
        How many months it holds.

    Returns
    -------
    date or None
        The same day of a later month; the last of a month that is too short for it.

    Examples
    --------
    >>> due_on(date(2024, 1, 31), 1)
    datetime.date(2024, 2, 29)
    """
    if calibrated_on is None or interval_months is None:
        return None
    year, month = divmod(calibrated_on.year * MONTHS + calibrated_on.month - 1 + interval_months, MONTHS)
    if year >= date.max.year:
        return None
    first, following = date(year, month + 1, 1), date(year + (month + 1) // MONTHS, (month + 1) % MONTHS + 1, 1)
    return first.replace(day=min(calibrated_on.day, (following - first).days))


def interval_on(gauge: Gauge, day: date) -> int | None:
    """Return every how many months a gauge was to be calibrated on a day; before the first was noted, that one."""
    if not gauge.intervals:
        return gauge.interval_months
    noted = [months for at, months in gauge.intervals if day_of(at) <= day]
    return noted[-1] if noted else gauge.intervals[0][1]


def calibrations(gauge: Gauge) -> list[Calibration]:
    """Return the calibrations of a gauge by day; of one day, in the order they were noted."""
    known = list(gauge.calibrations)
    if gauge.calibrated_on is not None and not any(c.is_good and c.day == gauge.calibrated_on for c in known):
        known.append(Calibration(gauge.calibrated_on))
    return sorted(known, key=lambda calibration: calibration.day)


def standing(gauge: Gauge, day: date) -> Standing:
    """Say how a gauge stands with its calibration on a day.

    A calibration counts from its own day on, and the day it runs out still counts. A gauge that is to be calibrated
    and never was is as good as overdue; one that failed stays so until a good calibration follows.
    """
    before = [calibration for calibration in calibrations(gauge) if calibration.day <= day]
    good = max((calibration.day for calibration in before if calibration.is_good), default=None)
    months = interval_on(gauge, day)
    due = due_on(good, months)
    if before and not before[-1].is_good:
        return Standing(State.FOUND_BAD, good, due, found_bad_on=before[-1].day)
    if months is None:
        return Standing(State.NOT_FOLLOWED, good)
    if good is None:
        return Standing(State.NEVER)
    if due is not None and due < day:
        return Standing(State.OVERDUE, good, due, (day - due).days)
    return Standing(State.IN_DATE, good, due)


def by_urgency(gauges: Iterable[Gauge], day: date) -> list[Gauge]:
    """Return gauges as they want calibrating: failed, never done, longest overdue, next due; retired ones last."""
    order = (State.FOUND_BAD, State.NEVER, State.OVERDUE, State.IN_DATE, State.NOT_FOLLOWED)

    def urgency(gauge: Gauge) -> tuple[bool, int, date, str]:
        now = standing(gauge, day)
        return gauge.is_retired, order.index(now.state), now.due_on or date.max, gauge.name.casefold()

    return sorted(gauges, key=urgency)


def is_zero_good(gauge: Gauge, value: float) -> bool:
    """Tell whether what a gauge shows at its zero is good enough to go on.

    Good where |value| ≤ max(resolution, stated error): one step cannot be told from zero, and what lies within the
    stated error is counted in every verdict already. Common practice; no standard is quoted.

    Parameters
    ----------
    gauge : Gauge
        The gauge, its zero set or a master measured.
    value : float
        What it shows there, less what it should [canonical unit of its kind; of a temperature, K].
    """
    # A hundredth typed in inches must not fail against the same hundredth in millimetres by float noise.
    return round(abs(value), 9) <= round(max(gauge.resolution, gauge.stated_error), 9)


def last_zero(gauge: Gauge, day: date) -> ZeroCheck | None:
    """Return the last zero check of a gauge up to the end of a day, or None."""
    return next((check for check in reversed(gauge.zeros) if day_of(check.at) <= day), None)


def zeros_on(gauge: Gauge, days: Iterable[date]) -> list[ZeroCheck]:
    """Return the zero checks of a gauge on some days, oldest first."""
    wanted = set(days)
    return [check for check in gauge.zeros if day_of(check.at) in wanted]


def doubts(gauge: Gauge, taken_at: datetime) -> tuple[Doubt, ...]:
    """Return why a reading taken at a moment is marked, the gravest first; nothing where all is well.

    A calibration the gauge failed later throws doubt on every reading since the last good one, the days of both
    included: what was adjusted that day was off in the morning. A zero found off throws doubt on the readings of that
    day between the good checks before and after it.
    """
    day = day_of(taken_at)
    now = standing(gauge, day)
    found = []
    if now.state is State.OVERDUE:
        found.append(Doubt(Why.OVERDUE, gauge.name, now.overdue_days, now.due_on))
    elif now.state is State.NEVER:
        found.append(Doubt(Why.NEVER, gauge.name))
    elif now.state is State.FOUND_BAD:
        found.append(Doubt(Why.FOUND_BAD, gauge.name, day=now.found_bad_on))
    following = next((c for c in calibrations(gauge) if c.day > day or (c.day == day and not c.is_good)), None)
    if following is not None and not following.is_good and now.state is not State.FOUND_BAD:
        found.append(Doubt(Why.LATER_FOUND_BAD, gauge.name, day=following.day))
    if _is_zero_off(gauge, taken_at):
        found.append(Doubt(Why.BAD_ZERO, gauge.name, day=day))
    return tuple(found)


def _is_zero_off(gauge: Gauge, taken_at: datetime) -> bool:
    at = bisect_right(gauge.zeros, taken_at, key=lambda check: check.at)
    neighbours = gauge.zeros[max(at - 1, 0) : at + 1]
    return any(not check.is_good for check in neighbours if day_of(check.at) == day_of(taken_at))


def trusted(gauge: Gauge, taken_at: datetime, rules: ShopRules) -> Trust:
    """Return what a gauge is worth for a reading taken at a moment, by the shop's rules.

    Parameters
    ----------
    gauge : Gauge
        What it was read with.
    taken_at : datetime
        When, with its time zone.
    rules : ShopRules
        What the owner settled on overdue gauges.
    """
    found = doubts(gauge, taken_at)
    is_lapsed = any(doubt.why in (Why.OVERDUE, Why.NEVER, Why.FOUND_BAD) for doubt in found)
    if not is_lapsed or rules.overdue == MARK:
        return Trust(gauge, found)
    if rules.overdue == WIDEN:
        return Trust(gauge, found, rules.overdue_factor)
    return Trust(gauge, found, is_withheld=True)


def combined(trusts: Iterable[Trust]) -> Trust | None:
    """Return what several readings of one entry are worth together: the coarsest gauge, and every doubt once."""
    all_of_them = list(trusts)
    if not all_of_them:
        return None
    coarsest = max(all_of_them, key=lambda trust: (trust.error, trust.gauge.resolution))
    worst: dict[tuple[Why, str], Doubt] = {}
    for doubt in (doubt for trust in all_of_them for doubt in trust.doubts):
        key = doubt.why, doubt.gauge
        if key not in worst or doubt.days > worst[key].days:
            worst[key] = doubt
    return replace(
        coarsest,
        doubts=tuple(sorted(worst.values(), key=lambda doubt: list(Why).index(doubt.why))),
        is_withheld=any(trust.is_withheld for trust in all_of_them),
    )


# -- in words ----------------------------------------------------------------------------------------------------------


def days_words(days: int) -> str:
    """Return a number of days in words."""
    return tr("1 day") if days == 1 else tr("{days} days", days=days)


def months_words(months: int | None) -> str:
    """Say every how many months a gauge is to be calibrated."""
    if months is None:
        return tr("calibration is not followed")
    return tr("every month") if months == 1 else tr("every {months} months", months=months)


def standing_words(now: Standing) -> str:
    """Say how a gauge stands with its calibration."""
    last = "" if now.calibrated_on is None else now.calibrated_on.isoformat()
    due = "" if now.due_on is None else now.due_on.isoformat()
    if now.state is State.OVERDUE:
        return tr("overdue by {days}", days=days_words(now.overdue_days))
    if now.state is State.NEVER:
        return tr("never calibrated")
    if now.state is State.FOUND_BAD and now.found_bad_on is not None:
        return tr("found not good on {day}", day=now.found_bad_on.isoformat())
    if now.state is State.NOT_FOLLOWED:
        return tr("not followed, last on {day}", day=last) if last else tr("not followed")
    return tr("good until {day}", day=due) if due else tr("calibrated on {day}", day=last)


def doubt_words(doubt: Doubt) -> str:
    """Say in a few words why a reading is marked."""
    day = "" if doubt.day is None else doubt.day.isoformat()
    if doubt.why is Why.OVERDUE:
        return tr("calibration overdue by {days}", days=days_words(doubt.days))
    if doubt.why is Why.NEVER:
        return tr("never calibrated")
    if doubt.why is Why.FOUND_BAD:
        return tr("found not good on {day}", day=day)
    if doubt.why is Why.LATER_FOUND_BAD:
        return tr("found not good later, on {day}", day=day)
    return tr("zero was off")


def doubts_words(found: Iterable[Doubt]) -> str:
    """Say why a reading is marked, all of it in one line; "" where all is well."""
    return ", ".join(doubt_words(doubt) for doubt in found)


def trust_words(trust: Trust) -> str:
    """Say which gauges are doubted, and what that does to the verdict; "" where all is well."""
    told = []
    for name in dict.fromkeys(doubt.gauge for doubt in trust.doubts):
        of_gauge = doubts_words(doubt for doubt in trust.doubts if doubt.gauge == name)
        told.append(tr("{gauge}: {doubts}.", gauge=name, doubts=of_gauge))
    if trust.factor != 1.0:
        told.append(tr("Its stated error counts {factor:g} times.", factor=trust.factor))
    return " ".join(told)


def rules_words(rules: ShopRules) -> str:
    """Say what an overdue gauge does to a verdict."""
    if rules.overdue == WIDEN:
        return tr(
            "An overdue gauge: the reading is marked, and the stated error counts {factor:g} times.",
            factor=rules.overdue_factor,
        )
    return tr("An overdue gauge: {what}.", what=tr(OVERDUE_RULES[rules.overdue]))


def width_words(gauge: Gauge, value: float, system: str = "metric") -> str:
    """Return a resolution, an error or a zero of a gauge, with the unit that goes with what it reads.

    A resolution is finer than the readings it belongs to, and written without noughts at its end.
    """
    kind, canonical = width_of(gauge.kind, KINDS[gauge.kind].canonical.id)
    unit = unit_for(kind, system, canonical)
    digits = number(kind, value, unit.id, unit.decimals + 2).rstrip("0").rstrip(".")
    return f"{digits} {unit.label}"


def zero_words(gauge: Gauge, check: ZeroCheck, system: str = "metric") -> str:
    """Say what a zero check found."""
    shown = width_words(gauge, check.value, system)
    return tr("zero good, {value}", value=shown) if check.is_good else tr("zero off, {value}", value=shown)
