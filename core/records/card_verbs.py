"""Spec cards: families, their revisions, and one row for each limit or fact."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, Row, func, select

from core.errors import InputError
from core.facts import CardFact, CardRevision, Limit, SpecCard
from core.language import tr
from core.records import tables
from core.records.texts import LONGEST_KEY, fold, from_time_text, line, note, number, to_time_text
from core.records.unit_of_work import UnitOfWork, checked_id, no_such

LARGEST_VALUE = 1e9


class CardVerbs(UnitOfWork):
    """What can be done with spec cards; a revision never changes once it is written."""

    def __init__(self, connection: Connection, *args: Any, **kwargs: Any) -> None:
        super().__init__(connection, *args, **kwargs)
        # Revisions never change, so a list of jobs reads each card once.
        self._read_cards: dict[int, SpecCard] = {}

    def cards(self) -> list[SpecCard]:
        """Return the newest revision of each family, by name."""
        revision, family = tables.spec_revision, tables.spec_card
        newest = self._rows(
            select(func.max(revision.c.id).label("id"))
            .join(family)
            .group_by(family.c.id, family.c.family_key)
            .order_by(family.c.family_key)
        )
        return [self.card(row.id) for row in newest]

    def card(self, revision_id: int) -> SpecCard:
        """Return one revision of a spec card.

        Raises
        ------
        NotFoundError
            There is no such revision.
        """
        missing = tr("There is no such spec card in this logbook.")
        if checked_id(revision_id, missing) not in self._read_cards:
            self._read_cards[revision_id] = self._read_card(revision_id, missing)
        return self._read_cards[revision_id]

    def _read_card(self, revision_id: int, missing: str) -> SpecCard:
        revision, family, value = tables.spec_revision, tables.spec_card, tables.spec_value
        head = self._row(select(revision.c.revision, family.c.family).join(family).where(revision.c.id == revision_id))
        if head is None:
            raise no_such(missing)
        rows = self._rows(select(value).where(value.c.revision_id == revision_id).order_by(value.c.id))
        return SpecCard(
            revision_id,
            head.family,
            head.revision,
            {row.key: _limit(row) for row in rows if row.what == "limit"},
            {row.key: _fact(row) for row in rows if row.what == "fact"},
        )

    def newest_card(self, family: str) -> SpecCard | None:
        """Return the newest revision of a family's card, None where it has none yet."""
        revisions = self.revisions_of_card(family)
        return self.card(revisions[0].id) if revisions else None

    def revisions_of_card(self, family: str) -> list[CardRevision]:
        """Return the revisions of a family's card, the newest first; none where there is no such family."""
        revision, card = tables.spec_revision, tables.spec_card
        rows = self._rows(
            select(revision.c.id, card.c.family, revision.c.revision, revision.c.made_at, revision.c.made_by)
            .join(card)
            .where(card.c.family_key == fold(line(family, tr("The name of the family"))))
            .order_by(revision.c.revision.desc())
        )
        return [
            CardRevision(row.id, row.family, row.revision, from_time_text(row.made_at), row.made_by) for row in rows
        ]

    def add_card_revision(
        self, family: str, limits: Iterable[Limit], facts: Iterable[CardFact], by: str = ""
    ) -> SpecCard:
        """Write the next revision of a family's card; jobs keep the revision they began with.

        Raises
        ------
        InputError
            A key comes twice, a limit is upside down, or a text or number cannot be kept.
        """
        limit_rows = [_limit_values(limit) for limit in limits]
        fact_rows = [_fact_values(fact) for fact in facts]
        for rows in (limit_rows, fact_rows):
            _need_distinct([str(row["key"]) for row in rows])
        card_id = self._family(line(family, tr("The name of the family"), is_needed=True))
        revision = tables.spec_revision
        last = self._row(select(func.max(revision.c.revision)).where(revision.c.card_id == card_id))
        now = self._clock()
        added = self._add(
            revision,
            card_id=card_id,
            revision=1 + ((last[0] or 0) if last else 0),
            made_at=to_time_text(now, now),
            made_by=line(by, tr("The name")),
        )
        for row in (*limit_rows, *fact_rows):
            self._add(tables.spec_value, revision_id=added, **row)
        return self.card(added)

    def _family(self, family: str) -> int:
        card = tables.spec_card
        found = self._row(select(card.c.id).where(card.c.family_key == fold(family)))
        if found is not None:
            return int(found.id)
        return self._add(card, family=family, family_key=fold(family))


def _need_distinct(keys: list[str]) -> None:
    for key in keys:
        if keys.count(key) > 1:
            raise InputError(tr("The spec card names {key} twice.", key=key), tr("Keep one of the two."))


def _value(value: float | None, what: str) -> float | None:
    return None if value is None else number(value, what, -LARGEST_VALUE, LARGEST_VALUE)


def _limit_values(limit: Limit) -> dict[str, object]:
    key = line(limit.key, tr("The key of a limit"), LONGEST_KEY, is_needed=True)
    low, high = _value(limit.low, key), _value(limit.high, key)
    if low is not None and high is not None and low > high:
        raise InputError(tr("The lowest value of {key} is above its highest.", key=key), tr("Change them round."))
    return {
        "what": "limit",
        "key": key,
        "low": low,
        "high": high,
        "value": None,
        "low_text": line(limit.low_text, key),
        "high_text": line(limit.high_text, key),
        "text": "",
        "unit": line(limit.unit, key, LONGEST_KEY),
        "source": note(limit.source, key),
    }


def _fact_values(fact: CardFact) -> dict[str, object]:
    key = line(fact.key, tr("The key of a fact"), LONGEST_KEY, is_needed=True)
    return {
        "what": "fact",
        "key": key,
        "low": None,
        "high": None,
        "value": _value(fact.value, key),
        "low_text": "",
        "high_text": "",
        "text": note(fact.text, key),
        "unit": line(fact.unit, key, LONGEST_KEY),
        "source": note(fact.source, key),
    }


def _limit(row: Row[Any]) -> Limit:
    return Limit(row.key, row.low, row.high, row.low_text, row.high_text, row.unit, row.source)


def _fact(row: Row[Any]) -> CardFact:
    return CardFact(row.key, row.value, row.text, row.unit, row.source)
