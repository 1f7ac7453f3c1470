"""Two tellings of one job: what is lacking is exactly what was cut off, and what contradicts is said."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core import language
from core.exchange.history import Named, compare, place_of, said_of

AT = "2026-03-02T08:00:00.000000+00:00"
WHAT = ["signed", "reopened", "corrected", "sheet"]


def event(what: str, **detail: str) -> dict[str, Any]:
    return {"what": what, "at": AT, "person": "Tam Ollerby", "detail": detail}


def reading(text: str, **changes: Any) -> dict[str, Any]:
    place = {"stage": "backlash", "entry": "backlash", "position": "at_000", "trial": 1}
    said = {"value": None, "text": text, "unit": "mm", "gauge": None, "person": "Jory Pell", "taken_at": AT}
    return {**place, **said, "source": "typed", "replaces": None, "reason": "", **changes}


def advice(mm: float, **changes: Any) -> dict[str, Any]:
    pair = {"ring_gear_side_mm": mm, "opposite_side_mm": 2.45, "places": "C3, A1"}
    promise = {"chance": 0.84, "expected": 0.08, "low": 0.06, "high": 0.1}
    return {"stage": "backlash", "trial": 2, **pair, **promise, "person": "Jory Pell", "at": AT, **changes}


def photo(uid: str, strike: dict[str, str] | None = None) -> dict[str, Any]:
    place = {"stage": "fill", "entry": "", "position": "", "trial": 0, "reading": None}
    facts = {"caption": uid, "digest": uid, "width": 4, "height": 3, "person": "Jory Pell", "at": AT}
    return {"uid": uid, **place, **facts, "strike": strike}


def job(**changes: Any) -> dict[str, Any]:
    given: dict[str, Any] = {
        "uid": "j",
        "number": "2407",
        "unit": Named("u", "K-1183"),
        "customer": Named("c", "Hill-climb club"),
        "card": Named("one", "Orrin B, revision 1"),
        "vehicle": "rear axle",
        "asked_for": "quiet",
        "ring_gear_teeth": 43,
        "pinion_teeth": 11,
        "tag_ratio": 3.91,
        "is_limited_slip": True,
        "events": [event("opened")],
        "readings": [],
        "advised": [],
        "photos": [],
    }
    return {**given, **changes}


jobs = st.builds(
    lambda events, texts, sizes, uids: job(
        events=[event("opened"), *(event(what, number=str(at)) for at, what in enumerate(events))],
        readings=[reading(text) for text in texts],
        advised=[advice(size) for size in sizes],
        photos=[photo(f"p{at}") for at in range(uids)],
    ),
    st.lists(st.sampled_from(WHAT), max_size=6),
    st.lists(st.sampled_from(["0.08", "0,09", ""]), max_size=6),
    st.lists(st.sampled_from([2.5, 2.52]), max_size=3),
    st.integers(0, 3),
)


def cut(whole: dict[str, Any], events: int, readings: int, advised: int, photos: int) -> dict[str, Any]:
    """Return how a job stood earlier."""
    return {
        **whole,
        "events": whole["events"][: max(events, 1)],
        "readings": whole["readings"][:readings],
        "advised": whole["advised"][:advised],
        "photos": whole["photos"][:photos],
    }


earlier = st.tuples(st.integers(1, 7), st.integers(0, 6), st.integers(0, 3), st.integers(0, 3))


@given(whole=jobs, at=earlier)
def test_what_a_beginning_lacks_is_exactly_the_rest(whole: dict[str, Any], at: tuple[int, int, int, int]) -> None:
    early = cut(whole, *at)
    lacking = compare(early, whole)
    assert lacking.differences == ()
    assert early["readings"] + list(lacking.readings) == whole["readings"]
    assert early["advised"] + list(lacking.advised) == whole["advised"]
    assert early["photos"] + list(lacking.photos) == whole["photos"]
    added = early["events"] + list(lacking.events)
    for is_sheet in (True, False):
        assert [e for e in added if (e["what"] == "sheet") is is_sheet] == [
            e for e in whole["events"] if (e["what"] == "sheet") is is_sheet
        ]


@given(whole=jobs, at=earlier)
def test_who_is_ahead_lacks_nothing(whole: dict[str, Any], at: tuple[int, int, int, int]) -> None:
    assert compare(whole, cut(whole, *at)).is_nothing


@given(whole=jobs)
def test_a_job_is_the_same_as_itself(whole: dict[str, Any]) -> None:
    assert compare(whole, deepcopy(whole)).is_nothing


@given(whole=jobs, mine=st.sampled_from(["0.1", "0.2"]), theirs=st.sampled_from(["0.3", "0.4"]))
def test_two_ways_after_one_beginning_contradict_whoever_asks(whole: dict[str, Any], mine: str, theirs: str) -> None:
    ours = {**whole, "readings": [*whole["readings"], reading(mine)]}
    other = {**whole, "readings": [*whole["readings"], reading(theirs)]}
    (there,), (back,) = compare(ours, other).differences, compare(other, ours).differences
    assert (there.ours, there.theirs) == (back.theirs, back.ours)
    assert mine in there.ours
    assert theirs in there.theirs


@given(whole=jobs)
def test_each_ahead_in_something_else_contradict(whole: dict[str, Any]) -> None:
    ours = {**whole, "readings": [*whole["readings"], reading("0.1")]}
    other = {**whole, "events": [*whole["events"], event("corrected", field="vehicle")]}
    (difference,) = compare(ours, other).differences
    assert (difference.ours, difference.theirs) == ("more readings: 1", "corrected")


@given(whole=jobs)
def test_one_advised_while_the_other_read_contradict(whole: dict[str, Any]) -> None:
    ours = {**whole, "advised": [*whole["advised"], advice(2.48)]}
    other = {**whole, "readings": [*whole["readings"], reading("0.1")]}
    (difference,) = compare(ours, other).differences
    assert (difference.ours, difference.theirs) == ("more advice: 1", "more readings: 1")


def test_advice_that_differs_is_told_by_its_pair_or_by_what_differs() -> None:
    ours, theirs = job(advised=[advice(2.5)]), job(advised=[advice(2.52)])
    (difference,) = compare(ours, theirs).differences
    assert difference.field == "advice 1"
    assert difference.ours.startswith("Backlash, trial 2 = 2.500 mm + 2.450 mm (Jory Pell, ")
    assert difference.theirs.startswith("Backlash, trial 2 = 2.520 mm + 2.450 mm")
    (difference,) = compare(ours, job(advised=[advice(2.5, chance=0.5)])).differences
    assert (difference.ours, difference.theirs) == ("chance 0.84", "chance 0.5")


def test_a_reading_that_differs_in_what_is_not_shown_says_in_what() -> None:
    ours, theirs = job(readings=[reading("0.1", value=0.1)]), job(readings=[reading("0.1", value=0.10001)])
    (difference,) = compare(ours, theirs).differences
    assert (difference.ours, difference.theirs) == ("value 0.1", "value 0.10001")


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("unit", Named("x", "K-1")),
        ("card", Named("two", "Orrin B, revision 1")),
        ("ring_gear_teeth", 41),
        ("pinion_teeth", 9),
        ("tag_ratio", None),
        ("is_limited_slip", False),
        ("customer", Named("d", "Ossie Trellick")),
        ("vehicle", ""),
        ("asked_for", "loud"),
    ],
)
def test_a_field_nobody_corrected_contradicts(field: str, value: object) -> None:
    assert len(compare(job(), job(**{field: value})).differences) == 1


def test_the_number_is_what_a_shop_calls_it() -> None:
    assert compare(job(), job(number="11")).is_nothing


def test_the_same_thing_in_other_words_is_the_same() -> None:
    assert compare(job(), job(unit=Named("u", "k 1183"), card=Named("one", "Orrin B, revision 4"))).is_nothing


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("vehicle", {"vehicle": "front axle"}),
        ("customer", {"customer": Named("d", "Ossie Trellick")}),
        ("contact", {"customer": Named("d", "Hill-climb club")}),
        ("asked_for", {"asked_for": ""}),
    ],
)
def test_a_correction_there_is_taken_over_and_one_here_stays(field: str, changes: dict[str, Any]) -> None:
    corrected = job(events=[event("opened"), event("corrected", field=field)], **changes)
    lacking = compare(job(), corrected)
    assert lacking.takes_fields
    assert not lacking.differences
    assert compare(corrected, job()).is_nothing


def test_a_photo_struck_there_is_struck_here_and_the_other_way_round_stays() -> None:
    strike = {"person": "Jory Pell", "at": AT, "reason": "blurred"}
    standing, struck = job(photos=[photo("a"), photo("b")]), job(photos=[photo("a", strike), photo("b")])
    assert [one["uid"] for one in compare(standing, struck).strikes] == ["a"]
    assert compare(struck, standing).is_nothing
    other = job(photos=[photo("a", {**strike, "reason": "dark"}), photo("b")])
    assert compare(struck, other).differences


def test_a_place_is_told_in_words_or_by_its_keys() -> None:
    assert place_of(reading("x")).startswith("Backlash, ")
    assert place_of(reading("x")).endswith("trial 1")
    assert place_of(reading("x", stage="paint")) == "paint, backlash, at_000, trial 1"
    assert place_of(reading("x", entry="gone", position="")) == "Backlash, gone, trial 1"


def test_every_word_is_translated() -> None:
    language.use_translation(lambda text: f"⟦{text}⟧")
    try:
        told = [
            said_of("events", event("reopened", reason="why")),
            said_of("readings", reading("")),
            said_of("advised", advice(2.5)),
            said_of("photos", photo("a")),
        ]
        (difference,) = compare(job(), job(is_limited_slip=False)).differences
    finally:
        language.use_translation(None)
    assert all(words.startswith("⟦") for words in (*told, difference.field, difference.ours, difference.theirs))
