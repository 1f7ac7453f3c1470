"""Between what a mean must lie so that everything read on the trial conforms, and which gauge could tell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.advice.next_pair import Window
from core.facts import Gauge, Limit
from core.language import tr
from core.mechanics.uncertainty import guard, reading_u
from core.quantities import show


@dataclass(frozen=True)
class Aim:
    """What is aimed at: `window` for the mean, and a sentence for who reads the chance where it says less than usual.

    Attributes
    ----------
    window : Window
        Limits of the mean [canonical unit].
    limit : Window
        The card's own limits.
    note : str
        Why the gauge or the runout leaves nothing, "" where they leave something.
    """

    window: Window
    limit: Window
    note: str = ""


def aim_at(
    limit: Limit | None, gauge: Gauge | None, spread: float, kind: str, unit: str, gauges: Sequence[Gauge] = ()
) -> Aim | None:
    """Return what the mean of the next trial has to hit, or None where the card gives no two limits.

    The limits are pulled in by the guard of the gauge (ISO 14253-1), as verdicts are given, and by how far single
    readings stray from their mean. Where that leaves nothing, less is asked and the sentence says why.

    Parameters
    ----------
    limit : Limit or None
        The card's limits [canonical unit].
    gauge : Gauge or None
        What is read with.
    spread : float
        How far single readings stray from the mean [canonical unit].
    kind, unit : str
        Kind of quantity, and id of the unit sentences are written in.
    gauges : sequence of Gauge
        The shop's gauges: a finer one among them is named.
    """
    if limit is None or limit.low is None or limit.high is None or limit.low >= limit.high:
        return None
    whole = Window(limit.low, limit.high)
    doubt = 0.0 if gauge is None else guard(reading_u(gauge.resolution, gauge.stated_error))
    narrow = whole.pulled_in(doubt + spread)
    if narrow.is_open:
        return Aim(narrow, whole)
    if not whole.pulled_in(doubt).is_open and gauge is not None:
        window = whole.pulled_in(spread) if whole.pulled_in(spread).is_open else whole
        return Aim(window, whole, _finer(whole, gauge, kind, unit, gauges))
    if whole.pulled_in(spread).is_open:
        note = tr(
            "Readings stray by ±{spread} from their mean; with the doubt of {gauge} no pair could make all of them "
            "conform. The chance is that none reads outside the limits.",
            spread=show(kind, spread, unit),
            gauge=tr("the gauge") if gauge is None else gauge.name,
        )
        return Aim(whole.pulled_in(spread), whole, note)
    note = tr(
        "Readings stray by ±{spread} from their mean, more than the limits leave: no pair can bring all of them "
        "within. Look for the reason first: the ring gear's runout, dirt, a loose bolt. The chance is the mean's.",
        spread=show(kind, spread, unit),
    )
    return Aim(whole, whole, note)


def _finer(whole: Window, gauge: Gauge, kind: str, unit: str, gauges: Sequence[Gauge]) -> str:
    """Say that no reading with this gauge can conform, and which could."""
    fine = [
        one
        for one in gauges
        if one.kind == kind and whole.pulled_in(1.5 * guard(reading_u(one.resolution, one.stated_error))).is_open
    ]
    if fine:
        best = min(fine, key=lambda one: reading_u(one.resolution, one.stated_error))
        return tr(
            "With {gauge} no reading can conform: its doubt is wider than the limits. Read with {finer}.",
            gauge=gauge.name,
            finer=best.name,
        )
    # Rectangular error and steps half as wide leave half of the limits: g = 1.65·√(e²/3 + e²/12) ≤ a quarter of them.
    most = 0.25 * (whole.high - whole.low) / 1.65 / (1.0 / 3.0 + 1.0 / 12.0) ** 0.5
    return tr(
        "With {gauge} no reading can conform: its doubt is wider than the limits. A gauge that reads to {error} in "
        "steps no coarser would do.",
        gauge=gauge.name,
        error=tr("±{error}", error=show(kind, most, unit, 3)),
    )
