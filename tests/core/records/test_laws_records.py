"""Whatever is done to a job, in whatever order, the logbook tells what a plain list of facts would."""

from __future__ import annotations

import shutil
import tempfile
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from core.errors import RuleError, UserError
from core.records import open_logbook
from core.stages.context import current_readings

from .conftest import FACTS, LIMITS, NOW, new_job, new_reading

Place = tuple[str, int]
places = st.tuples(st.sampled_from(["at_000", "at_045"]), st.integers(0, 2))


class OneJob(RuleBasedStateMachine):
    """One job beside a model of it: the texts at each place, the signature, the customer."""

    empty: Path
    """An empty logbook, copied by each life."""

    @initialize()
    def begin(self) -> None:
        self.folder = Path(tempfile.mkdtemp())
        self.minutes = 0
        path = shutil.copyfile(self.empty, self.folder / "logbook.db")
        self.logbook = open_logbook(path, clock=lambda: NOW + timedelta(minutes=self.minutes))
        with self.logbook.work() as work:
            self.job = new_job(work, work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam"))
            work.commit()
        self.texts: dict[Place, list[str]] = {}
        self.is_signed, self.revision, self.customer, self.happened = False, 1, "Hill-climb club", ["opened"]

    def teardown(self) -> None:
        if hasattr(self, "logbook"):
            self.logbook.close()
            shutil.rmtree(self.folder)

    @rule(place=places, text=st.sampled_from(["0.08", "0,09", '.003"', ""]), is_kept=st.booleans())
    def read(self, place: Place, text: str, is_kept: bool) -> None:
        position, trial = place
        self.minutes += 1
        is_refused = self.is_signed or (text == "" and not self.texts.get(place, [""])[-1])
        with self.logbook.work() as work:
            if is_refused:
                with pytest.raises(UserError):
                    new_reading(work, self.job, None, text, position=position, trial=trial)
                return
            new_reading(work, self.job, None, text, position=position, trial=trial)
            if is_kept:
                work.commit()
                self.texts.setdefault(place, []).append(text)

    @rule(is_to_be_signed=st.booleans())
    def sign_or_reopen(self, is_to_be_signed: bool) -> None:
        at = NOW + timedelta(minutes=self.minutes)
        with self.logbook.work() as work:
            if is_to_be_signed == self.is_signed:
                with pytest.raises(RuleError):
                    _ = (
                        work.sign(self.job.id, "Tam", at)
                        if is_to_be_signed
                        else work.reopen(self.job.id, "Tam", "why", at)
                    )
                return
            _ = work.sign(self.job.id, "Tam", at) if is_to_be_signed else work.reopen(self.job.id, "Tam", "why", at)
            work.commit()
        self.is_signed = is_to_be_signed
        self.revision += not is_to_be_signed
        self.happened.append("signed" if is_to_be_signed else "reopened")

    @rule(customer=st.sampled_from(["Hill-climb club", "Łucja", "Жанна"]))
    def correct(self, customer: str) -> None:
        with self.logbook.work() as work:
            try:
                work.change_job(self.job.id, "customer", customer, "Tam", "", NOW)
            except RuleError:
                assert self.is_signed
                return
            work.commit()
        assert not self.is_signed
        self.happened += ["corrected"] if customer != self.customer else []
        self.customer = customer

    @rule()
    def open_anew(self) -> None:
        self.logbook.close()
        self.logbook = open_logbook(self.folder / "logbook.db", clock=lambda: NOW + timedelta(minutes=self.minutes))

    @invariant()
    def it_tells_the_same(self) -> None:
        if not hasattr(self, "logbook"):
            return
        with self.logbook.look() as work:
            job, readings, events = work.job(self.job.id), work.readings(self.job.id), work.events(self.job.id)
            assert work.jobs(self.customer) == [job]
        assert (job.signed_at is not None, job.revision, job.customer) == (self.is_signed, self.revision, self.customer)
        assert [event.what for event in events] == self.happened
        chains: dict[Place, list[str]] = {}
        for reading in readings:
            chains.setdefault((reading.position, reading.trial), []).append(reading.text)
        assert chains == self.texts
        standing = {(r.position, r.trial): r.text for r in current_readings(readings).values()}
        assert standing == {place: texts[-1] for place, texts in self.texts.items() if texts[-1]}


def test_one_job_is_what_was_done_to_it(made_once: Path) -> None:
    OneJob.empty = made_once
    run_state_machine_as_test(OneJob, settings=settings(max_examples=8, stateful_step_count=25))
