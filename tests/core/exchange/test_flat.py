"""Flat CSV: stable columns, every fact, nothing a spreadsheet could run."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from core.exchange.flat import READINGS, readings_csv
from core.facts import Gauge, ZeroCheck

Paper = Callable[..., Any]
HEADER = (
    "job,serial,stage,trial,entry,position,value,value_unit,typed,typed_unit,gauge,person,taken_at,source,reading,"
    "replaces,reason,stands,gauge_marks"
)


def rows(job: Any) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(readings_csv(job.context), newline=""), strict=True))


def test_the_columns_are_stable() -> None:
    assert ",".join(READINGS) == HEADER


def test_a_job_without_readings_is_a_header_alone(paper: Paper) -> None:
    assert readings_csv(paper().context) == HEADER + "\r\n"


def test_a_reading_keeps_value_text_unit_gauge_and_person(paper: Paper) -> None:
    job = paper(gauges=[Gauge(7, "dial gauge 1", "dial", "length", 0.01, 0.005)]).preload()
    job.read("backlash", "backlash", '.003"', "at_045", 2, gauge=7)
    assert rows(job)[-1] == {
        "job": "2407",
        "serial": "K-1183",
        "stage": "backlash",
        "trial": "2",
        "entry": "backlash",
        "position": "at_045",
        "value": "0.0762",
        "value_unit": "mm",
        "typed": '.003"',
        "typed_unit": "in",
        "gauge": "dial gauge 1",
        "person": "Tam Ollerby",
        "taken_at": "2026-03-02T08:08:00+00:00",
        "source": "typed",
        "reading": "8",
        "replaces": "",
        "reason": "",
        "stands": "yes",
        "gauge_marks": "",
    }


def test_a_reading_with_a_doubted_gauge_says_why_in_stable_words(paper: Paper) -> None:
    off = ZeroCheck(datetime(2026, 3, 2, 7, 0, tzinfo=UTC), 0.02, is_good=False)
    late = Gauge(7, "dial gauge 1", "dial", "length", 0.01, 0.005, date(2025, 1, 5), 12, zeros=(off,))
    job = paper(gauges=[late])
    job.read("backlash", "runout", "0.03", gauge=7)
    job.read("backlash", "runout", "0.02")
    assert [row["gauge_marks"] for row in rows(job)] == ["overdue bad_zero", ""]


def test_values_come_back_to_the_last_bit(paper: Paper) -> None:
    job = paper()
    job.read("teardown", "torque_whole", "9.5 in-lb")
    assert float(rows(job)[0]["value"]) == job.readings[0].value


def test_words_have_neither_value_nor_unit_and_yes_is_one(paper: Paper) -> None:
    job = paper()
    job.read("fill", "oil_grade", "75W-140")
    job.read("fill", "leak_check", "yes")
    job.read("backlash", "bolt_steps", "3")
    words, answer, count = rows(job)
    assert (words["value"], words["value_unit"], words["typed"], words["trial"]) == ("", "", "75W-140", "")
    assert (answer["value"], answer["value_unit"], answer["typed"]) == ("1.0", "", "yes")
    assert (count["value"], count["value_unit"]) == ("3.0", "")


def test_superseded_and_withdrawn_readings_stay_and_are_flagged(paper: Paper) -> None:
    job = paper()
    job.read("backlash", "runout", ".9")
    job.read("backlash", "runout", "0.02")
    job.read("fill", "note", "wet")
    job.withdraw("fill", "note")
    found = rows(job)
    assert [(r["typed"], r["stands"], r["replaces"]) for r in found] == [
        (".9", "no", ""),
        ("0.02", "yes", "1"),
        ("wet", "no", ""),
        ("", "no", "3"),
    ]


@pytest.mark.parametrize("note", ["=1+1", "+1", "-1", "@cell", '=HYPERLINK("x")', "-0.5 was read first"])
def test_a_note_is_never_a_formula(paper: Paper, note: str) -> None:
    job = paper(serial="=K", number="-7")
    job.read("fill", "note", note)
    (row,) = rows(job)
    assert row["typed"] == "'" + note
    assert (row["serial"], row["job"]) == ("'=K", "'-7")


@pytest.mark.parametrize("field", ["text", "person", "reason", "source", "unit", "position"])
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_no_cell_that_a_person_fills_starts_like_a_formula(paper: Paper, field: str, start: str) -> None:
    job = paper()
    job.read("fill", "note", "x")
    job.readings[0] = replace(job.readings[0], **{field: start + "2+2"})
    assert not [cell for cell in rows(job)[0].values() if cell.startswith(start)]


def test_a_negative_value_stays_a_number(paper: Paper) -> None:
    job = paper()
    job.read("preload", "cone_temperature", "-10 °C")
    (row,) = rows(job)
    assert row["value"] == "-10.0"
    assert row["value_unit"] == "°C"
    assert row["typed"] == "'-10 °C"


@pytest.mark.parametrize("note", ['He said "quiet", twice', "one\ntwo", "a,b;c", "Łódź Ж 中 😀 𝔘 é", "<b>&amp;"])
def test_quotes_commas_and_new_lines_are_quoted(paper: Paper, note: str) -> None:
    job = paper()
    job.read("fill", "note", note)
    job.read("fill", "oil_grade", "75W-140")
    assert [r["typed"] for r in rows(job)] == [note, "75W-140"]
    text = readings_csv(job.context)
    if any(c in note for c in '",\n'):
        assert '"' + note.replace('"', '""') + '"' in text
    records = text.replace(note.replace('"', '""'), "").split("\r\n")
    assert len(records) == 4, "header, two records, and the end of the last line"
    assert records[-1] == ""


def test_an_entry_of_another_version_is_still_handed_out(paper: Paper) -> None:
    job = paper()
    job.read("backlash", "runout", "0.02")
    job.readings.append(replace(job.readings[0], id=2, entry="no_longer_asked"))
    job.readings.append(replace(job.readings[0], id=3, stage="paint"))
    assert [(r["value"], r["value_unit"]) for r in rows(job)] == [("0.02", "mm"), ("0.02", ""), ("0.02", "")]


def test_a_gauge_that_is_gone_leaves_its_cell_empty(paper: Paper) -> None:
    job = paper()
    job.read("backlash", "runout", "0.02", gauge=9)
    assert rows(job)[0]["gauge"] == ""


def test_a_whole_job_has_a_row_for_each_reading(paper: Paper) -> None:
    job = paper().tell()
    found = rows(job)
    assert len(found) == len(job.readings) > 100
    assert [int(r["reading"]) for r in found] == [r.id for r in job.readings]
    assert {r["stands"] for r in found} == {"yes"}
