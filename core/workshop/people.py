"""Who works here, what each may do, and what was done."""

from __future__ import annotations

from core.facts import Person, TrailEntry
from core.quantities import parse
from core.workshop.base import Base


class People(Base):
    """What can be done with people."""

    def people(self) -> list[Person]:
        """Return everybody who measures or signs, or once did."""
        with self._logbook.look() as work:
            return work.people()

    def come_to_bench(self, name: str, pin: str = "") -> Person | None:
        """Return who comes to the bench, once the PIN is right where there is one; None while nobody is entered."""
        with self._working("come_to_bench", name) as work:
            person = work.need_person(name, pin)
            work.commit()
        return person

    def may_own(self, name: str) -> bool:
        """Tell whether somebody may do what is the owner's."""
        owners = [person.name for person in self.people() if person.role == "owner" and person.is_active]
        return not owners or name in owners

    def add_person(self, name_text: str, role: str = "bench", by: str = "") -> Person:
        """Add somebody; the name must be new. The owner's to do."""
        name = parse("text", name_text).text
        with self._working("add_person", by) as work:
            work.need_owner(by)
            person = work.add_person(name, role)
            work.commit()
        return person

    def change_role(self, person_id: int, role: str, by: str, *, seen: int | None = None) -> Person:
        """Make somebody an owner, or one who works at the bench. The owner's to do, never to the last owner."""
        with self._working("change_role", by) as work:
            work.need_owner(by)
            person = work.change_role(person_id, role, seen=seen)
            work.commit()
        return person

    def put_active(self, person_id: int, is_active: bool, by: str, *, seen: int | None = None) -> Person:
        """Let somebody work here no longer, or again. The owner's to do, never to the last owner."""
        with self._working("reactivate_person" if is_active else "deactivate_person", by) as work:
            work.need_owner(by)
            person = work.put_active(person_id, is_active, seen=seen)
            work.commit()
        return person

    def set_pin(self, name: str, old_pin: str, new_pin: str) -> Person:
        """Give oneself a PIN; who has one already types the old one too."""
        with self._working("set_pin", name) as work:
            person = work.set_pin(name, old_pin, new_pin)
            work.commit()
        return person

    def reset_pin(self, person_id: int, by: str, *, seen: int | None = None) -> Person:
        """Take away a PIN that was lost. The owner's to do; the trail shows it."""
        with self._working("reset_pin", by) as work:
            work.need_owner(by)
            person = work.reset_pin(person_id, seen=seen)
            work.commit()
        return person

    def forget_pin(self, name: str) -> Person:
        """Take away the lost PIN of the only owner; done on the command line, and the trail says so."""
        with self._working("forget_pin") as work:
            person = work.forget_pin(name)
            work.commit()
        return person

    def trail(self, most: int = 200, before_id: int | None = None) -> list[TrailEntry]:
        """Return what was done, newest first; before one entry, to go on reading."""
        with self._logbook.look() as work:
            return work.trail(most, before_id)
