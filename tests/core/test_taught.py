"""What a family has taught, asked of a logbook: signed jobs teach, every judged trial tells how good the advice was."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from core.advice.record import Outcome
from core.demo import LOGBOOK_NAME
from core.drafts import JobDraft
from core.errors import NotFoundError
from core.records import open_logbook
from core.workshop import Workshop

TAM = "Tam Ollerby"


@pytest.fixture
def demo(told_demo: Path, tmp_path: Path) -> Iterator[Workshop]:
    shutil.copyfile(told_demo / LOGBOOK_NAME, tmp_path / "logbook.db")
    workshop = Workshop(open_logbook(tmp_path / "logbook.db"))
    yield workshop
    workshop.close()


def read(workshop: Workshop, job_id: int, stage: str, trial: int = 0, **texts: str) -> None:
    for entry, text in texts.items():
        workshop.record(job_id, stage, entry, text, trial=trial, person=TAM)


def counts(workshop: Workshop) -> tuple[int, int, int]:
    preload = workshop.family_record("Orrin B").scores[0]
    return preload.trials, preload.conformed, preload.others


def test_the_demos_family_tells_what_its_belief_is(demo: Workshop) -> None:
    found, taught = demo.family_record("Orrin B"), demo.taught("Orrin B")
    assert found.jobs == taught.jobs == demo.charted_families()["Orrin B"]
    assert taught.zero is not None
    assert found.sum_mm is not None
    assert (found.sum_mm.value, found.sum_mm.scatter) == (taught.zero.mean, taught.zero.scatter)
    assert found.limits_nm == (0.5, 1.0)
    assert demo.family_record("Vask T").is_set_by_nuts
    assert not found.is_set_by_nuts


def test_a_followed_trial_of_an_open_job_counts_as_soon_as_it_is_judged(demo: Workshop) -> None:
    card = next(card for card in demo.cards() if card.family == "Orrin B")
    draft = JobDraft("2701", "K-1401", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=card.id)
    job_id = demo.new_job(draft, TAM).id
    read(demo, job_id, "preload", pairs_kept="yes", out_of_mesh="yes")
    trials, conformed, others = counts(demo)
    demo.take_advice(job_id, "preload", TAM)
    read(demo, job_id, "preload", 1, torque_forward="0.70")
    assert counts(demo) == (trials, conformed, others), "one way only was read"
    read(demo, job_id, "preload", 1, torque_back="0.70")
    assert counts(demo) == (trials + 1, conformed + 1, others)
    read(demo, job_id, "preload", 1, torque_back="0.20")
    assert counts(demo) == (trials + 1, conformed, others), "a corrected reading counts"
    read(demo, job_id, "preload", 2, ring_gear_side="2.30", opposite_side="2.30", torque_forward="0.05")
    assert counts(demo) == (trials + 1, conformed, others + 1)


def test_a_signed_job_is_judged_once_and_again_after_it_was_signed_anew(
    demo: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = counts(demo)
    judged: list[int] = []
    genuine = Workshop._state

    def watched(self: Workshop, work: Any, job_id: int, *more: Any) -> Any:
        judged.append(job_id)
        return genuine(self, work, job_id, *more)

    monkeypatch.setattr(Workshop, "_state", watched)
    job = demo.job("2407")
    assert counts(demo) == before
    assert job.id not in judged
    demo.reopen(job.id, TAM, "the tag was misread")
    counts(demo)
    assert job.id in judged


def test_a_family_without_a_signed_job_is_refused_in_a_sentence(workshop: Workshop, job: Any) -> None:
    with pytest.raises(NotFoundError, match=r"No job of Orrin B is signed yet\. What a family teaches begins"):
        workshop.family_record("Orrin B")


def test_no_outcome_is_counted_of_another_family(demo: Workshop) -> None:
    told = {family: demo.family_record(family).scores for family in demo.charted_families()}
    with demo._logbook.look() as work:
        lines = work.job_lines()
        advised = work.advised_of([line.id for line in lines])
    for family, scores in told.items():
        most = sum(len({(one.stage, one.trial) for one in advised[line.id]}) for line in lines if line.family == family)
        assert 0 < sum(score.trials + score.others for score in scores) <= most
    assert isinstance(next(iter(demo._outcomes.values())), tuple)
    assert all(isinstance(one, Outcome) for came in demo._outcomes.values() for one in came)
