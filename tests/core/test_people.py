"""People at work: signing with and without a PIN, what is the owner's to do, and the trail of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from told import course

from core.errors import AccessError, InputError, PinError, RuleError
from core.workshop import Workshop

OWNER, BENCH, PIN = "Wren Hask", "Tam Ollerby", "2580"


def person(workshop: Workshop, name: str) -> Any:
    return next(person for person in workshop.people() if person.name == name)


@pytest.fixture
def finished(workshop: Workshop, job: Any) -> Any:
    """Return job 2407 with everything read, not signed."""
    for (stage, entry, position, trial), text in course("orrin").items():
        workshop.record(job.id, stage, entry, text, position=position, trial=trial, person=BENCH)
    return job


def signed_event(workshop: Workshop, job_id: int) -> Any:
    with workshop._logbook.look() as work:
        return [event for event in work.events(job_id) if event.what == "signed"][-1]


# -- signing -----------------------------------------------------------------------------------------------------------


def test_who_has_no_pin_signs_by_name_and_it_says_so(workshop: Workshop, finished: Any) -> None:
    signed = workshop.sign(finished.id, " tam  ollerby ")
    assert (signed.signed_by, signed.signed_with_pin) == (BENCH, False)
    assert signed_event(workshop, finished.id).detail["pin"] == "none"


def test_who_has_a_pin_signs_with_it_and_it_says_so(workshop: Workshop, finished: Any) -> None:
    workshop.set_pin(BENCH, "", PIN)
    for pin, refusal in (("", "missing"), ("9999", "not the PIN")):
        with pytest.raises(PinError, match=refusal):
            workshop.sign(finished.id, BENCH, pin)
        assert workshop.job("2407").signed_at is None
    signed = workshop.sign(finished.id, BENCH, PIN)
    assert (signed.signed_by, signed.signed_with_pin) == (BENCH, True)
    assert signed_event(workshop, finished.id).detail["pin"] == "given"
    assert not workshop.reopen(finished.id, OWNER, "misspelt").signed_with_pin


def test_no_pin_is_asked_for_what_cannot_be_signed_yet(workshop: Workshop, job: Any) -> None:
    workshop.set_pin(BENCH, "", PIN)
    for _ in range(5):
        with pytest.raises(InputError, match="cannot be signed yet"):
            workshop.sign(job.id, BENCH, "9999")
    assert workshop.come_to_bench(BENCH, PIN).name == BENCH  # type: ignore[union-attr]


@pytest.mark.parametrize("name", ["Pim Averlock", "Jory Pell"])
def test_only_who_works_here_signs_and_reopens(workshop: Workshop, finished: Any, name: str) -> None:
    workshop.put_active(person(workshop, "Jory Pell").id, False, OWNER)
    with pytest.raises(AccessError):
        workshop.sign(finished.id, name)
    workshop.sign(finished.id, BENCH)
    with pytest.raises(AccessError):
        workshop.reopen(finished.id, name, "misspelt")
    assert workshop.job("2407").signed_by == BENCH


# -- at the bench ------------------------------------------------------------------------------------------------------


def test_anybody_is_at_the_bench_while_nobody_is_entered(empty_workshop: Workshop) -> None:
    assert empty_workshop.come_to_bench("anybody") is None


def test_coming_to_the_bench(workshop: Workshop) -> None:
    assert workshop.come_to_bench(BENCH).name == BENCH  # type: ignore[union-attr]
    workshop.set_pin(BENCH, "", PIN)
    with pytest.raises(PinError):
        workshop.come_to_bench(BENCH)
    assert workshop.come_to_bench("tam ollerby", PIN).has_pin  # type: ignore[union-attr]


# -- the owner's to do -------------------------------------------------------------------------------------------------

OWNERS: dict[str, Callable[[Workshop, int, str], object]] = {
    "add": lambda shop, who, by: shop.add_person("Pim Averlock", by=by),
    "role": lambda shop, who, by: shop.change_role(who, "owner", by),
    "leave": lambda shop, who, by: shop.put_active(who, False, by),
    "come back": lambda shop, who, by: shop.put_active(who, True, by),
    "reset": lambda shop, who, by: shop.reset_pin(who, by),
}


@pytest.mark.parametrize("what", OWNERS)
def test_the_owner_may_and_nobody_else(workshop: Workshop, what: str) -> None:
    who = person(workshop, BENCH).id
    before = workshop.people(), workshop.trail(1)
    for by in (BENCH, "", "Pim Averlock"):
        with pytest.raises(AccessError, match="Only the owner"):
            OWNERS[what](workshop, who, by)
    assert (workshop.people(), workshop.trail(1)) == before
    OWNERS[what](workshop, who, OWNER)
    assert [workshop.may_own(name) for name in (OWNER, "Jory Pell", "")] == [True, False, False]


def test_the_only_owner_cannot_lock_the_shop_out(workshop: Workshop) -> None:
    owner = person(workshop, OWNER)
    with pytest.raises(RuleError):
        workshop.put_active(owner.id, False, OWNER)
    with pytest.raises(RuleError):
        workshop.change_role(owner.id, "bench", OWNER)


def test_the_first_people_are_entered_by_anybody(empty_workshop: Workshop) -> None:
    assert empty_workshop.may_own("")
    empty_workshop.add_person(BENCH)
    empty_workshop.add_person(OWNER, "owner")
    assert not empty_workshop.may_own(BENCH)


def test_the_only_owner_who_lost_the_pin_is_not_locked_out(workshop: Workshop) -> None:
    workshop.set_pin(OWNER, "", PIN)
    workshop.set_pin(BENCH, "", PIN)
    for other in (BENCH, "Pim Averlock", ""):
        with pytest.raises(AccessError, match="not the only owner"):
            workshop.forget_pin(other)
    assert not workshop.forget_pin("wren hask").has_pin
    assert (workshop.trail(1)[0].doing, workshop.trail(1)[0].person) == ("forget_pin", "")
    workshop.change_role(person(workshop, BENCH).id, "owner", OWNER)
    with pytest.raises(AccessError, match="not the only owner"):
        workshop.forget_pin(OWNER)


# -- the trail ---------------------------------------------------------------------------------------------------------


def test_the_trail_names_every_act_and_who_did_it(workshop: Workshop) -> None:
    who = person(workshop, BENCH).id
    workshop.set_pin(BENCH, "", PIN)
    with pytest.raises(PinError):
        workshop.come_to_bench(BENCH, "9999")
    workshop.reset_pin(who, OWNER)
    workshop.change_role(who, "owner", OWNER)
    workshop.put_active(who, False, OWNER)
    workshop.put_active(who, True, OWNER)
    workshop.add_person("Pim Averlock", by=OWNER)
    done = [(entry.doing, entry.person) for entry in reversed(workshop.trail(7))]
    assert done == [
        ("set_pin", BENCH),
        ("come_to_bench", BENCH),
        ("reset_pin", OWNER),
        ("change_role", OWNER),
        ("deactivate_person", OWNER),
        ("reactivate_person", OWNER),
        ("add_person", OWNER),
    ]
    assert all("/" in entry.bench for entry in workshop.trail(7))
