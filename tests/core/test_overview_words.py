"""The owner's page in words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any

import pytest

from core import language
from core.charts import BY_PERSON, FamilyChart, Point, quantity
from core.facts import Part, Person
from core.mechanics.control_chart import control_chart
from core.overview import READY, BackupStanding, Comeback, Move, Overview, WaitingJob
from core.overview_words import (
    MOST_SIGNALS,
    WHAT_LIMITS_SAY,
    backup_words,
    cares,
    chart_sentences,
    counts_words,
    first_words,
    group_sentences,
    jobs_words,
    moved_words,
    point_sentences,
    point_words,
    signal_sentences,
    untouched_words,
)

NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
BEGUN = datetime(2025, 1, 1, 9, 0, tzinfo=UTC)
QUIET = [0.080, 0.081, 0.079, 0.080, 0.081, 0.079, 0.080, 0.079, 0.081, 0.080, 0.079, 0.081]


def made(values: list[float | None], key: str = "backlash") -> FamilyChart:
    points = tuple(
        Point(at, str(2400 + at), "K", BEGUN + timedelta(days=at), value, person=("Tam", "Jory")[at % 2])
        for at, value in enumerate(values)
    )
    return FamilyChart("Orrin B", quantity(key), points, control_chart(values))


def said(values: list[float | None], key: str = "backlash", units: str = "metric") -> list[str]:
    chart = made(values, key)
    return [*signal_sentences(chart, units), *chart_sentences(chart, units)]


def waiting(number: str, stage: str, days: int, wanted: str = "") -> WaitingJob:
    job: Any = SimpleNamespace(number=number)
    return WaitingJob(job, stage, wanted, NOW - timedelta(days=days), days)


# -- jobs --------------------------------------------------------------------------------------------------------------


def test_counts_leave_out_where_nobody_stands() -> None:
    overview = Overview(NOW, (waiting("1", "preload", 3), waiting("2", READY, 1)), signed=4)
    assert counts_words(overview) == "Preload: 1, Ready to sign: 1, Signed: 4"
    assert counts_words(Overview(NOW)) == "There is no job yet."


def test_the_first_sentence_is_what_waits_longest() -> None:
    assert first_words(Overview(NOW)) == "No job is waiting."
    assert first_words(Overview(NOW, (waiting("1", "preload", 0),))) == "Every open job was touched today."
    assert (
        first_words(Overview(NOW, (waiting("1", "preload", 1), waiting("2", "fill", 0))))
        == "Job 1 waits longest: it stands in Preload and was last touched 1 day ago."
    )
    assert "it is ready to sign and was last touched 9 days ago" in first_words(
        Overview(NOW, (waiting("7", READY, 9),))
    )
    assert [untouched_words(waiting("1", "fill", days)) for days in (0, 1, 2)] == ["today", "1 day", "2 days"]


def test_what_moved_in_the_units_of_the_shop() -> None:
    before: Any = SimpleNamespace(number="1")
    moved = (
        Move("Backlash, mean", "length", "mm", 0.0762, 0.1016),
        Move("Contact on the coast side, along the tooth", "ratio", "percent", 0.53, 0.24),
    )
    told = Comeback(before, before, 9, moved)
    assert moved_words(told, "metric").startswith("Backlash, mean: left 0.076 mm, found 0.102 mm; Contact")
    assert "left 0.0030 in, found 0.0040 in" in moved_words(told, "inch")
    assert "left 53.0 %, found 24.0 %" in moved_words(told, "inch")
    assert moved_words(Comeback(before, before, 9, ()), "metric").startswith("Nothing moved")


# -- what to see to ----------------------------------------------------------------------------------------------------


def test_what_to_see_to_has_its_reason() -> None:
    overview = Overview(
        NOW,
        orders=(Part(7, "seal", "output seal", "S2", None, 1, 4),),
        without_pin=(Person(3, "Tam Ollerby"),),
        backup=BackupStanding(NOW - timedelta(days=5), 12),
    )
    order, pin, backup = cares(overview)
    assert (order.what, order.id, order.name, order.why) == (
        "order",
        7,
        "output seal from S2",
        "3 lacking: 1 there, 4 wanted",
    )
    assert (pin.what, pin.id, pin.name) == ("pin", 3, "Tam Ollerby")
    assert (backup.what, backup.why) == ("backup", "Last backup on 2026-02-25; 12 entries were made since.")


def test_a_backup_that_holds_everything_is_only_told() -> None:
    overview = Overview(NOW, backup=BackupStanding(NOW - timedelta(days=50), 0))
    assert cares(overview) == []
    assert backup_words(overview) == "Last backup on 2026-01-11."
    assert backup_words(Overview(NOW)) == "There is no backup yet."


# -- charts ------------------------------------------------------------------------------------------------------------


def test_too_few_values_are_shown_without_limits_and_that_is_said() -> None:
    assert said([]) == ["No signed job of this family has this value yet."]
    assert said(QUIET[:3]) == ["3 values, shown without control limits: those need 8 that follow each other."]


def test_a_quiet_chart_says_so_and_what_its_limits_mean() -> None:
    nothing, usual, firm, meaning = said(QUIET)
    assert nothing.startswith("Nothing unusual")
    assert usual == "Usually 0.076 mm to 0.084 mm, on average 0.080 mm."
    assert firm == "The control limits rest on 12 values and may still move; 20 make them firm."
    assert meaning == WHAT_LIMITS_SAY
    assert said([*QUIET, *QUIET])[2] == WHAT_LIMITS_SAY


def test_limits_in_the_units_of_the_shop_and_never_below_nothing() -> None:
    assert "Usually 0.0030 in to 0.0033 in" in said(QUIET, units="inch")[1]
    variation: list[float | None] = [0.01, 0.02] * 6
    assert "Usually up to 0.042 mm, on average 0.015 mm." in said(variation, "backlash_variation")


def test_a_wild_value_offers_limits_by_the_median_beside() -> None:
    sentences = said([*QUIET, 0.3])
    assert sentences[0] == "Job 2412: 0.300 mm is above the upper control limit."
    assert sentences[2].startswith("12 jobs"), "the latest comes first"
    assert "Jobs 2411, 2412: a jump up by 0.219 mm, more than is usual from job to job." in sentences
    assert "12 jobs, 2400 to 2411: all below the average. Something shifted and stayed so." in sentences
    at = next(i for i, sentence in enumerate(sentences) if sentence.startswith("Jumps have widened"))
    assert sentences[at].endswith("it is usually 0.077 mm to 0.083 mm.")
    assert sentences[at + 1] == "Beyond that: job 2412."


def test_of_many_signals_the_latest_are_said() -> None:
    chart = made([*[0.01 * at for at in range(20)], *[0.2, 0.2001] * 200])
    sentences = list(signal_sentences(chart, "metric"))
    assert len(sentences) == MOST_SIGNALS + 1
    assert (
        sentences[-1] == f"{len(chart.chart.signals) - MOST_SIGNALS} more further back; the list names them job by job."
    )


def test_identical_values_are_no_perfection() -> None:
    assert said([0.08] * 9)[1].startswith("All values are 0.080 mm, so the control limits fall together; look whether")


def test_a_drift_and_a_crowd_at_one_limit() -> None:
    sentences = said([*QUIET, 0.080, 0.0815, 0.083, 0.0845, 0.086, 0.0875])
    assert any("each higher than the one before" in sentence for sentence in sentences)
    assert any("near the upper control limit again and again" in sentence for sentence in sentences)
    turned = said([0.16 - v for v in [*QUIET, 0.080, 0.0815, 0.083, 0.0845, 0.086, 0.0875]])
    assert any("each lower than the one before" in sentence for sentence in turned)
    assert any("is below the lower control limit" in sentence for sentence in turned)


def test_jobs_are_named_each_or_by_first_and_last() -> None:
    chart = made(QUIET)
    assert jobs_words(chart, ()) == ""
    assert jobs_words(chart, (3,)) == "job 2403"
    assert jobs_words(chart, (1, 2, 5)) == "jobs 2401, 2402, 2405"
    assert jobs_words(chart, range(4)) == "4 jobs, 2400 to 2403"


def test_a_point_says_what_is_unusual_of_it() -> None:
    chart = made([*QUIET, 0.3])
    assert point_words(chart, 12) == "beyond, jump"
    assert point_sentences(chart, 12, "metric").startswith("Job 2412: 0.300 mm is above")
    assert point_words(made(QUIET), 3) == point_sentences(made(QUIET), 3, "metric") == ""


def test_people_are_compared_where_there_are_several() -> None:
    assert list(group_sentences(made(QUIET), BY_PERSON, "metric")) == [
        "A: Tam, 6 jobs, on average 0.080 mm",
        "B: Jory, 6 jobs, on average 0.080 mm",
    ]
    assert list(group_sentences(made(QUIET[:3]), BY_PERSON, "metric"))[1] == "B: Jory, 1 job, 0.081 mm"
    assert list(group_sentences(made(QUIET[:1]), BY_PERSON, "metric")) == []


# -- translation -------------------------------------------------------------------------------------------------------


@pytest.fixture
def bracketed() -> Iterator[None]:
    language.use_translation(lambda text: f"⟦{text}⟧")
    yield
    language.use_translation(None)


@pytest.mark.usefixtures("bracketed")
@pytest.mark.parametrize(
    "values", [[], QUIET[:3], QUIET, [0.08] * 9, [*QUIET, 0.3], [*QUIET, -0.3], [*QUIET, *[0.09] * 9]]
)
def test_every_sentence_of_a_chart_is_translated(values: list[float | None]) -> None:
    for sentence in [*said(values), *group_sentences(made(values), BY_PERSON, "metric")]:
        left = sentence
        while "⟦" in left:
            left = re.sub(r"⟦[^⟦⟧]*⟧", "", left)
        assert left == "", sentence
