"""Found beside left: made from the declarations, so that a newly declared entry appears by itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from core.sheet.compare import compare, texts_for_customer
from core.stages import registry, stage
from core.stages.entry import FOUND, LEFT_AS, Entry
from core.verdict import Answer


@pytest.fixture
def new_entries() -> Iterator[None]:
    """Declare a reading found and left that no code knows about."""
    before = stage("teardown"), stage("fill")
    found = Entry("play_found", "Play", "length", "mm", moment=FOUND, compares="play", sheet_label="Play of the stub")
    left = replace(found, key="play_left", moment=LEFT_AS)
    registry.register(replace(before[0], entries=(*before[0].entries, found)))
    registry.register(replace(before[1], entries=(*before[1].entries, left)))
    yield
    for declared in before:
        registry.register(declared)


def rows_of(bench: Any) -> dict[str, Any]:
    return {row.label: row for row in compare(bench.state, "metric")}


def test_found_and_left_of_one_thing_share_a_row(told: Any) -> None:
    row = rows_of(told)["Backlash, mean"]
    assert row.is_paired
    assert (row.found.value.own, row.found.answer) == ("0.158 mm", Answer.DOES_NOT_CONFORM)
    assert (row.left.value.own, row.left.value.other) == ("0.080 mm", "0.0031 in")


def test_only_the_accepted_trial_was_left(told: Any) -> None:
    assert rows_of(told)["Side-bearing turning torque"].left.value.own == "0.62 N·m"


def test_a_later_stage_has_the_last_word_on_what_was_left(told: Any) -> None:
    row = rows_of(told)["Ring on the ring-gear side"]
    assert row.found.value.own == "2.620 mm"
    assert row.left.value.own == "2.600 mm"


def test_answers_that_differ_name_their_places(told: Any) -> None:
    row = rows_of(told)["Seals"]
    assert row.found.value.own == "good; to be replaced: left"
    assert row.found.answer is Answer.DOES_NOT_CONFORM


def test_an_entry_with_a_sheet_label_but_no_moment_counts_as_left(told: Any) -> None:
    assert rows_of(told)["Casing washed and dried"].left.value.own == "yes"


def test_free_text_for_the_customer_stands_by_itself(told: Any) -> None:
    assert texts_for_customer(told.state) == [("Seen on the parts", "One cover thread was stripped.")]
    assert "Seen on the parts" not in rows_of(told)


def test_nothing_read_makes_no_rows(bench: Any) -> None:
    assert compare(bench.state, "metric") == []


def test_a_new_entry_gets_its_row(told: Any, new_entries: None) -> None:
    told.take("teardown", "play_found", 0, "0.31")
    told.take("fill", "play_left", 0, "0.12")
    row = rows_of(told)["Play of the stub"]
    assert (row.found.value.own, row.left.value.own) == ("0.310 mm", "0.120 mm")


def test_a_new_entry_is_on_both_copies(told: Any, new_entries: None, printed: Any, read: Any) -> None:
    told.take("teardown", "play_found", 0, "0.31")
    told.take("fill", "play_left", 0, "0.12")
    for copy in ("customer", "shop"):
        words = read(printed(told.state, copy=copy))
        for said in ("Play of the stub", "0.310 mm", "0.120 mm"):
            assert said in words


def test_readings_at_several_places_become_a_range(bench: Any) -> None:
    before = stage("teardown")
    plates = replace(before.entry("plate_thickness"), sheet_label="Plates")
    registry.register(replace(before, entries=[plates if e.key == plates.key else e for e in before.entries]))
    try:
        for place, text in (("no_1", "2.04"), ("no_2", "2.02"), ("no_3", "2.05")):
            bench.take("teardown", f"plate_thickness@{place}", 0, text)
        assert rows_of(bench)["Plates"].found.value.own == "2.020 – 2.050 mm"
    finally:
        registry.register(before)


def test_more_rows_than_a_page_holds_run_on_over_a_second(bench: Any, printed: Any, read: Any) -> None:
    before = stage("fill")
    many = [Entry(f"extra_{n}", f"Extra {n}", "count", sheet_label=f"Extra {n}") for n in range(150)]
    registry.register(replace(before, entries=[*before.entries, *many]))
    try:
        for n in range(150):
            bench.take("fill", f"extra_{n}", 0, str(n))
        pdf = printed(bench.state, copy="customer")
        words = read(pdf)
        assert all(f"Extra {n} {n}" in words for n in range(150))
        assert "page 2 of " in words
    finally:
        registry.register(before)
