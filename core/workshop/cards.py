"""Spec cards."""

from __future__ import annotations

from collections.abc import Mapping

from core.facts import SpecCard
from core.quantities import parse
from core.shop_inputs import LimitText, read_card
from core.workshop.base import Base


class Cards(Base):
    """What can be done with spec cards."""

    def cards(self) -> list[SpecCard]:
        """Return the newest revision of every spec card."""
        with self._logbook.look() as work:
            return work.cards()

    def check_card(self, limits: Mapping[str, LimitText], facts: Mapping[str, str]) -> dict[str, str]:
        """Return a sentence for every limit or fact of a card that cannot be used yet, by key."""
        return {key: str(error) for key, error in read_card(limits, facts)[2].items()}

    def save_card(
        self, family: str, limits: Mapping[str, LimitText], facts: Mapping[str, str], person: str = ""
    ) -> SpecCard:
        """Keep a spec card, as typed, as the next revision of its family; jobs already open stay with theirs."""
        read_limits, read_facts, refused = read_card(limits, facts)
        if refused:
            raise next(iter(refused.values()))
        with self._working("save_card", person) as work:
            card = work.add_card_revision(parse("text", family).text, read_limits, read_facts, person)
            work.commit()
        return card
