"""Spec cards."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from core import card_file
from core.card_changes import CardChange, changes
from core.errors import NotFoundError, UserError
from core.facts import CardRevision, SpecCard
from core.language import tr
from core.quantities import parse
from core.records import Work
from core.records.backup import settle
from core.shop_inputs import LimitText, printable, read_card
from core.workshop.base import Base


@dataclass(frozen=True)
class CardTaken:
    """A spec card from a file against the newest revision here: what it would change, and what came of it."""

    family: str
    newest: SpecCard | None
    changes: tuple[CardChange, ...]
    card: SpecCard | None = None

    @property
    def has_news(self) -> bool:
        """Whether the file says anything the newest revision does not."""
        return self.newest is None or bool(self.changes)


class Cards(Base):
    """What can be done with spec cards."""

    def cards(self) -> list[SpecCard]:
        """Return the newest revision of every spec card."""
        with self._logbook.look() as work:
            return work.cards()

    def card(self, revision_id: int) -> SpecCard:
        """Return one revision of a spec card."""
        with self._logbook.look() as work:
            return work.card(revision_id)

    def card_revisions(self, family: str) -> list[CardRevision]:
        """Return the revisions of a family's card, the newest first."""
        with self._logbook.look() as work:
            return work.revisions_of_card(family)

    def card_changes(self, family: str) -> dict[int, tuple[CardChange, ...]]:
        """Return what each revision of a family's card changed against the one before it, by the revision's number."""
        with self._logbook.look() as work:
            cards = [work.card(one.id) for one in reversed(work.revisions_of_card(family))]
        befores = (None, *cards)
        return {card.revision: changes(before, card) for before, card in zip(befores, cards, strict=False)}

    def compare_cards(
        self, family: str, start: int | None = None, end: int | None = None
    ) -> tuple[SpecCard, SpecCard, tuple[CardChange, ...]]:
        """Return two revisions of a family's card and what changed from one to the other.

        Parameters
        ----------
        family : str
            The casing family.
        start, end : int, optional
            Their numbers; the newest and the one before it where nothing is said.

        Raises
        ------
        NotFoundError
            There is no such family or revision.
        """
        with self._logbook.look() as work:
            known = {one.revision: one.id for one in _revisions(work, family)}
            newest = max(known)
            end = newest if end is None else end
            start = max(end - 1, min(known)) if start is None else start
            for number in (start, end):
                if number not in known:
                    raise NotFoundError(
                        tr("The card {family} has no revision {number}.", family=family, number=number),
                        tr("It has {first} to {last}.", first=min(known), last=newest),
                    )
            before, after = work.card(known[start]), work.card(known[end])
        return before, after, changes(before, after)

    def check_card(self, limits: Mapping[str, LimitText], facts: Mapping[str, str]) -> dict[str, str]:
        """Return a sentence for every limit or fact of a card that cannot be used yet, by key."""
        return {key: str(error) for key, error in read_card(limits, facts)[2].items()}

    def save_card(
        self,
        family: str,
        limits: Mapping[str, LimitText],
        facts: Mapping[str, str],
        person: str = "",
        *,
        fact_sources: Mapping[str, str] | None = None,
    ) -> SpecCard:
        """Keep a spec card, as typed, as the next revision of its family; jobs already open stay with theirs."""
        read_limits, read_facts, refused = read_card(limits, facts, fact_sources)
        if refused:
            raise next(iter(refused.values()))
        with self._working("save_card", person) as work:
            card = work.add_card_revision(parse("text", family).text, read_limits, read_facts, person)
            work.commit()
        return card

    # -- files -----------------------------------------------------------------------------------------------------

    def card_as_file(self, family: str) -> str:
        """Return the newest revision of a family's card as the text of a file for another shop.

        Raises
        ------
        NotFoundError
            There is no card of that family.
        RuleError
            A limit or fact has no source.
        """
        with self._logbook.look() as work:
            newest = _revisions(work, family)[0]
            return card_file.written(work.card(newest.id), newest.made_at)

    def export_card(self, family: str, path: Path) -> Path:
        """Write a family's card into a file; it appears whole or not at all.

        Raises
        ------
        NotFoundError, RuleError
            As `card_as_file`.
        UserError
            The file cannot be written.
        """
        text = self.card_as_file(family)
        partial = path.with_name(f"{path.name}.partial")
        try:
            partial.write_text(text, encoding="utf-8", newline="\n")
            settle(partial)
            partial.replace(path)
        except OSError as error:
            with suppress(OSError):
                partial.unlink(missing_ok=True)
            raise UserError(
                tr("{path} cannot be written: {reason}.", path=path, reason=error.strerror or error),
                tr("Check the folder and the disk, or choose another place."),
            ) from error
        return path

    def preview_card(self, path: Path) -> CardTaken:
        """Return what taking a card in from a file would change; nothing is written."""
        typed = card_file.read_file(path)
        with self._logbook.look() as work:
            return _against_newest(work, typed)

    def import_card(self, path: Path, person: str = "") -> CardTaken:
        """Take a card in from a file as the next revision of its family, if it says anything new.

        Raises
        ------
        InputError
            The file cannot be taken.
        AccessError
            Only an owner may take something in.
        """
        typed = card_file.read_file(path)
        with self._working("import_card", person) as work:
            work.need_owner(person)
            taken = _against_newest(work, typed)
            if not taken.has_news:
                return taken
            limits, facts = typed.card.limits.values(), typed.card.facts.values()
            card = work.add_card_revision(taken.family, limits, facts, person)
            work.commit()
        return CardTaken(taken.family, taken.newest, taken.changes, card)


def _revisions(work: Work, family: str) -> list[CardRevision]:
    found = work.revisions_of_card(family)
    if not found:
        raise NotFoundError(
            tr("There is no spec card {family}.", family=printable(family)),
            tr("There are: {families}.", families=", ".join(card.family for card in work.cards()) or tr("none")),
        )
    return found


def _against_newest(work: Work, typed: card_file.CardTyped) -> CardTaken:
    newest = work.newest_card(typed.family)
    family = typed.family if newest is None else newest.family
    return CardTaken(family, newest, changes(newest, typed.card))
