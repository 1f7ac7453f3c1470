"""The shop's copy says what was advised for each trial beside what was fitted and read; the customer's does not."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from core.facts import Advised, Shop
from core.sheet.seal import seal
from core.stages.advised import counting, is_followed
from core.stages.state import JobState

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
ROWS = ("Advised: ring-gear side", "Chance stated", "Mean expected", "Expected within (90 %)", "Advice followed")


def said(state: JobState, trial: int, *, off_mm: float = 0.0, stage: str = "preload", **more: Any) -> Advised:
    """Return advice for a trial that names what was then fitted, or something so far off."""
    read = state.context
    one, other = (read.value(stage, side, trial=trial) or 0.0 for side in ("ring_gear_side", "opposite_side"))
    told: dict[str, Any] = {
        "id": trial,
        "job_id": read.job.id,
        "stage": stage,
        "trial": trial,
        "at": NOW,
        "person": "Tam Ollerby",
        "ring_gear_side_mm": one + off_mm,
        "opposite_side_mm": other - off_mm,
        "places": f"X{trial} · Y{trial}",
        "chance": 0.62,
        "expected": 0.71,
        "low": 0.55,
        "high": 0.88,
    }
    return Advised(**told | more)


def followed(words: str) -> str:
    return re.search(r"Advice followed ((?:yes|no|–| )+)", words).group(1).strip()  # type: ignore[union-attr]


def test_what_was_advised_stands_under_what_was_read(told: Any, printed: Any, read: Any) -> None:
    words = read(printed(told.state, advised=[said(told.state, 1, off_mm=0.006), said(told.state, 2)]))
    assert all(row in words for row in ROWS)
    assert "X1 · Y1" in words
    assert "Chance stated 62 % 62 %" in words
    assert "Mean expected 0.71 N·m 0.71 N·m" in words
    assert "Expected within (90 %) 0.55 – 0.88 0.55 – 0.88" in words
    assert followed(words) == "no yes"


def test_only_the_trials_that_had_advice_say_something(told: Any, printed: Any, read: Any) -> None:
    words = read(printed(told.state, advised=[said(told.state, 2)]))
    assert "Chance stated – 62 %" in words
    assert followed(words) == "– yes"
    assert words.count("Chance stated") == 1, "nothing was advised at backlash"


def test_without_advice_there_is_no_row_for_it(told: Any, printed: Any, read: Any) -> None:
    words = read(printed(told.state))
    assert not any(row in words for row in ROWS)


def test_what_was_said_last_counts(told: Any, printed: Any, read: Any) -> None:
    first, last = said(told.state, 1), said(told.state, 1, chance=0.34)
    assert counting([first, last], "preload") == {1: last}
    words = read(printed(told.state, advised=[first, last]))
    assert "Chance stated 34 %" in words
    assert "Chance stated 62 %" not in words


def test_in_inches(told: Any, printed: Any, read: Any) -> None:
    shop = Shop("Hollow Lane", "", "inch")
    words = read(printed(told.state, shop=shop, advised=[said(told.state, 2)]))
    assert re.search(r"Advised: ring-gear side – 0\.\d{4} in", words)
    assert "Mean expected – 6.3 lbf·in" in words


@pytest.mark.parametrize(("off_mm", "is_it"), [(0.0, True), (0.005, True), (-0.005, True), (0.0051, False)])
def test_followed_is_within_what_a_micrometer_reads_twice(told: Any, off_mm: float, is_it: bool) -> None:
    assert is_followed(told.state.context, said(told.state, 1, off_mm=off_mm)) is is_it


def test_a_trial_without_a_side_is_neither_followed_nor_not(told: Any) -> None:
    assert is_followed(told.state.context, replace(said(told.state, 1), trial=9)) is None


def test_the_seal_holds_what_was_advised(told: Any) -> None:
    how: dict[str, Any] = {"copy": "shop", "page": "A4", "made_at": NOW}
    advised = said(told.state, 1)
    plain, with_it, other = (
        seal(told.state, Shop("x"), (), **how, advised=some).fingerprint
        for some in ((), (advised,), (replace(advised, chance=0.63),))
    )
    assert len({plain, with_it, other}) == 3


def test_the_shops_copy_has_it_and_the_customers_has_not(workshop: Any, job: Any, read: Any, tmp_path: Path) -> None:
    for entry in ("rings_found_ring_gear_side", "rings_found_opposite_side"):
        workshop.record(job.id, "teardown", entry, "2.50", person="Tam Ollerby")
    workshop.record(job.id, "preload", "pairs_kept", "yes", person="Tam Ollerby")
    workshop.record(job.id, "preload", "out_of_mesh", "yes", person="Tam Ollerby")
    workshop.take_advice(job.id, "preload", "Tam Ollerby")
    shops, customers = (
        read(workshop.write_sheet(job.id, tmp_path / f"{copy}.pdf", copy=copy).read_bytes())
        for copy in ("shop", "customer")
    )
    assert followed(shops) == "yes"
    assert "Advice" not in customers
    assert "Chance stated" not in customers
