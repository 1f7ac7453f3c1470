"""A new entry is one declaration: it is asked for, checked, judged, printed and handed out; nothing else changes."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from core.errors import InputError
from core.stages import STAGES, register, stage
from core.stages.entry import LEFT_AS, Choice, Entry, numbered
from core.verdict import Answer

END_PLAY = Entry(
    "flange_end_play",
    "Output-flange end play",
    "length",
    "mm",
    positions=numbered(2, "flange"),
    limit="runout",
    gauge="dial",
    lowest=0.0,
    highest=2.0,
    moment=LEFT_AS,
    sheet_label="End play of the output flanges",
    help="Push and pull the flange under the dial and read the play.",
    group="Seals and flanges",
)
PAINT = Entry(
    "casing_paint",
    "Casing paint",
    "choice",
    choices=(Choice("whole", "whole", True), Choice("chipped", "chipped", False)),
    help="Look at the paint of the casing.",
    group="Last checks",
)
AIR = Entry(
    "air_temperature", "Air in the room", "temperature", "deg_c", is_trial=True, help="Read the air.", group="Trial"
)


@pytest.fixture
def with_new_entries() -> Iterator[None]:
    """Declare two entries more on the last stage and one in preload's trials, for this test only."""
    before = list(STAGES)
    last, set_up = stage("fill"), stage("preload")
    register(replace(last, entries=(*last.entries[:-1], END_PLAY, PAINT, last.entries[-1])))
    register(replace(set_up, entries=(*set_up.entries[:-2], AIR, *set_up.entries[-2:])))
    yield
    STAGES[:] = before


@pytest.mark.usefixtures("with_new_entries")
def test_a_declaration_is_the_whole_change(workshop: Any, job: Any, tmp_path: Path) -> None:
    dial = next(gauge.id for gauge in workshop.gauges() if gauge.use == "dial")

    fill = workshop.state(job.id).stage("fill")
    assert "Output-flange end play" in fill.missing
    assert [f.position.label for f in fill.fields if f.entry is END_PLAY] == ["flange 1", "flange 2"]

    with pytest.raises(InputError, match=r"90 mm is impossible here: it cannot be more than 2.000 mm"):
        workshop.record(job.id, "fill", "flange_end_play", "90 mm", position="no_1")
    with pytest.raises(InputError, match=r"Choose one of: whole, chipped"):
        workshop.record(job.id, "fill", "casing_paint", "green")

    workshop.record(job.id, "fill", "flange_end_play", "0.031", position="no_1", gauge_id=dial)
    workshop.record(job.id, "fill", "flange_end_play", ".0037 in", position="no_2", gauge_id=dial)
    workshop.record(job.id, "fill", "casing_paint", "chipped")
    workshop.record(job.id, "preload", "air_temperature", "68 °F", trial=1)
    state = workshop.state(job.id)
    answers = [f.verdict.answer for f in state.stage("fill").fields if f.entry in (END_PLAY, PAINT)]
    assert answers == [Answer.CONFORMS, Answer.DOES_NOT_CONFORM, Answer.DOES_NOT_CONFORM]
    assert [f.reading.value for f in state.stage("preload").trials[0].fields if f.entry is AIR] == [20.0]

    found_on_paper(workshop, job, tmp_path)
    rows = list(csv.DictReader(io.StringIO(workshop.readings_csv(job.id), newline="")))
    assert [(r["entry"], r["position"], r["trial"], r["value"], r["value_unit"], r["typed"]) for r in rows] == [
        ("flange_end_play", "no_1", "", "0.031", "mm", "0.031"),
        ("flange_end_play", "no_2", "", "0.09398", "mm", ".0037 in"),
        ("casing_paint", "", "", "", "", "chipped"),
        ("air_temperature", "", "1", "20.0", "°C", "68 °F"),
    ]


def found_on_paper(workshop: Any, job: Any, tmp_path: Path) -> None:
    """Find the new entries on the customer's page and in the shop's record."""
    texts = {}
    for copy in ("customer", "shop"):
        sheet = workshop.write_sheet(job.id, tmp_path / f"{copy}.pdf", copy=copy)
        texts[copy] = " ".join(" ".join(page.extract_text() for page in PdfReader(sheet).pages).split())
    assert "End play of the output flanges" in texts["customer"]
    assert "Casing paint" not in texts["customer"], "without a label of its own it is not the customer's business"
    for printed in (
        "Output-flange end play, flange 1",
        "0.031 mm",
        "0.094 mm",
        "Casing paint",
        "chipped",
        "Air in the room",
    ):
        assert printed in texts["shop"], printed


def test_a_reading_outlives_its_declaration(workshop: Any, job: Any, tmp_path: Path) -> None:
    before = list(STAGES)
    last = stage("fill")
    register(replace(last, entries=(PAINT, *last.entries)))
    try:
        workshop.record(job.id, "fill", "casing_paint", "whole")
    finally:
        STAGES[:] = before
    assert workshop.state(job.id).stage("fill").verdict.answer is Answer.MISSING
    assert "casing_paint" in workshop.readings_csv(job.id)
    assert workshop.write_sheet(job.id, tmp_path / "sheet.pdf").exists()
