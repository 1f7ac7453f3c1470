"""The people: who may measure, sign and own; their PINs and what each may do."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row, func, select

from core.errors import AccessError, PinError, RuleError
from core.facts import Person
from core.language import tr
from core.pins import checked_pin, kept, matches, wait_after, wait_left, wait_words
from core.records import tables
from core.records.shop_verbs import one_of
from core.records.texts import fold, from_time_text, line, to_time_text
from core.records.unit_of_work import UnitOfWork, checked_id, no_such

ROLES = ("bench", "owner")


class PeopleVerbs(UnitOfWork):
    """What can be done with people."""

    def people(self) -> list[Person]:
        """Return everybody who was ever entered, in the order they were added."""
        return [_person(row) for row in self._rows(select(tables.person).order_by(tables.person.c.id))]

    # -- who may what ----------------------------------------------------------------------------------------------

    def need_owner(self, name: str) -> None:
        """Go on only for an owner; while the logbook has no active owner, anybody may act as one.

        Raises
        ------
        AccessError
            `name` is not an active owner.
        """
        row = self._named(name)
        if self._owners() and (row is None or row.role != "owner" or not row.is_active):
            raise AccessError(
                tr("Only the owner may do this."), tr("Let an owner come to the bench: choose the name at the top.")
            )

    def need_person(self, name: str, pin: str = "") -> Person | None:
        """Go on only for somebody who works here, with the PIN where there is one.

        To be called before anything else is written: a wrong PIN is counted for good, though nothing else is done.

        Parameters
        ----------
        name : str
            Who says to be there.
        pin : str
            As typed; of no account for who has none.

        Returns
        -------
        Person or None
            Who it is; None while nobody was ever entered.

        Raises
        ------
        PinError
            The PIN is wrong, missing, or must wait.
        AccessError
            Nobody of that name works here.
        """
        row = self._active(name)
        if row is not None and row.pin is not None:
            self._need_pin(row, pin)
        return None if row is None else _person(row)

    def need_known(self, name: str) -> Person | None:
        """Go on only for somebody who works here, by name alone; None while nobody was ever entered.

        Raises
        ------
        AccessError
            Nobody of that name works here.
        """
        row = self._active(name)
        return None if row is None else _person(row)

    def _active(self, name: str) -> Row[Any] | None:
        if self._row(select(tables.person.c.id).limit(1)) is None:
            return None
        row = self._named(name)
        if row is None or not row.is_active:
            raise _not_here(line(name, tr("The name")), is_known=row is not None)
        return row

    def _need_pin(self, row: Row[Any], pin: str) -> None:
        if not pin.strip():
            raise PinError(tr("The PIN is missing."), tr("Type the PIN of {name}.", name=row.name))
        self._need_wait_over(row)
        if matches(pin, row.pin):
            if row.pin_failures:
                self._change(tables.person, row.id, pin_failures=0, pin_failed_at=None)
            return
        failures, now = row.pin_failures + 1, self._clock()
        self._change_at_once(row, pin_failures=failures, pin_failed_at=to_time_text(now, now))
        wait = wait_after(failures)
        raise PinError(tr("This is not the PIN of {name}.", name=row.name), wait_words(wait), wait)

    def _need_wait_over(self, row: Row[Any]) -> None:
        failed_at = None if row.pin_failed_at is None else from_time_text(row.pin_failed_at)
        now = self._clock()
        wait = wait_left(row.pin_failures, failed_at, now)
        if failed_at is not None and now < failed_at and wait:
            # The clock went backwards: the wait begins anew, or it would last until the clock is there again.
            self._change_at_once(row, pin_failed_at=to_time_text(now, now))
        if wait:
            raise PinError(tr("Too many wrong PINs for {name}.", name=row.name), wait_words(wait), wait)

    def _change_at_once(self, row: Row[Any], **values: Any) -> None:
        """Change a person for good, though what is being done will be refused."""
        if self._chain is not None:
            raise RuntimeError("a PIN is asked for before anything is written")
        self._change(tables.person, row.id, **values)
        self.commit()

    def _named(self, name: str) -> Row[Any] | None:
        person = tables.person
        return self._row(select(person).where(person.c.name_key == fold(line(name, tr("The name")))))

    def _owners(self) -> int:
        person = tables.person
        active = select(func.count()).where(person.c.role == "owner", person.c.is_active == 1)
        return int(self._connection.execute(active).scalar_one())

    # -- who there is ----------------------------------------------------------------------------------------------

    def add_person(self, name: str, role: str = "bench") -> Person:
        """Add somebody.

        Raises
        ------
        RuleError
            Somebody of that name is there already; a signature must say who signed.
        """
        name = line(name, tr("The name"), is_needed=True)
        role = one_of(role, ROLES, tr("The role"))
        if self._named(name) is not None:
            raise RuleError(
                tr("The name {name} is taken already.", name=name),
                tr("Choose another name, so that they can be told apart."),
            )
        added = self._add(tables.person, name=name, name_key=fold(name), role=role, pin_failures=0, is_active=1)
        return Person(added, name, role)

    def change_role(self, person_id: int, role: str, *, seen: int | None = None) -> Person:
        """Make somebody an owner, or one who works at the bench.

        Raises
        ------
        RuleError
            It is the last owner.
        ConflictError
            It is no longer the version `seen`.
        """
        role = one_of(role, ROLES, tr("The role"))
        row = self._known_person(person_id)
        if role != "owner":
            self._need_another_owner(row)
        if role != row.role:
            self._change(tables.person, person_id, seen=seen, role=role)
        return _person(self._known_person(person_id))

    def put_active(self, person_id: int, is_active: bool, *, seen: int | None = None) -> Person:
        """Let somebody work here no longer, or again; what he measured and signed keeps his name.

        Raises
        ------
        RuleError
            It is the last owner.
        ConflictError
            It is no longer the version `seen`.
        """
        row = self._known_person(person_id)
        if not is_active:
            self._need_another_owner(row)
        if is_active != bool(row.is_active):
            self._change(tables.person, person_id, seen=seen, is_active=int(is_active))
        return _person(self._known_person(person_id))

    def _need_another_owner(self, row: Row[Any]) -> None:
        if row.role == "owner" and row.is_active and self._owners() == 1:
            raise RuleError(
                tr("{name} is the only owner.", name=row.name), tr("Make somebody else an owner first, then do it.")
            )

    # -- their PINs ------------------------------------------------------------------------------------------------

    def set_pin(self, name: str, old_pin: str, new_pin: str) -> Person:
        """Give oneself a PIN, or another one.

        Parameters
        ----------
        name : str
            Whose PIN.
        old_pin : str
            The present one, as typed; of no account where there is none.
        new_pin : str
            The new one, as typed.

        Raises
        ------
        PinError
            The old PIN is wrong, missing, or must wait.
        AccessError
            Nobody of that name works here.
        InputError
            The new PIN is not 4 to 12 digits, or among the first anybody would try.
        """
        new = checked_pin(new_pin)
        person = self.need_person(name, old_pin)
        if person is None:
            raise _not_here(line(name, tr("The name")), is_known=False)
        self._change(tables.person, person.id, pin=kept(new), pin_failures=0, pin_failed_at=None)
        return _person(self._known_person(person.id))

    def reset_pin(self, person_id: int, *, seen: int | None = None) -> Person:
        """Take a lost PIN away; until a new one is given, the name alone signs.

        Raises
        ------
        ConflictError
            It is no longer the version `seen`.
        """
        self._known_person(person_id)
        self._change(tables.person, person_id, seen=seen, pin=None, pin_failures=0, pin_failed_at=None)
        return _person(self._known_person(person_id))

    def forget_pin(self, name: str) -> Person:
        """Take away the PIN of the only owner, whom nobody else could help; who may write the logbook's file may do it.

        Raises
        ------
        AccessError
            `name` is not the only owner; an owner takes others' PINs away, and signs for it.
        """
        row = self._named(name)
        if row is None or row.role != "owner" or not row.is_active or self._owners() != 1:
            raise AccessError(
                tr("{name} is not the only owner of this logbook.", name=line(name, tr("The name"))),
                tr("Let an owner take the PIN away: on the shop page, under People."),
            )
        return self.reset_pin(row.id)

    def _known_person(self, person_id: int) -> Row[Any]:
        missing = tr("There is no such person in this logbook.")
        row = self._row(select(tables.person).where(tables.person.c.id == checked_id(person_id, missing)))
        if row is None:
            raise no_such(missing)
        return row


def _not_here(name: str, *, is_known: bool) -> AccessError:
    if not name:
        return AccessError(tr("Nobody is at the bench."), tr("Say who is at the bench, then do it again."))
    if is_known:
        return AccessError(
            tr("{name} does not work here any more.", name=name), tr("Choose somebody who does, or ask the owner.")
        )
    return AccessError(
        tr("{name} is not among the people of this logbook.", name=name), tr("Ask the owner to add the name.")
    )


def _person(row: Row[Any]) -> Person:
    return Person(row.id, row.name, row.role, row.pin is not None, bool(row.is_active), row.version)
