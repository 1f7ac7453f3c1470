"""Whatever a logbook holds: handed out and taken in, it is the same; and two benches that take turns agree."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from exchanging import FACTS, LIMITS, NOW, advise, files_of, new_job, picture, read
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import UserError
from core.facts import FITS_WORDS, Limit
from core.records import open_logbook
from core.workshop import Workshop

texts = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), min_size=1, max_size=12)
values = st.floats(-1e6, 1e6, allow_nan=False)
small = st.integers(0, 3)

deeds = st.one_of(
    st.tuples(st.just("person"), texts),
    st.tuples(st.just("gauge"), texts, st.floats(0, 10)),
    st.tuples(st.just("card"), st.sampled_from(["Orrin B", "Kelda 3", "ORRIN B"]), st.floats(0, 1)),
    st.tuples(st.just("job"), texts, texts, texts, small),
    st.tuples(st.just("read"), small, texts, values, st.sampled_from(["at_000", "at_045"]), small, small),
    st.tuples(st.just("advise"), small, small, st.floats(0, 9), st.floats(0, 1), texts),
    st.tuples(st.just("take_back"), small, st.sampled_from(["at_000", "at_045"]), small),
    st.tuples(st.just("sign"), small),
    st.tuples(st.just("reopen"), small, texts),
    st.tuples(st.just("correct"), small, st.sampled_from(["customer", "contact", "vehicle", "asked_for"]), texts),
    st.tuples(st.just("photo"), small, st.integers(0, 255), texts),
    st.tuples(st.just("strike"), small, texts),
    st.tuples(st.just("sheet"), small, st.text("0123456789abcdef", min_size=64, max_size=64)),
    st.tuples(st.just("part"), st.floats(0.01, 9.0), st.integers(0, 5), st.sampled_from(list(FITS_WORDS))),
    st.tuples(st.just("take"), small, small, st.sampled_from(["ring_gear_side", "opposite_side"])),
)


def do(work: Any, deed: tuple[Any, ...]) -> None:
    """Do one thing, to whichever job, gauge or part there is at that place of the list."""
    what, *rest = deed
    jobs, gauges, parts, cards = work.jobs(), work.gauges(), work.parts(), work.cards()
    if what == "person":
        work.add_person(rest[0])
    elif what == "gauge":
        work.add_gauge(rest[0], "dial", "length", rest[1], rest[1] / 2)
    elif what == "card":
        work.add_card_revision(rest[0], (Limit("backlash", rest[1], None), *LIMITS[1:]), FACTS, "Tam Ollerby")
    elif what == "part":
        work.add_part("shim", "", f"A{len(parts)}", rest[0], rest[1], fits=rest[2])
    elif what == "job" and cards:
        new_job(work, cards[rest[3] % len(cards)].id, *rest[:2], customer=rest[2])
    elif jobs and what not in ("job",):
        _do_to(work, jobs[rest[0] % len(jobs)].id, what, rest, gauges, parts)


def _do_to(work: Any, job_id: int, what: str, rest: list[Any], gauges: list[Any], parts: list[Any]) -> None:
    if what == "read":
        gauge = gauges[rest[5] % len(gauges)].id if gauges and rest[5] else None
        read(work, job_id, rest[1], rest[2], position=rest[3], trial=rest[4], gauge_id=gauge, reason="so")
    elif what == "advise":
        advise(work, job_id, rest[1], ring_gear_side_mm=rest[2], chance=rest[3], places=rest[4])
    elif what == "take_back":
        read(work, job_id, "", None, position=rest[1], trial=rest[2], reason="not so")
    elif what == "sign":
        work.sign(job_id, "Tam Ollerby", NOW)
    elif what == "reopen":
        work.reopen(job_id, "Tam Ollerby", rest[1], NOW)
    elif what == "correct":
        work.change_job(job_id, rest[1], rest[2], "Tam Ollerby", "", NOW)
    elif what == "photo":
        work.add_photo(job_id, "fill", "", "", 0, None, rest[2], picture(rest[1]), "Jory Pell", NOW)
    elif what == "strike" and work.photos(job_id):
        work.strike_photo(work.photos(job_id)[-1].id, rest[1], "Jory Pell", NOW)
    elif what == "sheet":
        work.note_sheet(job_id, "Tam Ollerby", NOW, rest[1], "shop")
    elif what == "take" and parts:
        work.take_piece(job_id, ("preload", rest[2], 1), parts[rest[1] % len(parts)].id)


def tell(workshop: Workshop, told: list[tuple[Any, ...]]) -> None:
    """Do one thing after the other; what is refused is left."""
    for deed in told:
        with workshop._logbook.work(by="Tam Ollerby") as work:
            try:
                do(work, deed)
            except UserError:
                continue
            work.commit()


@contextmanager
def shops(made_once: Path, *names: str) -> Iterator[list[Any]]:
    """Open empty logbooks in a folder of their own; the folder comes last."""
    folder = Path(tempfile.mkdtemp())
    opened = []
    try:
        for name in names:
            shutil.copyfile(made_once, folder / name)
            opened.append(open_logbook(folder / name, clock=lambda: NOW + timedelta(minutes=1)))
        yield [*(Workshop(logbook, lambda: NOW + timedelta(minutes=1)) for logbook in opened), folder]
    finally:
        for logbook in opened:
            logbook.close()
        shutil.rmtree(folder)


@pytest.fixture(scope="module")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("made-once") / "logbook.db"
    open_logbook(path).close()
    return path


@pytest.fixture(autouse=True, scope="module")
def _no_typesetting() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Workshop, "_sheet", lambda *_: b"%PDF-1.4")
        yield


@settings(max_examples=15)
@given(told=st.lists(deeds, max_size=25))
def test_out_and_in_and_out_again_is_the_same(made_once: Path, told: list[tuple[Any, ...]]) -> None:
    told = [("card", "Orrin B", 0.1), ("job", "1", "K-1", "club", 0), ("part", 2.5, 2, "pinion"), *told]
    with shops(made_once, "one.db", "two.db") as (one, two, folder):
        tell(one, told)
        first = one.export_archive(folder / "first.zip")
        taken = two.import_archive(first)
        assert taken.is_kept
        assert taken.conflicts == ()
        second = two.export_archive(folder / "second.zip")
        assert files_of(second)["logbook.json"] == files_of(first)["logbook.json"]
        assert {name: text for name, text in files_of(second).items() if name.startswith("csv/")} == {
            name: text for name, text in files_of(first).items() if name.startswith("csv/")
        }
        for shop in (one, two):
            assert shop.import_archive(first).is_nothing_new
        assert two._logbook.verify().findings == ()
        assert two.stock_disagreements() == []


@settings(max_examples=8)
@given(
    turns=st.lists(
        st.lists(deeds.filter(lambda deed: deed[0] not in ("part", "take", "person")), max_size=8), max_size=4
    )
)
def test_benches_that_take_turns_agree(made_once: Path, turns: list[list[tuple[Any, ...]]]) -> None:
    with shops(made_once, "one.db", "two.db") as (one, two, folder):
        tell(one, [("card", "Orrin B", 0.1), ("job", "1", "K-1", "club", 0)])
        two.import_archive(one.export_archive(folder / "begin.zip"))
        here, there = one, two
        for at, turn in enumerate(turns):
            tell(here, turn)
            taken = there.import_archive(here.export_archive(folder / f"{at}.zip"))
            assert taken.conflicts == ()
            with here._logbook.look() as work, there._logbook.look() as other:
                assert other.exported_jobs() == work.exported_jobs()
            here, there = there, here
