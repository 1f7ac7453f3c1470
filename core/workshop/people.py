"""Who works here."""

from __future__ import annotations

from core.facts import Person
from core.quantities import parse
from core.workshop.base import Base


class People(Base):
    """What can be done with people."""

    def people(self) -> list[Person]:
        """Return everybody who may measure or sign."""
        with self._logbook.look() as work:
            return work.people()

    def add_person(self, name_text: str, role: str = "bench") -> Person:
        """Add somebody; the name must be new."""
        with self._working("add_person") as work:
            person = work.add_person(parse("text", name_text).text, role)
            work.commit()
        return person
