"""Jobs: opening, finding, correcting, signing, reopening."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from core.errors import InputError, NotFoundError, RuleError
from core.facts import Job, SpecCard
from core.records import Work

AddJob = Callable[..., Job]


# -- opening -------------------------------------------------------------------------------------------------------


def test_a_job_comes_back_as_it_went_in(work: Work, card: SpecCard, add_job: AddJob, now: datetime) -> None:
    job = add_job(contact="gate 2", asked_for="Quiet.\nDocumented.")
    assert work.job(job.id) == job
    assert job == Job(
        id=1,
        number="2407",
        serial="K-1183",
        customer="Hill-climb club",
        vehicle="rear axle",
        asked_for="Quiet.\nDocumented.",
        ring_gear_teeth=43,
        pinion_teeth=11,
        tag_ratio=3.91,
        is_limited_slip=True,
        card=card,
        opened_at=now,
        opened_by="Tam",
        contact="gate 2",
        uid=job.uid,
    )


def test_a_job_may_have_no_tag_and_an_open_carrier(add_job: AddJob) -> None:
    job = add_job(tag_ratio=None, is_limited_slip=False)
    assert job.tag_ratio is None
    assert job.is_limited_slip is False


def test_opening_is_the_first_event(work: Work, job: Job, now: datetime) -> None:
    (event,) = work.events(job.id)
    assert (event.job_id, event.what, event.at, event.person) == (job.id, "opened", now, "Tam")


@pytest.mark.parametrize("again", ["2407", " 2407 "])
def test_a_job_number_is_given_once(work: Work, job: Job, add_job: AddJob, again: str) -> None:
    with pytest.raises(RuleError, match="2407 already") as refused:
        add_job(again, serial="other")
    assert "2408" in refused.value.remedy
    assert work.jobs() == [job]
    assert work.jobs_of_unit("other") == []


def test_a_job_number_is_given_once_whatever_its_case(add_job: AddJob) -> None:
    add_job("Ä-7")
    with pytest.raises(RuleError):
        add_job("ä-7")


def test_a_job_without_a_card_is_refused(work: Work, add_job: AddJob) -> None:
    with pytest.raises(RuleError, match="spec card"):
        add_job(card_id=None)
    assert work.jobs() == []


def test_a_job_with_an_unknown_card_is_refused(add_job: AddJob) -> None:
    with pytest.raises(NotFoundError, match="spec card"):
        add_job(card_id=77)


@pytest.mark.parametrize(
    "changes",
    [
        {"number": ""},
        {"number": "9" * 200},
        {"number": "24\ud80007"},
        {"serial": " "},
        {"serial": "--- –"},
        {"serial": "K" * 100},
        {"serial": "K\x001"},
        {"customer": "x" * 1000},
        {"asked_for": "x" * 1_000_000},
        {"ring_gear_teeth": 0},
        {"pinion_teeth": -11},
        {"ring_gear_teeth": 10**30},
        {"tag_ratio": 0.0},
        {"tag_ratio": float("nan")},
        {"by": "a\0b"},
    ],
)
def test_what_cannot_be_kept_is_refused(add_job: AddJob, changes: dict[str, Any]) -> None:
    with pytest.raises(InputError):
        add_job(**changes)


def test_a_job_cannot_be_opened_in_the_future(add_job: AddJob, now: datetime) -> None:
    with pytest.raises(InputError, match="future"):
        add_job(at=now + timedelta(minutes=6))


def test_a_serial_number_typed_otherwise_is_the_same_unit(work: Work, add_job: AddJob) -> None:
    first, second, third = add_job("1", "K-1183"), add_job("2", "k 1183"), add_job("3", "K1183")
    other = add_job("4", "K-1184")
    assert {job.serial for job in (first, second, third)} == {"K-1183"}
    assert work.jobs_of_unit(" k–1183 ") == [third, second, first]
    assert work.jobs_of_unit("k1184") == [other]
    assert work.jobs_of_unit("") == []


# -- numbers -------------------------------------------------------------------------------------------------------


def test_the_first_job_is_number_one(work: Work) -> None:
    assert work.next_job_number() == "1"


@pytest.mark.parametrize(
    ("taken", "following"),
    [
        (["2407"], "2408"),
        (["2408", "2407"], "2409"),
        (["B-009"], "B-010"),
        (["B-99"], "B-100"),
        (["spring"], "spring1"),
        (["2026/07", "7 a"], "7 a1"),
    ],
)
def test_the_next_number_follows_the_last_and_is_free(
    work: Work, add_job: AddJob, taken: list[str], following: str
) -> None:
    for number in taken:
        add_job(number)
    assert work.next_job_number() == following
    add_job(work.next_job_number())


# -- finding -------------------------------------------------------------------------------------------------------


def test_a_job_is_found_by_its_number(work: Work, job: Job) -> None:
    assert work.find_job(" 2407 ") == job
    assert work.find_job("2408") is None
    assert work.find_job("") is None


@pytest.mark.parametrize("missing", [0, -1, 99, 2**63, 10**40])
def test_a_job_that_is_not_there(work: Work, missing: int) -> None:
    for verb in (work.job, work.events, work.readings):
        with pytest.raises(NotFoundError, match="no such job"):
            verb(missing)


@pytest.fixture
def three(add_job: AddJob) -> dict[str, Job]:
    """Return three jobs by number."""
    return {
        "2405": add_job("2405", "K-1183", customer="Łucja Ströß", vehicle="kit car, 50% done"),
        "2406": add_job("2406", "QX_7", customer="ΜΟΤΟΡ club", vehicle="trailer"),
        "B-7": add_job("B-7", "88 12", customer="Жанна", vehicle="rear axle\\left"),
    }


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("", ["B-7", "2406", "2405"]),
        ("   ", ["B-7", "2406", "2405"]),
        ("240", ["2406", "2405"]),
        ("k1183", ["2405"]),
        ("K 1183", ["2405"]),
        ("ŁUCJA", ["2405"]),
        ("łucja", ["2405"]),
        ("STRÖSS", ["2405"]),
        ("stro\u0308ß", ["2405"]),
        ("μοτορ", ["2406"]),
        ("жАННА", ["B-7"]),
        ("CAR kit", ["2405"]),
        ("car trailer", []),
        ("%", []),
        ("50%", ["2405"]),
        ("_", []),
        ("qx_", ["2406"]),
        ("q_7", ["B-7", "2406"]),
        ("qx_8", []),
        ("stro", ["2405"]),
        ("lucja STROSS", ["2405"]),
        ("tross", []),
        ("axle\\", ["B-7"]),
        ("'; DROP TABLE job; --", []),
        ("nothing", []),
    ],
)
def test_a_search_finds_what_was_typed(work: Work, three: dict[str, Job], typed: str, found: list[str]) -> None:
    assert work.jobs(typed) == [three[number] for number in found]


def test_a_search_stops_at_the_most(work: Work, three: dict[str, Job]) -> None:
    assert [job.number for job in work.jobs(most=2)] == ["B-7", "2406"]


@pytest.mark.parametrize("typed", ["x" * 1_000_000, "z\0y", "\ud800", "z " * 5_000, '"', "a" * 10_000])
def test_a_search_for_what_no_job_can_hold_finds_nothing(work: Work, three: dict[str, Job], typed: str) -> None:
    assert work.jobs(typed) == []


# -- correcting ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("field", ["customer", "contact", "vehicle", "asked_for"])
def test_a_correction_keeps_the_old_words_in_its_event(work: Work, job: Job, field: str, now: datetime) -> None:
    changed = work.change_job(job.id, field, " New words ", "Ines", "misspelt", now)
    assert getattr(changed, field) == "New words"
    assert [getattr(changed, name) for name in ("number", "serial", "card")] == [job.number, job.serial, job.card]
    event = work.events(job.id)[-1]
    assert (event.what, event.person, event.at) == ("corrected", "Ines", now)
    assert event.detail == {"field": field, "old": getattr(job, field), "new": "New words", "reason": "misspelt"}


def test_a_correction_that_changes_nothing_is_no_event(work: Work, job: Job, now: datetime) -> None:
    assert work.change_job(job.id, "customer", "Hill-climb  club", "Ines", "", now) == job
    assert len(work.events(job.id)) == 1


def test_a_corrected_job_is_found_by_its_new_words_only(work: Work, job: Job, now: datetime) -> None:
    work.change_job(job.id, "customer", "Árpád", "Ines", "", now)
    work.change_job(job.id, "vehicle", "front axle", "Ines", "", now)
    assert work.jobs("árpád FRONT k1183 2407")
    assert work.jobs("hill-climb") == work.jobs("rear") == []


def test_a_correction_leaves_the_other_jobs_of_the_customer_alone(work: Work, add_job: AddJob, now: datetime) -> None:
    earlier, later = add_job("1", "A"), add_job("2", "B")
    work.change_job(later.id, "contact", "gate 2", "Ines", "", now)
    assert work.job(earlier.id) == earlier


@pytest.mark.parametrize(("field", "text"), [("number", "1"), ("card", "x"), ("id", "2"), ("customer", "x" * 999)])
def test_what_may_not_be_corrected_is_refused(work: Work, job: Job, field: str, text: str, now: datetime) -> None:
    with pytest.raises(InputError):
        work.change_job(job.id, field, text, "Ines", "", now)
    assert work.job(job.id) == job


# -- signing -------------------------------------------------------------------------------------------------------


def test_a_signed_job_says_who_and_when(work: Work, job: Job, now: datetime) -> None:
    signed = work.sign(job.id, "Tam Ollerby", now)
    assert (signed.signed_at, signed.signed_by, signed.revision) == (now, "Tam Ollerby", 1)


def test_a_signed_job_refuses_changes_until_it_is_reopened(work: Work, job: Job, now: datetime) -> None:
    work.sign(job.id, "Tam", now)
    for refused in (
        lambda: work.change_job(job.id, "customer", "other", "Ines", "", now),
        lambda: work.sign(job.id, "Ines", now),
    ):
        with pytest.raises(RuleError, match=r"2407 was signed by Tam.*Reopen it with a reason"):
            refused()
    reopened = work.reopen(job.id, "Tam", "name misspelt", now)
    assert (reopened.revision, reopened.signed_at, reopened.signed_by) == (2, None, "")
    assert reopened.reopen_reason == "name misspelt"
    assert work.change_job(job.id, "customer", "other", "Ines", "", now).customer == "other"
    assert work.sign(job.id, "Ines", now).signed_by == "Ines"
    assert [event.what for event in work.events(job.id)] == ["opened", "signed", "reopened", "corrected", "signed"]


def test_an_open_job_cannot_be_reopened(work: Work, job: Job, now: datetime) -> None:
    with pytest.raises(RuleError, match="open already"):
        work.reopen(job.id, "Tam", "why not", now)


@pytest.mark.parametrize(("by", "reason"), [("", "misspelt"), ("Tam", ""), ("Tam", " \n")])
def test_reopening_needs_a_name_and_a_reason(work: Work, job: Job, now: datetime, by: str, reason: str) -> None:
    work.sign(job.id, "Tam", now)
    with pytest.raises(InputError, match="missing"):
        work.reopen(job.id, by, reason, now)
    assert work.job(job.id).signed_by == "Tam"


def test_signing_needs_a_name_and_not_the_future(work: Work, job: Job, now: datetime) -> None:
    with pytest.raises(InputError, match="missing"):
        work.sign(job.id, " ", now)
    with pytest.raises(InputError, match="future"):
        work.sign(job.id, "Tam", now + timedelta(days=365))
    assert work.job(job.id).signed_at is None


def test_a_sheet_is_noted_on_open_and_signed_jobs(work: Work, job: Job, now: datetime) -> None:
    work.note_sheet(job.id, "Tam", now, "ab" * 32, "customer")
    work.sign(job.id, "Tam", now)
    work.note_sheet(job.id, "", now, "cd" * 32, "shop")
    sheets = [event for event in work.events(job.id) if event.what == "sheet"]
    assert [event.detail for event in sheets] == [
        {"revision": "1", "fingerprint": "ab" * 32, "copy": "customer"},
        {"revision": "1", "fingerprint": "cd" * 32, "copy": "shop"},
    ]
    assert work.job(job.id).signed_by == "Tam"


def test_words_of_every_script_come_back_from_an_event(work: Work, job: Job, now: datetime) -> None:
    words = 'Ж Ω "quoted" \\ 中 🛠 <b>&amp;</b>'
    work.change_job(job.id, "vehicle", words, words, words, now)
    event = work.events(job.id)[-1]
    assert (event.person, event.detail["new"], event.detail["reason"]) == (words, words, words)
