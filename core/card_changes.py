"""What changed between two revisions of a spec card, as typed, and in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from core.facts import CardFact, Limit, SpecCard
from core.language import tr
from core.quantities import as_typed
from core.stages.card import FACTS_BY_KEY, LIMITS_BY_KEY

LIMIT, FACT = "limit", "fact"

Value = TypeVar("Value", Limit, CardFact)


@dataclass(frozen=True)
class CardChange:
    """One limit or fact that differs: as typed before and after, "" where a card does not give it, and the sources."""

    what: str
    key: str
    old: str
    new: str
    old_source: str = ""
    new_source: str = ""

    @property
    def is_value_changed(self) -> bool:
        """Whether the value differs, rather than only where it comes from."""
        return self.old != self.new

    @property
    def is_source_changed(self) -> bool:
        """Whether what both cards give comes from elsewhere now."""
        return bool(self.old and self.new) and self.old_source != self.new_source


def changes(before: SpecCard | None, after: SpecCard) -> tuple[CardChange, ...]:
    """Return what differs between two revisions of a card, in the order the card page has.

    Parameters
    ----------
    before : SpecCard, optional
        The earlier one; None for the first there is, against which everything was added.
    after : SpecCard
        The later one.
    """
    was = before or SpecCard(0, after.family, 0)
    limits = _differing(was.limits, after.limits, list(LIMITS_BY_KEY))
    facts = _differing(was.facts, after.facts, list(FACTS_BY_KEY))
    return tuple(
        [CardChange(LIMIT, key, limit_text(old), limit_text(new), *_sources(old, new)) for key, old, new in limits]
        + [CardChange(FACT, key, fact_text(old), fact_text(new), *_sources(old, new)) for key, old, new in facts]
    )


def _differing(
    before: Mapping[str, Value], after: Mapping[str, Value], declared: Sequence[str]
) -> Iterator[tuple[str, Value | None, Value | None]]:
    # What a newer program declared comes last.
    for key in dict.fromkeys([*declared, *before, *after]):
        old, new = before.get(key), after.get(key)
        if _compared(old) != _compared(new):
            yield key, old, new


def _compared(value: Limit | CardFact | None) -> tuple[object, ...]:
    if value is None:
        return ()
    if isinstance(value, Limit):
        return (limit_text(value), value.low, value.high, value.source)
    return (fact_text(value), value.value, value.source)


def _sources(old: Limit | CardFact | None, new: Limit | CardFact | None) -> tuple[str, str]:
    return ("" if old is None else old.source, "" if new is None else new.source)


# -- as typed ----------------------------------------------------------------------------------------------------------


def limit_text(limit: Limit | None) -> str:
    """Return a limit as it was typed: a range, at least, or at most; "" for none."""
    if limit is None:
        return ""
    # A logbook keeps them with single spaces, a file as somebody wrote it.
    low, high = (" ".join(text.split()) for text in (limit.low_text, limit.high_text))
    if low and high:
        return tr("{low} to {high}", low=low, high=high)
    if high:
        return tr("at most {high}", high=high)
    return tr("at least {low}", low=low) if low else ""


def fact_text(fact: CardFact | None) -> str:
    """Return a fact as it was typed, with the unit it was taken in; a choice by its key; "" for none.

    Examples
    --------
    >>> fact_text(CardFact("face_width", 30.0, "30", "mm"))
    '30 mm'
    >>> fact_text(CardFact("face_width", 30.48, "1.2 in", "in"))
    '1.2 in'
    """
    if fact is None:
        return ""
    spec = FACTS_BY_KEY.get(fact.key)
    if spec is None or fact.value is None or not fact.unit:
        return fact.text
    return as_typed(spec.kind, fact.text, fact.unit)


# -- in words ----------------------------------------------------------------------------------------------------------


def label_of(what: str, key: str) -> str:
    """Return what a limit or fact is called; the key of one this program does not know."""
    spec = (LIMITS_BY_KEY if what == LIMIT else FACTS_BY_KEY).get(key)
    return key if spec is None else tr(spec.label)


def shown(change: CardChange, text: str) -> str:
    """Return a value as a person reads it: a choice by its label."""
    spec = FACTS_BY_KEY.get(change.key) if change.what == FACT else None
    return next((tr(choice.label) for choice in spec.choices if choice.key == text), text) if spec else text


def in_words(change: CardChange) -> str:
    """Return a change as one line: what, before → after, and where it comes from if that changed.

    Examples
    --------
    >>> in_words(CardChange("limit", "backlash", "at most 0.10 mm", "at most 0.12 mm", "manual", "shop practice"))
    'Backlash: at most 0.10 mm → at most 0.12 mm; source: manual → shop practice'
    """
    label = label_of(change.what, change.key)
    old, new = shown(change, change.old), shown(change, change.new)
    if not change.old:
        return tr("{label}: added, {new} ({source})", label=label, new=new, source=_source(change.new_source))
    if not change.new:
        return tr("{label}: taken out, was {old}", label=label, old=old)
    source = tr("source: {old} → {new}", old=_source(change.old_source), new=_source(change.new_source))
    if not change.is_value_changed:
        return tr("{label}: {value} stays; {source}", label=label, value=new, source=source)
    value = tr("{label}: {old} → {new}", label=label, old=old, new=new)
    return f"{value}; {source}" if change.is_source_changed else value


def _source(source: str) -> str:
    return source or tr("no source")


def count_in_words(found: Sequence[CardChange]) -> str:
    """Return how much changed."""
    return tr("nothing changed") if not found else tr("{count} changed", count=len(found))
