"""What is typed on the shop's own pages (gauges, rings, spec cards) read into facts; the sentences live here too."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from core.errors import InputError, RuleError, UserError
from core.facts import CardFact, Limit
from core.language import tr
from core.quantities import LONGEST_LINE, Amount, as_typed, parse, show, width_of
from core.stages.card import ADJUSTER_NUTS, FACT_SPECS, FACTS_BY_KEY, LIMITS_BY_KEY, FactSpec, LimitSpec
from core.stages.size_bands import pairs_of, typed_band

GAUGE_KINDS: dict[str, tuple[str, str]] = {
    "dial": ("length", "mm"),
    "torque": ("torque", "n_m"),
    "micrometer": ("length", "mm"),
    "caliper": ("length", "mm"),
    "bore_gauge": ("length", "mm"),
    "feeler": ("length", "mm"),
    "radius_gauge": ("length", "mm"),
    "thermometer": ("temperature", "deg_c"),
    "vessel": ("volume", "l"),
}
"""What each use of a gauge reads, and the unit a bare resolution is taken in."""

THICKEST_MM = 60.0
"""No ring, shim or spacer of such a unit is thicker."""

MEASURED_SLIP_MM = 0.2
"""A piece that measures this far off its size was read or typed wrong (common practice)."""

OVER_DIAMETER = {"face_width": 0.5, "working_depth": 0.25, "pinion_offset": 0.5, "cutter_radius": 2.0}
"""From which share of the ring gear's outer diameter a size is impossible: face and offset would reach its axis; no
tooth is so deep and no cutter so large (common practice)."""

NUT_FACTS = ("nut_thread_pitch", "nut_notches")
"""What a card must say about its adjuster nuts before their notches can be counted as thickness."""

UNIT_NAMED = re.compile(r"[^0-9.,+/\s-].*$", re.DOTALL)
"""Where the unit begins in a text that may name one."""


@dataclass(frozen=True)
class LimitText:
    """One limit of a card as typed; an empty side is no limit on that side."""

    low: str = ""
    high: str = ""
    source: str = ""

    @property
    def is_given(self) -> bool:
        """Whether either side was typed."""
        return bool(self.low.strip() or self.high.strip())


def words(text: str) -> str:
    """Return a text that may be empty, tidied the way every text is."""
    return parse("text", text).text if text.strip() else ""


def printable(text: str) -> str:
    """Return the beginning of what was typed, fit to stand in a sentence."""
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text.strip()[:40])


def whole_number(text: str) -> int:
    """Return a whole number from what was typed."""
    return int(parse("count", text).value or 0)


def gauge_kind(use: str) -> tuple[str, str]:
    """Return what a gauge of one use reads, and the unit a bare number is taken in.

    Raises
    ------
    InputError
        No such use is known.
    """
    if use not in GAUGE_KINDS:
        raise InputError(
            tr("{use!r} is no use of a gauge known here.", use=printable(use)),
            tr("Choose one of {choices}.", choices=", ".join(GAUGE_KINDS)),
        )
    return GAUGE_KINDS[use]


def signed_width(use: str, text: str) -> float:
    """Return what a gauge shows less what it should, from what was typed, in the canonical unit of what it reads."""
    return _width(use, text).value or 0.0


def gauge_error(use: str, text: str) -> float:
    """Return a gauge's resolution or stated error (±) in the canonical unit of what it reads."""
    amount = _width(use, text.strip().lstrip("±"))
    if amount.value is None or amount.value < 0:
        raise InputError(tr("{typed} is less than nothing.", typed=amount.text), tr("Write it without a sign."))
    return amount.value


def _width(use: str, text: str) -> Amount:
    # An error of a thermometer is a difference: 1 °F of error is not minus seventeen degrees Celsius.
    kind, unit = width_of(*gauge_kind(use))
    return parse(kind, text, unit)


def thickness_mm(text: str) -> float:
    """Return the thickness of a ring, shim or spacer [mm] from what was typed."""
    return _thickness_mm(parse("length", text, "mm"))


def _thickness_mm(amount: Amount) -> float:
    if amount.value is None or not 0.0 < amount.value <= THICKEST_MM:
        raise InputError(
            tr("{typed} is no thickness such a piece can have.", typed=amount.text),
            tr("Check the decimal point and the unit."),
        )
    return amount.value


def places_mm(text: str, nominal_mm: float | None = None) -> list[float]:
    """Return the thickness at several places of one piece [mm] from one line, such as ``2.516 2.518 2.517 mm``.

    Places stand apart by blanks or semicolons; the last unit named is meant for those that name none.

    Parameters
    ----------
    text : str
        As typed.
    nominal_mm : float or None
        What the piece should have [mm]; without it, its places are held against the first.

    Raises
    ------
    InputError
        A place cannot be read, or lies so far off that the point must have slipped.
    """
    # A line that is too long is refused as one, before it is taken apart.
    places = _apart(text) if len(text) <= LONGEST_LINE else [text]
    if not places:
        raise InputError(tr("Nothing was measured."), tr("Type the thickness at one or more places."))
    found = [_thickness_mm(parse("length", place, "mm")) for place in places]
    usual_mm = found[0] if nominal_mm is None else nominal_mm
    for mm in found:
        if abs(mm - usual_mm) > MEASURED_SLIP_MM:
            raise InputError(
                tr(
                    "{measured} is far off the {nominal} this piece should have.",
                    measured=show("length", mm),
                    nominal=show("length", usual_mm),
                ),
                tr("Check the decimal point and the unit."),
            )
    return found


def _apart(text: str) -> list[str]:
    """Return the places of one line as texts of their own, the last unit named given to those that name none."""
    places: list[str] = []
    if ";" in text:
        places = [place.strip() for place in text.split(";") if place.strip()]
    else:
        for word in text.split():
            # A word that begins no number is the unit of the number before it.
            if places and not (word[0].isdigit() or word[0] in ".,+-"):
                places[-1] += f" {word}"
            else:
                places.append(word.rstrip(","))
    named = [UNIT_NAMED.search(place) for place in places]
    last = next((found[0] for found in reversed(named) if found), "")
    return [place if found else f"{place} {last}".strip() for place, found in zip(places, named, strict=True)]


def past_day(text: str, today: date) -> date | None:
    """Return a day from ``year-month-day``, None from an empty text; a day to come is refused."""
    if not text.strip():
        return None
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise InputError(
            tr("{typed} is not a date.", typed=printable(text)),
            tr("Write it as year-month-day, such as 2026-03-01."),
        ) from None
    if day > today:
        raise InputError(tr("{day} is in the future.", day=day.isoformat()), tr("Check the year."))
    return day


def read_limit(key: str, text: LimitText) -> Limit:
    """Return a limit of a spec card from what was typed; it must have a source, and low must not exceed high."""
    spec = LIMITS_BY_KEY[key]
    low, high = (_limit_amount(spec, typed) if typed.strip() else None for typed in (text.low, text.high))
    if low and high and low.value is not None and high.value is not None and low.value > high.value:
        raise InputError(
            tr("The low limit {low} is above the high limit {high}.", low=low.text, high=high.text),
            tr("Check whether they were swapped."),
        )
    if not text.source.strip():
        raise RuleError(
            tr("{limit} has no source.", limit=tr(spec.label)),
            tr("Write where the limit comes from, such as the maker's manual or shop practice."),
        )
    unit = (high or low or Amount(spec.kind, None, "", spec.unit)).unit
    return Limit(
        key,
        None if low is None else low.value,
        None if high is None else high.value,
        _with_unit(spec.kind, low),
        _with_unit(spec.kind, high),
        unit,
        words(text.source),
    )


def _limit_amount(spec: LimitSpec, text: str) -> Amount:
    """Return one side of a limit; only a temperature may lie below nothing, and no share of a tooth above all of it."""
    amount = parse(spec.kind, text, spec.unit)
    if amount.value is not None and amount.value < 0 and spec.kind != "temperature":
        raise InputError(tr("{typed} is less than nothing.", typed=amount.text), tr("Check the sign."))
    if amount.value is not None and amount.value > 1 and spec.unit == "percent":
        raise InputError(tr("{typed} is more than the whole.", typed=amount.text), tr("Check the decimal point."))
    return amount


def _with_unit(kind: str, amount: Amount | None) -> str:
    """Return the text of a limit with its unit, whether or not it was typed with one."""
    if amount is None:
        return ""
    return as_typed(kind, amount.text, amount.unit)


def read_fact(key: str, text: str, source: str = "") -> CardFact:
    """Return a fact of a spec card from what was typed, and where it comes from, as far as that is known."""
    spec = FACTS_BY_KEY[key]
    if band := typed_band(key, text):
        low, high = band
        middle = ((low.value or 0.0) + (high.value or 0.0)) / 2
        return CardFact(key, middle, " ".join(text.split()), high.unit, words(source))
    amount = parse(spec.kind, text, spec.unit, [choice.key for choice in spec.choices])
    if amount.value is not None and amount.value < 0:
        raise InputError(tr("{typed} is less than nothing.", typed=amount.text), tr("Check the sign."))
    return CardFact(key, amount.value, amount.text, amount.unit, words(source))


def read_card(
    limits: Mapping[str, LimitText], facts: Mapping[str, str], fact_sources: Mapping[str, str] | None = None
) -> tuple[list[Limit], list[CardFact], dict[str, UserError]]:
    """Read a whole card as typed.

    Parameters
    ----------
    limits : mapping of str to LimitText
        The limits, each with its source.
    facts : mapping of str to str
        The facts.
    fact_sources : mapping of str to str, optional
        Where the facts come from, as far as that is known.

    Returns
    -------
    tuple
        The limits and facts that could be read, and what could not, by key.
    """
    read_limits, read_facts = [], []
    refused: dict[str, UserError] = {}
    for key, typed in limits.items():
        if typed.is_given:
            try:
                read_limits.append(read_limit(key, typed))
            except UserError as error:
                refused[key] = error
    for spec in FACT_SPECS:
        typed_fact = facts.get(spec.key, "")
        try:
            if typed_fact.strip():
                read_facts.append(read_fact(spec.key, typed_fact, (fact_sources or {}).get(spec.key, "")))
            elif _is_needed(spec, facts):
                raise RuleError(tr("{fact} is missing.", fact=tr(spec.label)), tr("A card cannot do without it."))
        except UserError as error:
            refused[spec.key] = error
    refused.update(_at_odds({fact.key: fact for fact in read_facts}))
    return read_limits, read_facts, refused


def _is_needed(spec: FactSpec, facts: Mapping[str, str]) -> bool:
    """Tell whether a card cannot do without a fact: notches mean nothing before a nut's thread is known."""
    is_by_nuts = facts.get("setting_method", "").strip() == ADJUSTER_NUTS
    return spec.is_needed or (is_by_nuts and spec.key in NUT_FACTS)


def _at_odds(facts: Mapping[str, CardFact]) -> dict[str, UserError]:
    """Return what is wrong between facts that could each be read, by key."""
    refused: dict[str, UserError] = _too_large(facts)
    thinnest, thickest = (facts[key].value if key in facts else None for key in ("ring_smallest", "ring_largest"))
    if thinnest is not None and thickest is not None and thinnest > thickest:
        refused["ring_largest"] = InputError(
            tr("The thickest ring is thinner than the thinnest."), tr("Check whether they were swapped.")
        )
    counts = facts["tooth_counts"].text if "tooth_counts" in facts else ""
    for gear, pinion in pairs_of(counts):
        if gear <= pinion:
            refused["tooth_counts"] = InputError(
                tr("{gear}:{pinion} has the smaller gear first.", gear=gear, pinion=pinion),
                tr("Write the ring gear's count first, such as 43:11."),
            )
    for key in NUT_FACTS:
        if key in facts and not facts[key].value:
            refused[key] = InputError(
                tr("{fact} cannot be nothing.", fact=tr(FACTS_BY_KEY[key].label)), tr("Measure it on the nut.")
            )
    return refused


def _too_large(facts: Mapping[str, CardFact]) -> dict[str, UserError]:
    """Return which sizes of a set are larger than its ring gear allows, by key."""
    outer = facts.get("gear_outer_diameter")
    if outer is None or outer.value is None:
        return {}
    return {
        key: InputError(
            tr(
                "{size}: {typed} is more than a ring gear of {diameter} allows.",
                size=tr(FACTS_BY_KEY[key].label),
                typed=as_typed("length", fact.text, fact.unit),
                diameter=as_typed("length", outer.text, outer.unit),
            ),
            tr("Check the decimal point and the unit."),
        )
        for key, fact in facts.items()
        if key in OVER_DIAMETER and fact.value is not None and fact.value >= OVER_DIAMETER[key] * outer.value
    }
