"""The people: who may measure, sign and own."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row, select

from core.errors import RuleError
from core.facts import Person
from core.language import tr
from core.records import tables
from core.records.shop_verbs import one_of
from core.records.texts import fold, line
from core.records.unit_of_work import UnitOfWork

ROLES = ("bench", "owner")


class PeopleVerbs(UnitOfWork):
    """What can be done with people."""

    def people(self) -> list[Person]:
        """Return everybody who may measure or sign, in the order they were added."""
        return [_person(row) for row in self._rows(select(tables.person).order_by(tables.person.c.id))]

    def add_person(self, name: str, role: str = "bench") -> Person:
        """Add somebody.

        Raises
        ------
        RuleError
            Somebody of that name is there already; a signature must say who signed.
        """
        name = line(name, tr("The name"), is_needed=True)
        role = one_of(role, ROLES, tr("The role"))
        person = tables.person
        if self._row(select(person.c.id).where(person.c.name_key == fold(name))) is not None:
            raise RuleError(
                tr("The name {name} is taken already.", name=name),
                tr("Choose another name, so that they can be told apart."),
            )
        added = self._add(person, name=name, name_key=fold(name), role=role, pin_failures=0, is_active=1)
        return Person(added, name, role)


def _person(row: Row[Any]) -> Person:
    return Person(row.id, row.name, row.role, row.pin is not None, bool(row.is_active), row.version)
