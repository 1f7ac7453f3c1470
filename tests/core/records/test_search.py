"""Finding jobs by words: the same answers from a file and from a server, whatever people write and type."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime
from itertools import count
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st
from sqlalchemy import select
from sqlalchemy import text as sql

from core.facts import Job, SpecCard
from core.quantities import Amount
from core.records import Logbook, Work, tables
from core.records.search_words import LONGEST_WORD, MOST_KEPT, asked_words, search_words, words_of_job

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
AddJob = Callable[..., Job]
ANYTHING = st.text(st.characters(), max_size=60)
QUOTES_AND_ORDERS = st.text(st.sampled_from("\"'*^:-()&|!<>\\ \tANDORNEARtm0\u0301"), max_size=40)
HARDEST = ["İstanbul", "ﬃ", "ᾳ", "ẛ̣", "각", "ك\u0651", "x\u0345y", "Ǆ", "²½", "𝔘𝔫𝔦", "ſt", "ŉ", "क्षि", "\u1e9e"]


def numbers(jobs: list[Job]) -> list[str]:
    return [job.number for job in jobs]


def write(work: Work, job: Job, entry: str, words: str, **more: Any) -> None:
    given_words: dict[str, Any] = {"stage": "teardown", "position": "", "trial": 0, "gauge_id": None, "person": "Tam"}
    amount = Amount("text", None, words, "")
    work.record(job.id, entry=entry, amount=amount, at=NOW, **{**given_words, **more})


# -- words -------------------------------------------------------------------------------------------------------------


@given(st.one_of(ANYTHING, st.sampled_from(HARDEST)))
def test_every_beginning_of_a_word_is_looked_for_as_what_it_is(written: str) -> None:
    for word in search_words(written):
        assert word.isalnum()
        assert len(word) <= LONGEST_WORD
        for end in range(1, len(word) + 1):
            assert search_words(word[:end]) == [word[:end]]
            assert asked_words(word[:end])[0][0] == word[:end]


@given(st.text(st.sampled_from("OoIiLl01Kk-\u2013 _7."), min_size=1, max_size=80))
def test_every_piece_of_a_serial_number_is_the_beginning_of_one_of_its_ends(serial: str) -> None:
    kept = words_of_job("1", serial, [])
    bare = "".join(c for c in serial if c.isalnum())
    for start in range(len(bare)):
        ((_, look),) = asked_words(bare[start : start + 5])
        assert any(word.startswith(look) for word in kept)


def test_a_job_of_ten_thousand_words_stays_within_what_a_server_takes() -> None:
    kept = words_of_job("1", "A", [" ".join(f"{n:x}𝔷" + "ж" * 90 for n in range(10_000))])
    assert len(kept) == MOST_KEPT
    assert len(" ".join(kept).encode()) < 1 << 20


# -- what is found -----------------------------------------------------------------------------------------------------


@pytest.fixture
def units(add_job: AddJob) -> list[Job]:
    """Return jobs on four units with serials that are easily mistaken."""
    return [
        add_job("2407", "K-1183", customer="Brackwater Hill-climb Club", vehicle="hill-climb special"),
        add_job("2433", "M 77-205", customer="Dunmarrow Farm", asked_for="Rebuild after water got in."),
        add_job("1183", "T-3310", customer="Pim Averlock", contact="pim@averlock.example"),
        add_job("2611", "k1183", customer="Brackwater Hill-climb Club", asked_for="Whine on the overrun."),
    ]


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("K 1I83", ["2611", "2407"]),
        ("k-ll83", ["2611", "2407"]),
        ("1183", ["1183", "2611", "2407"]),
        ("118", ["2611", "1183", "2407"]),
        ("whine overr", ["2611"]),
        ("OVERRUN Whine k1i", ["2611"]),
        ("brack -whine", ["2611"]),
        ("water", ["2433"]),
        ("averlock.example", ["1183"]),
        ("m772O5", ["2433"]),
        ("7-2", ["2433"]),
        ("club OR farm", []),
        ("NEAR(hill climb)", []),
        ('"hill club"', ["2611", "2407"]),
        ("hill*", ["2611", "2407"]),
        ("words:hill", []),
        ("^hill", ["2611", "2407"]),
        ("2433 dunm", ["2433"]),
        ("quiet", ["1183", "2407"]),
    ],
)
def test_words_numbers_and_serials(work: Work, units: list[Job], typed: str, found: list[str]) -> None:
    assert numbers(work.jobs(typed)) == found
    assert work.count_jobs(typed) == len(found)


def test_more_were_found_than_are_shown(work: Work, units: list[Job]) -> None:
    assert numbers(work.jobs("k1183", most=1)) == ["2611"]
    assert work.count_jobs("k1183") == 2
    assert work.count_jobs() == work.count_jobs("  ") == 4


def test_without_a_word_the_last_touched_comes_first(work: Work, units: list[Job]) -> None:
    assert numbers(work.jobs()) == ["2611", "1183", "2433", "2407"]
    work.change_job(units[0].id, "vehicle", "trailer", "Tam", "", NOW)
    assert numbers(work.jobs(most=2)) == ["2407", "2611"]


def test_what_is_written_is_found_until_it_is_replaced_or_taken_back(work: Work, units: list[Job]) -> None:
    job = units[0]
    write(work, job, "parts_note", "One cover thread was stripped.")
    assert numbers(work.jobs("strip thread")) == ["2407"]
    write(work, job, "parts_note", "One cover thread was torn.", reason="wrong adjective")
    assert work.jobs("stripped") == []
    assert numbers(work.jobs("torn")) == numbers(work.jobs("adjective")) == ["2407"]
    write(work, job, "parts_note", "")
    assert work.jobs("torn") == []


def test_numbers_and_choices_are_not_words_but_their_reasons_are(work: Work, units: list[Job]) -> None:
    job = units[1]
    write(work, job, "oil_found", "milky")
    assert work.jobs("milky") == []
    write(work, job, "oil_found", "dark", reason="looked again in daylight")
    assert numbers(work.jobs("daylight")) == ["2433"]


def test_reasons_of_reopening_and_of_corrections_are_found(work: Work, units: list[Job]) -> None:
    job = units[2]
    work.change_job(job.id, "customer", "Pim Averlocke", "Tam", "misheard on the telephone", NOW)
    work.sign(job.id, "Tam", NOW)
    work.reopen(job.id, "Wren", "customer came back for the invoice", NOW)
    for typed in ("telephone", "invoice", "averlocke"):
        assert numbers(work.jobs(typed)) == ["1183"]


@pytest.mark.parametrize("typed", ["", "K-1183", "K1183", "k 1183"])
def test_a_unit_spelt_the_same_is_not_merely_alike(work: Work, units: list[Job], typed: str) -> None:
    assert work.units_like(typed) == []


@pytest.mark.parametrize(("typed", "known"), [("K-I183", ["K-1183"]), ("kl l83", ["K-1183"]), ("K-11B3", [])])
def test_a_unit_that_looks_like_a_known_one_is_named(
    work: Work, units: list[Job], typed: str, known: list[str]
) -> None:
    assert work.units_like(typed) == known


def test_the_index_is_kept_with_what_it_is_made_from(logbook: Logbook) -> None:
    with logbook.work() as work:
        card = work.add_card_revision("Orrin B", (), ())
        job = _job(work, card, "1", "A-1")
        work.commit()
    with logbook.look() as work:
        assert numbers(work.jobs("orchard")) == ["1"]
    with logbook.work() as work:
        write(work, job, "note", "never kept")
    with logbook.look() as work:
        assert work.jobs("never") == []
    with logbook.work() as work:
        before = _index(work)
        work.rebuild_search()
        assert _index(work) == before
        work._connection.execute(sql("DELETE FROM job_search"))
        assert work.jobs("orchard") == []
        work.rebuild_search()
        assert _index(work) == before


def _job(work: Work, card: SpecCard, number: str, serial: str, **more: str) -> Job:
    texts = {
        "customer": "Hollin Quarry",
        "contact": "",
        "vehicle": "loader",
        "asked_for": "Orchard lane, leaks.",
        **more,
    }
    return work.add_job(
        number=number,
        serial=serial,
        **texts,
        ring_gear_teeth=43,
        pinion_teeth=11,
        tag_ratio=None,
        is_limited_slip=False,
        card_id=card.id,
        by="Tam",
        at=NOW,
    )


def _index(work: Work) -> list[tuple[Any, ...]]:
    key = "rowid" if work._connection.dialect.name == "sqlite" else "job_id"
    rows = work._connection.execute(sql(f"SELECT {key}, words FROM job_search ORDER BY {key}"))
    return [tuple(row) for row in rows]


# -- whatever people write and type ------------------------------------------------------------------------------------

ONE_UNIT_OF_WORK = settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)


@ONE_UNIT_OF_WORK
@given(typed=st.one_of(ANYTHING, QUOTES_AND_ORDERS))
@example("")
@example("a" * 10_000)
@example(" ".join(f"w{n}" for n in range(2_000)))
@example("\0\ud800\udfff'\"")
@example("' OR 1=1 --")
@example('" OR words MATCH "a')
def test_no_search_is_an_error(work: Work, units: list[Job], typed: str) -> None:
    assert len(work.jobs(typed)) == work.count_jobs(typed) <= 4


_NUMBERS = count(10)


@ONE_UNIT_OF_WORK
@given(written=st.one_of(st.text(min_size=1, max_size=60), st.sampled_from(HARDEST)), data=st.data())
def test_what_was_written_is_found_by_the_beginning_of_any_word_of_it(
    work: Work, add_job: AddJob, written: str, data: st.DataObject
) -> None:
    kept = "".join(c if c.isprintable() else " " for c in written)
    words = search_words(kept)
    assume(words)
    job = add_job(str(next(_NUMBERS)), "A-1", asked_for="")
    write(work, job, "note", kept)
    word = data.draw(st.sampled_from(words))
    typed = word[: data.draw(st.integers(1, len(word)))]
    assert job.number in numbers(work.jobs(typed, most=10_000))
    assert job.number in numbers(work.jobs(f"a-I {typed}", most=10_000))


# -- how long it takes -------------------------------------------------------------------------------------------------

MOST_S = 0.05
MANY = 5_000


@pytest.mark.long
def test_five_thousand_jobs_are_searched_in_a_twentieth_of_a_second(logbook: Logbook) -> None:
    with logbook.work() as work:
        card = work.add_card_revision("Orrin B", (), ())
        _job(work, card, "1000", "K-0000")
        work.commit()
        _copy_many(work)
        work.commit()
    took: dict[str, float] = {}
    with logbook.look() as work:
        assert work.count_jobs() == MANY
        for words in ("", "k", "K 1I8", "hollin", "hollin 17 leaks", "1183", "w", "nothing at all"):
            took[words] = min(_timed(work, words) for _ in range(5))
    assert max(took.values()) < MOST_S, took


def _copy_many(work: Work) -> None:
    """Make many jobs of the one that is there; through the verbs it would take minutes."""
    connection = work._connection
    for table, key in ((tables.unit, "serial_key"), (tables.job, "number_key"), (tables.job_event, "")):
        first = dict(connection.execute(select(table)).mappings().one())
        rows = [{**first, "id": n + 1} for n in range(1, MANY)]
        for n, row in enumerate(rows, start=1):
            if "uid" in row:
                row["uid"] = f"copy {n}"
            if key == "serial_key":
                row |= {"serial": f"K-{n:04d}", "serial_key": f"k{n:04d}", "look_key": f"k{n:04d}"}
            if key == "number_key":
                row |= {"number": str(1000 + n), "number_key": str(1000 + n), "unit_id": n + 1}
            if table is tables.job_event:
                row["job_id"] = n + 1
        connection.execute(table.insert(), rows)
    work.rebuild_search()


def _timed(work: Work, words: str) -> float:
    start = time.perf_counter()
    work.jobs(words, 40)
    work.count_jobs(words)
    return time.perf_counter() - start
