"""People: who may what, PINs and their wait, the last owner."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from core.errors import AccessError, ConflictError, InputError, NotFoundError, PinError, RuleError
from core.facts import Person
from core.records import Logbook, Work, open_logbook, tables

from .conftest import NOW

OWNER, BENCH, PIN = "Wren Hask", "Tam Ollerby", "2580"


class Clock:
    """A clock a test moves."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> Any:
        """Return where it stands."""
        return self.now

    def wait(self, seconds: float) -> None:
        """Move it on, or back."""
        self.now += timedelta(seconds=seconds)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def shop(logbook: Logbook, clock: Clock) -> Iterator[Logbook]:
    """Yield a logbook with an owner and somebody at the bench who has a PIN, opened with the test's clock."""
    with logbook.work() as work:
        work.add_person(OWNER, "owner")
        work.add_person(BENCH)
        work.set_pin(BENCH, "", PIN)
        work.commit()
    with open_logbook(logbook.location, clock=clock) as opened:
        yield opened


def person(logbook: Logbook, name: str) -> Person:
    with logbook.look() as work:
        return next(person for person in work.people() if person.name == name)


def attempt(logbook: Logbook, pin: str, name: str = BENCH) -> PinError | None:
    """Give a PIN as signing would; return the refusal."""
    try:
        with logbook.work(by=name, doing="sign") as work:
            work.need_person(name, pin)
            work.commit()
    except PinError as error:
        return error
    return None


# -- who may what ------------------------------------------------------------------------------------------------------


def test_while_there_is_no_owner_anybody_acts_as_one(work: Work) -> None:
    work.need_owner("")
    work.add_person(BENCH)
    work.need_owner(BENCH)
    work.need_owner("somebody else")


def test_with_an_owner_only_an_owner_may(work: Work) -> None:
    work.add_person(OWNER, "owner")
    work.add_person(BENCH)
    work.need_owner("wren  hask")
    for other in (BENCH, "", "somebody else"):
        with pytest.raises(AccessError, match="Only the owner"):
            work.need_owner(other)


def test_an_owner_who_left_may_not(work: Work) -> None:
    work.add_person(OWNER, "owner")
    second = work.add_person("Jory Pell", "owner")
    work.put_active(second.id, False)
    with pytest.raises(AccessError):
        work.need_owner("Jory Pell")


def test_while_nobody_is_entered_any_name_does(work: Work) -> None:
    assert work.need_person("Tam") is None
    assert work.need_known("Tam") is None


def test_only_who_works_here_may(work: Work) -> None:
    added = work.add_person(BENCH)
    assert work.need_known("tam ollerby").name == BENCH  # type: ignore[union-attr]
    with pytest.raises(AccessError, match="not among the people"):
        work.need_known("Pim")
    with pytest.raises(AccessError, match="Nobody is at the bench"):
        work.need_known(" ")
    work.put_active(added.id, False)
    with pytest.raises(AccessError, match="does not work here any more"):
        work.need_person(BENCH)


# -- PINs --------------------------------------------------------------------------------------------------------------


def test_who_has_a_pin_gives_it(shop: Logbook) -> None:
    assert attempt(shop, PIN) is None
    missing = attempt(shop, "")
    assert missing is not None and missing.message == "The PIN is missing." and BENCH in missing.remedy
    assert attempt(shop, "", OWNER) is None, "who has none signs by name"


def test_no_pin_is_written_anywhere(shop: Logbook) -> None:
    with shop.look() as work:
        stored = work._rows(select(tables.person.c.pin))[1].pin
        trail = " ".join(row.content for row in work._rows(select(tables.trail.c.content)))
    assert stored.startswith("scrypt$")
    assert stored not in trail


def test_a_wrong_pin_is_counted_though_nothing_else_is_done(shop: Logbook) -> None:
    with pytest.raises(PinError, match="not the PIN of Tam Ollerby"), shop.work(by=BENCH, doing="sign") as work:
        work.need_person(BENCH, "9999")
    with shop.look() as work:
        row = work._rows(select(tables.person.c.pin_failures, tables.person.c.pin_failed_at))[1]
        last = work.trail(1)[0]
    assert (row.pin_failures, row.pin_failed_at is None) == (1, False)
    assert (last.doing, last.content["pin_failures"]) == ("sign", 1)


def test_an_empty_pin_is_not_counted(shop: Logbook) -> None:
    for _ in range(10):
        attempt(shop, "  ")
    assert attempt(shop, PIN) is None


def test_after_three_wrong_ones_even_the_right_one_waits(shop: Logbook, clock: Clock) -> None:
    waits = [attempt(shop, "9999").wait_s for _ in range(3)]  # type: ignore[union-attr]
    assert waits == [0, 0, 5]
    for _ in range(20):
        refused = attempt(shop, PIN)
        assert refused is not None and refused.wait_s == 5, "trying while waiting changes nothing"
    clock.wait(4.5)
    assert attempt(shop, PIN).wait_s == 0.5  # type: ignore[union-attr]
    clock.wait(0.5)
    assert attempt(shop, PIN) is None


def test_each_wrong_one_doubles_the_wait_and_the_right_one_ends_it(shop: Logbook, clock: Clock) -> None:
    waits = []
    for _ in range(10):
        refused = attempt(shop, "9999")
        assert refused is not None
        waits.append(refused.wait_s)
        clock.wait(refused.wait_s)
    assert waits == [0, 0, 5, 10, 20, 40, 80, 160, 300, 300]
    assert attempt(shop, PIN) is None
    assert attempt(shop, "9999").wait_s == 0  # type: ignore[union-attr]


def test_a_restart_does_not_help(shop: Logbook, clock: Clock) -> None:
    for _ in range(3):
        attempt(shop, "9999")
    with open_logbook(shop.location, clock=clock) as again:
        assert attempt(again, PIN).wait_s == 5  # type: ignore[union-attr]


def test_one_who_waits_keeps_no_other_from_signing(shop: Logbook) -> None:
    for _ in range(4):
        attempt(shop, "9999")
    assert attempt(shop, "", OWNER) is None


def test_a_clock_a_little_back_begins_the_wait_anew_and_no_longer(shop: Logbook, clock: Clock) -> None:
    for _ in range(3):
        attempt(shop, "9999")
    clock.wait(-240)
    assert attempt(shop, PIN).wait_s == 5, "it does not unlock"  # type: ignore[union-attr]
    clock.wait(5)
    assert attempt(shop, PIN) is None, "nor does it lock until the clock is there again"


def test_a_clock_far_back_writes_nothing_and_says_why(shop: Logbook, clock: Clock) -> None:
    for _ in range(3):
        attempt(shop, "9999")
    clock.wait(-86_400)
    with pytest.raises(RuleError, match="clock of this machine"), shop.work(by=BENCH, doing="sign") as work:
        work.need_person(BENCH, PIN)
    clock.wait(86_400 + 5)
    assert attempt(shop, PIN) is None


def test_a_pin_is_asked_for_before_anything_is_written(shop: Logbook) -> None:
    with pytest.raises(RuntimeError), shop.work() as work:
        work.add_person("Jory Pell")
        work.need_person(BENCH, "9999")
    assert [p.name for p in _people(shop)] == [OWNER, BENCH], "what stood half written is not committed with it"


def _people(logbook: Logbook) -> list[Person]:
    with logbook.look() as work:
        return work.people()


def test_one_changes_his_own_pin_with_the_old_one(shop: Logbook) -> None:
    with pytest.raises(PinError), shop.work(by=BENCH, doing="set_pin") as work:
        work.set_pin(BENCH, "9999", "1470")
    with pytest.raises(PinError, match="missing"), shop.work() as work:
        work.set_pin(BENCH, "", "1470")
    with pytest.raises(InputError, match="first anybody"), shop.work() as work:
        work.set_pin(BENCH, PIN, "1111")
    assert attempt(shop, PIN) is None
    with shop.work() as work:
        assert work.set_pin(BENCH, PIN, "1470").has_pin
        work.commit()
    assert attempt(shop, PIN) is not None
    assert attempt(shop, "1470") is None


def test_nobody_has_a_pin_who_is_not_entered(work: Work) -> None:
    with pytest.raises(AccessError, match="not among the people"):
        work.set_pin("Tam", "", PIN)


def test_a_lost_pin_is_taken_away_and_the_trail_shows_it(shop: Logbook) -> None:
    for _ in range(5):
        attempt(shop, "9999")
    with shop.work(by=OWNER, doing="reset_pin") as work:
        assert not work.reset_pin(person(shop, BENCH).id).has_pin
        work.commit()
    assert attempt(shop, "") is None
    with shop.look() as work:
        last = work.trail(1)[0]
    assert (last.doing, last.person, last.content["name"], last.content["pin"]) == ("reset_pin", OWNER, BENCH, None)


# -- roles and leaving -------------------------------------------------------------------------------------------------


def test_a_role_is_changed(work: Work) -> None:
    work.add_person(OWNER, "owner")
    added = work.add_person(BENCH)
    changed = work.change_role(added.id, "owner", seen=added.version)
    assert (changed.role, changed.version) == ("owner", 2)
    with pytest.raises(ConflictError):
        work.change_role(added.id, "bench", seen=added.version)
    assert work.change_role(added.id, "owner") == changed, "nothing to do is done without a trace"
    with pytest.raises(InputError):
        work.change_role(added.id, "king")


def test_who_leaves_keeps_his_name_and_may_come_back(work: Work) -> None:
    added = work.add_person(BENCH)
    gone = work.put_active(added.id, False, seen=added.version)
    assert (gone.is_active, gone.name) == (False, BENCH)
    with pytest.raises(RuleError, match="taken"):
        work.add_person(BENCH)
    with pytest.raises(ConflictError):
        work.put_active(added.id, True, seen=added.version)
    assert work.put_active(added.id, True).is_active


LAST_OWNER: dict[str, Callable[[Work, int], object]] = {
    "is made bench": lambda work, owner: work.change_role(owner, "bench"),
    "leaves": lambda work, owner: work.put_active(owner, False),
}


@pytest.mark.parametrize("how", LAST_OWNER)
def test_the_last_owner_stays(work: Work, how: str) -> None:
    owner = work.add_person(OWNER, "owner")
    second = work.add_person("Jory Pell", "owner")
    work.put_active(second.id, False)
    with pytest.raises(RuleError, match="Wren Hask is the only owner"):
        LAST_OWNER[how](work, owner.id)
    work.put_active(second.id, True)
    LAST_OWNER[how](work, owner.id)


@pytest.mark.parametrize("person_id", [0, -1, 99, 2**63, 2**70])
def test_there_is_no_such_person(work: Work, person_id: int) -> None:
    for verb in (lambda: work.change_role(person_id, "owner"), lambda: work.put_active(person_id, False),
                 lambda: work.reset_pin(person_id)):  # fmt: skip
        with pytest.raises(NotFoundError):
            verb()


def test_two_benches_cannot_send_both_owners_away(shop: Logbook) -> None:
    with shop.work() as work:
        work.add_person("Jory Pell", "owner")
        work.commit()
    first, second = person(shop, OWNER), person(shop, "Jory Pell")
    with shop.work() as work:
        work.put_active(first.id, False, seen=first.version)
        work.commit()
    with pytest.raises(RuleError, match="only owner"), shop.work() as work:
        work.put_active(second.id, False, seen=second.version)


def test_a_damaged_pin_lets_nobody_in(tmp_path: Path) -> None:
    with open_logbook(tmp_path / "logbook.db", clock=lambda: NOW) as logbook:
        with logbook.work() as work:
            work.add_person(BENCH)
            work._change(tables.person, 1, pin="scrypt$x")
            work.commit()
        assert attempt(logbook, PIN) is not None
