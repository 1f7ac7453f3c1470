"""How roughly prints are read, asked of a logbook: signed jobs tell it once, and the contact's advice rests on it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from core.advice.contact_scatter import usual_scatter
from core.demo import LOGBOOK_NAME
from core.records import open_logbook
from core.workshop import Workshop, scatters


@pytest.fixture
def demo(told_demo: Path, tmp_path: Path) -> Iterator[Workshop]:
    shutil.copyfile(told_demo / LOGBOOK_NAME, tmp_path / "logbook.db")
    workshop = Workshop(open_logbook(tmp_path / "logbook.db"))
    yield workshop
    workshop.close()


def believed(workshop: Workshop, but: int = 0) -> Any:
    with workshop._logbook.look() as work:
        return workshop._scatter(work, but)


def test_each_signed_job_is_gone_through_once(demo: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    gone_through: list[str] = []
    genuine = scatters.scatter_taught

    def watched(context: Any) -> Any:
        gone_through.append(context.job.number)
        return genuine(context)

    monkeypatch.setattr(scatters, "scatter_taught", watched)
    first = believed(demo)
    assert first.weights != pytest.approx(usual_scatter().weights), "the demo's jobs tell something"
    signed = {line.number for line in _signed(demo)}
    assert set(gone_through) <= signed and len(gone_through) == len(set(gone_through))
    once = len(gone_through)
    assert believed(demo).weights == pytest.approx(first.weights)
    assert len(gone_through) == once
    # Left out is the job that is asked about; nothing is gone through for that.
    one = next(line for line in _signed(demo) if line.number == gone_through[0])
    assert believed(demo, one.id).weights != pytest.approx(first.weights)


def test_only_the_last_jobs_count(demo: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    told = iter(range(1000))
    monkeypatch.setattr(scatters, "ENOUGH", 3)
    monkeypatch.setattr(scatters, "scatter_taught", lambda _: np.arange(6.0) if next(told) < 3 else np.full(6, np.nan))
    assert np.isfinite(believed(demo).weights).all()


def test_the_advice_and_what_if_rest_on_it(demo: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    job_id = next(line.id for line in _lines(demo) if line.number == "2603")
    sds = []
    for logs in (np.array([0.0, -9.0, -9.0, -9.0, -9.0, -9.0]), np.array([-9.0, -9.0, -9.0, -9.0, 0.0, -9.0])):
        monkeypatch.setattr(scatters, "scatter_taught", lambda _, logs=logs: logs)
        demo._scatters.clear()
        found, why_not = demo.what_if(job_id)
        assert found is not None and not why_not
        sds.append(found.after(0.2, 0.0).prints[0].depth_doubt)
    assert sds[1] > sds[0], "where prints are read roughly, less is known of where they will lie"


def _lines(workshop: Workshop) -> Any:
    with workshop._logbook.look() as work:
        return work.job_lines()


def _signed(workshop: Workshop) -> Any:
    return [line for line in _lines(workshop) if line.sealed is not None]
