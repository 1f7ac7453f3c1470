"""What came of the advice is counted as it happened, and what the family taught is what its beliefs say."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.advice.priors import Here, PastJob, family_of
from core.advice.record import EDGES, FamilyRecord, Outcome, outcomes, record_of, score, share_between
from core.advice.record_words import bound_sentence, score_rows, score_sentences, start_rows, taught_rows
from core.facts import Advised

Paper = Callable[..., Any]
HERE = Here(card_mm=(5.0, 0.5), geometric_rate=0.70)
LIMITS = (0.5, 1.0)


def advised(stage: str, trial: int, one: float, other: float, chance: float = 0.6, number: int = 1) -> Advised:
    now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    return Advised(number, 1, stage, trial, now, "Tam Ollerby", one, other, "", chance, 0.7, 0.5, 0.9)


def jobs(count: int, *, spread: float = 0.06) -> list[PastJob]:
    """Return jobs whose sums scatter by just so much around 5.00 mm, their rings found 0.04 mm beyond."""
    signs = [1 if at % 2 else -1 for at in range(count)]
    return [
        PastJob((5.0 + sign * spread, 0.005), (math.log(0.8), 0.05), (0.12, 0.004), (1.1, 0.03), 5.04 + sign * spread)
        for sign in signs
    ]


def record(past: list[PastJob], told: list[Outcome] | None = None, **more: Any) -> FamilyRecord:
    return record_of("Orrin B", family_of(past), HERE, more.pop("limits", LIMITS), told or [], **more)


# -- what came of the advice -------------------------------------------------------------------------------------------


def test_a_followed_trial_counts_by_its_verdict(paper: Paper) -> None:
    job = paper()
    job.preload_trial("2.50", "2.50", "0.05", "0.05", 1)
    job.preload_trial("2.52", "2.53", "0.70", "0.70", 2)
    said = [advised("preload", 1, 2.50, 2.50, 0.3), advised("preload", 2, 2.524, 2.526, 0.8)]
    assert outcomes(job.state(), said) == (
        Outcome("preload", 0.3, True, False),
        Outcome("preload", 0.8, True, True),
    )


def test_another_pair_was_not_followed_and_the_last_word_counts(paper: Paper) -> None:
    job = paper()
    job.preload_trial("2.52", "2.53", "0.70", "0.70", 1)
    first = advised("preload", 1, 2.52, 2.53, 0.8)
    assert outcomes(job.state(), [first])[0].is_followed
    (one,) = outcomes(job.state(), [first, advised("preload", 1, 2.56, 2.53, 0.9, number=2)])
    assert (one.is_followed, one.chance, one.conformed) == (False, 0.9, True)


def test_a_trial_nobody_finished_counts_only_where_it_is_settled(paper: Paper) -> None:
    job = paper()
    for trial, torque in ((1, "0.70"), (2, "0.05")):
        job.read("preload", "ring_gear_side", "2.50", trial=trial)
        job.read("preload", "opposite_side", "2.50", trial=trial)
        job.read("preload", "torque_forward", torque, trial=trial)
    said = [advised("preload", trial, 2.50, 2.50) for trial in (1, 2, 3)]
    assert outcomes(job.state(), said) == (Outcome("preload", 0.6, True, False),), "of the first it is not known yet"


def test_advice_on_a_trial_that_never_came_is_left_out(paper: Paper) -> None:
    assert outcomes(paper().state(), [advised("preload", 1, 2.5, 2.5), advised("backlash", 1, 2.5, 2.5)]) == ()


# -- the score ---------------------------------------------------------------------------------------------------------


def told(stage: str, *chances: tuple[float, bool], is_followed: bool = True) -> list[Outcome]:
    return [Outcome(stage, chance, is_followed, conformed) for chance, conformed in chances]


def test_stages_are_kept_apart_and_other_pairs_do_not_count() -> None:
    all_of_it = [
        *told("preload", (0.1, False), (0.2, True), (0.55, True)),
        *told("preload", (0.9, False), (0.9, False), is_followed=False),
        *told("backlash", (1.0, True)),
    ]
    preload, backlash = (score(stage, all_of_it) for stage in ("preload", "backlash"))
    assert (preload.trials, preload.conformed, preload.others) == (3, 2, 2)
    assert [one.trials for one in preload.bins] == [1, 1, 1, 0, 0], "an edge belongs to the bin above it"
    assert preload.expected == pytest.approx(0.85)
    assert preload.doubt == pytest.approx(math.sqrt(0.09 + 0.16 + 0.55 * 0.45))
    assert (backlash.trials, [one.trials for one in backlash.bins]) == (1, [0, 0, 0, 0, 1])
    assert backlash.off == 0.0, "nothing was left to chance"


def test_a_bin_tells_the_mean_chance_and_the_share() -> None:
    bins = score("preload", told("preload", (0.62, True), (0.70, True), (0.78, False), (0.66, True))).bins
    assert (bins[3].trials, bins[3].conformed) == (4, 3)
    assert bins[3].stated == pytest.approx(0.69)
    assert bins[3].share == 0.75
    assert bins[3].between == share_between(3, 4)
    assert (bins[0].stated, bins[0].share, bins[0].between) == (None, None, None)


@given(st.lists(st.tuples(st.floats(0.0, 1.0), st.booleans()), max_size=40))
def test_every_followed_trial_is_in_one_bin(chances: list[tuple[float, bool]]) -> None:
    found = score("preload", told("preload", *chances))
    assert sum(one.trials for one in found.bins) == found.trials == len(chances)
    assert sum(one.conformed for one in found.bins) == found.conformed
    for one in found.bins:
        if one.stated is not None and one.share is not None and one.between is not None:
            assert one.low - 1e-9 <= one.stated <= one.high + 1e-9
            assert 0.0 <= one.between[0] <= one.share <= one.between[1] <= 1.0


@pytest.mark.parametrize(
    ("conformed", "words"),
    [
        (14, "The chances stated hold."),
        (5, "The chances stated are too high"),
        (20, "The chances stated are too low"),
    ],
)
def test_with_trials_enough_it_is_said_whether_the_chances_hold(conformed: int, words: str) -> None:
    came = told("preload", *((0.7, at < conformed) for at in range(20)))
    preload, backlash = score_sentences(record(jobs(3), came))
    assert words in preload
    assert "should have been 14.0 ± 4.1" in preload
    assert backlash == "Backlash: no trial followed the advice yet."


def test_with_too_few_nothing_is_judged() -> None:
    preload, backlash = score_sentences(
        record(jobs(3), [*told("preload", *[(0.7, False)] * 19), *told("backlash", (0.5, True), is_followed=False)])
    )
    assert "too few to judge the chances by; from 20 on it can be told." in preload
    assert "In 1 trials" not in backlash
    assert "In one trial another pair was fitted." in backlash


def test_rows_of_the_score() -> None:
    rows = score_rows(record(jobs(3), told("backlash", (0.62, True), (0.70, True), (0.78, False), (0.66, True))))
    assert [row.stage for row in rows] == ["Backlash"] * (len(EDGES) - 1)
    assert [row.stated for row in rows] == ["under 20 %", "20 – 40 %", "40 – 60 %", "60 – 80 %", "over 80 %"]
    assert (rows[3].trials, rows[3].mean, rows[3].share) == ("4", "69 %", "75 % (36 – 94 %)")
    assert (rows[0].trials, rows[0].mean, rows[0].share) == ("0", "–", "–")
    assert score_rows(record(jobs(3))) == []


# -- what was learned --------------------------------------------------------------------------------------------------


def test_what_is_usual_is_what_the_jobs_say() -> None:
    found = record(jobs(40))
    assert found.sum_mm is not None
    assert found.even_mm is not None
    assert (found.jobs, found.sum_mm.jobs) == (40, 40)
    assert found.sum_mm.value == pytest.approx(5.0, abs=0.01)
    assert found.sum_mm.scatter == pytest.approx(0.06, abs=0.015)
    # 0.8 N·m for the first 0.05 mm rises by 0.8 · 1.11 / 0.05 N·m a millimetre there.
    assert found.torque_nm.value == pytest.approx(0.8 * 1.11 / 0.05 * 0.01, rel=0.03)
    assert found.lash_mm.value == pytest.approx(0.01 * 0.70 * 1.1, rel=0.02)
    assert found.found_mm.value == pytest.approx(-0.04, abs=0.01)
    assert found.found_mm.scatter < found.sum_mm.scatter, "the rings found know their own axle"
    assert found.stack_mm.jobs == 0
    assert found.even_mm.value == pytest.approx(0.12, abs=0.005)


def test_more_jobs_never_get_below_what_axles_differ_by() -> None:
    some, many = record(jobs(50)), record(jobs(400))
    assert many.starts[0].sd_mm == pytest.approx(0.06, abs=0.01)
    assert many.starts[0].sd_mm > 0.9 * some.starts[0].sd_mm


def test_what_is_measured_makes_a_first_trial_surer() -> None:
    history, found, stack = record(jobs(40)).starts
    assert [history.what, found.what, stack.what] == ["history", "found", "stack"]
    assert history.sd_mm > found.sd_mm > stack.sd_mm
    assert history.chance is not None
    assert found.chance is not None
    assert stack.chance is not None
    assert history.chance < found.chance < stack.chance < 1.0


def test_before_any_job_everything_is_assumed_and_said_so() -> None:
    rows = taught_rows(record([]), "metric")
    assert [row.jobs for row in rows if row.what == "Ring sum at no clearance"] == ["0"]
    assert [row.usual for row in rows if row.what == "Ring sum at no clearance"] == ["not known yet"]
    assert {row.jobs for row in rows} == {"0", "assumed"}


def test_nuts_have_neither_rings_nor_a_stack_to_go_by() -> None:
    found = record(jobs(6), is_set_by_nuts=True)
    assert [start.what for start in found.starts] == ["history"]
    rows = [row.what for row in taught_rows(found, "metric")]
    assert rows[0] == "Travel of both nuts at no clearance"
    assert not any("rings" in row or "stack" in row for row in rows)
    assert "stack" not in bound_sentence(found, "metric")


def test_the_window_is_what_the_limits_leave_at_that_rise() -> None:
    found = record(jobs(40))
    assert found.window_mm == pytest.approx(0.25 / found.torque_nm.value * 0.01)
    assert record(jobs(40), limits=None).window_mm is None


def test_the_sentence_names_scatter_window_and_what_the_stack_would_buy() -> None:
    found = record(jobs(40))
    said = bound_sentence(found, "metric")
    alone, _, stack = start_rows(found, "metric")
    assert f"tell the sum at no clearance to {alone.known}" in said
    assert f"no surer than {alone.chance}." in said
    assert f"known to {stack.known}, and a first trial is as sure as {stack.chance}." in said
    assert "two limits" in bound_sentence(record(jobs(40), limits=None), "metric")
    assert [row.chance for row in start_rows(record(jobs(40), limits=None), "metric")] == ["–"] * 3


def test_inches_are_told_for_a_thousandth() -> None:
    found = record(jobs(40))
    rows = {row.what: row for row in taught_rows(found, "inch")}
    steep = rows["Turning torque for each 0.0010 in of sum"]
    assert steep.usual.endswith(" lbf·in")
    assert float(steep.usual.split()[0]) == pytest.approx(2.54 * found.torque_nm.value / 0.1129848, abs=0.006)


def test_what_was_measured_on_the_newest_job_does_not_count() -> None:
    measured = replace(HERE, found_mm=4.0, stack_mm=4.0, found_lash_mm=0.5)
    family = family_of(jobs(6))
    assert record_of("Orrin B", family, measured, LIMITS, []) == record_of("Orrin B", family, HERE, LIMITS, [])
