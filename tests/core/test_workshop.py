"""Everything a person can do, head-less: each verb, what it keeps, and what it refuses without a trace."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from told import course

from core.drafts import JobDraft
from core.errors import InputError, LogbookError, NotFoundError, RuleError, UserError
from core.exchange.flat import READINGS
from core.facts import Shop
from core.records import open_logbook
from core.shop_inputs import LimitText
from core.verdict import Answer
from core.workshop import Workshop, utc_now

BENCH = "Tam Ollerby"


def draft(workshop: Workshop, **changes: Any) -> JobDraft:
    """Return a draft that can be opened."""
    cards = {card.family: card.id for card in workshop.cards()}
    good = JobDraft(
        number="2500",
        serial="T-1",
        customer="Lusby and Daughter",
        ring_gear_teeth="41",
        pinion_teeth="11",
        card_id=cards["Kelda 3"],
    )
    return replace(good, **changes)


def reread(workshop: Workshop, job_id: int) -> list[Any]:
    """Return the readings as somebody else who opens the file sees them."""
    with open_logbook(workshop.location) as other:
        return list(Workshop(other).state(job_id).context.readings)


def finish(workshop: Workshop, job: Any, skip: str = "") -> None:
    """Tell the demo's course of a whole job, one entry left out."""
    for (stage, entry, position, trial), text in course("orrin").items():
        if f"{stage}/{entry}" != skip:
            workshop.record(job.id, stage, entry, text, position=position, trial=trial, person=BENCH)


@pytest.fixture(scope="module")
def finished_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return where the finished job is kept for the tests of this file."""
    return tmp_path_factory.mktemp("finished") / "finished.db"


@pytest.fixture
def finished(workshop: Workshop, job: Any, finished_file: Path, clock: Any) -> Any:
    """Return job 2407 with everything read, not signed; told once for this file."""
    if not finished_file.exists():
        finish(workshop, job)
        with closing(sqlite3.connect(workshop.location)) as source, closing(sqlite3.connect(finished_file)) as copy:
            source.backup(copy)
    else:
        with closing(sqlite3.connect(finished_file)) as source, closing(sqlite3.connect(workshop.location)) as copy:
            source.backup(copy)
            # It took most of a day to tell, and nothing is written before what was written last.
            (last,) = copy.execute("SELECT max(at) FROM trail").fetchone()
        clock.now = max(clock.now, datetime.fromisoformat(last))
    return workshop.job("2407")


# --- the shop ---------------------------------------------------------------------------------------------------------


def test_a_fresh_logbook_is_an_empty_shop(empty_workshop: Workshop) -> None:
    assert empty_workshop.shop() == Shop()
    assert empty_workshop.people() == []
    assert empty_workshop.gauges() == []
    assert empty_workshop.parts() == []
    assert empty_workshop.cards() == []
    assert empty_workshop.find_jobs() == []
    assert empty_workshop.next_job_number() == "1"


def test_the_shop_is_kept_tidied(empty_workshop: Workshop) -> None:
    empty_workshop.save_shop(Shop(" Ferrow Lane Driveline ", "3 Ferrow Lane\r\nAldmoor Cross\n", "inch"))
    assert empty_workshop.shop() == Shop("Ferrow Lane Driveline", "3 Ferrow Lane\nAldmoor Cross", "inch", 1)
    empty_workshop.save_shop(Shop("", "", "metric"))
    assert empty_workshop.shop() == Shop("", "", "metric", 2)


def test_units_are_metric_or_inch(empty_workshop: Workshop) -> None:
    with pytest.raises(InputError):
        empty_workshop.save_shop(Shop("x", "", "furlongs"))
    assert empty_workshop.shop() == Shop()


def test_people_are_added_once(empty_workshop: Workshop) -> None:
    assert empty_workshop.add_person(" Tam Ollerby ").role == "bench"
    empty_workshop.add_person("Wren Hask", "owner")
    with pytest.raises(RuleError, match="taken already"):
        empty_workshop.add_person("tam ollerby", by="Wren Hask")
    with pytest.raises(InputError, match="Nothing was typed"):
        empty_workshop.add_person("  ", by="Wren Hask")
    with pytest.raises(InputError):
        empty_workshop.add_person("Jory Pell", "king", "Wren Hask")
    assert [(p.name, p.role) for p in empty_workshop.people()] == [("Tam Ollerby", "bench"), ("Wren Hask", "owner")]


def test_a_gauge_is_added_as_typed(empty_workshop: Workshop) -> None:
    gauge = empty_workshop.add_gauge("dial 1", "dial", ".0005 in", "± 5 um", "2026-01-05", "12")
    assert (gauge.kind, gauge.resolution, gauge.stated_error) == ("length", 0.0127, 0.005)
    assert (gauge.calibrated_on, gauge.interval_months) == (date(2026, 1, 5), 12)
    plain = empty_workshop.add_gauge("jug", "vessel", "10 ml", "20 ml")
    assert (plain.kind, plain.calibrated_on, plain.interval_months) == ("volume", None, None)
    heat = empty_workshop.add_gauge("thermometer", "thermometer", "1", "3.6 °F")
    assert (heat.kind, heat.stated_error) == ("temperature", 2.0)
    assert empty_workshop.gauges() == [gauge, plain, heat]


@pytest.mark.parametrize(
    "typed",
    [
        ("", "dial", "0.01", "0.005"),
        ("dial 1", "dial", "", "0.005"),
        ("dial 1", "dial", "0.01", "-0.005"),
        ("dial 1", "dial", "0.01 N·m", "0.005"),
        ("dial 1", "dial", "0.01", "0.005", "2026-03-03"),
        ("dial 1", "dial", "0.01", "0.005", "last week"),
        ("dial 1", "dial", "0.01", "0.005", "", "twelve"),
        ("dial 1", "dial", "0.01", "0.005", "", "0"),
    ],
)
def test_a_gauge_that_cannot_be_is_not_added(empty_workshop: Workshop, typed: tuple[str, ...]) -> None:
    with pytest.raises(UserError):
        empty_workshop.add_gauge(*typed)
    assert empty_workshop.gauges() == []


# --- spec cards -------------------------------------------------------------------------------------------------------

FACTS = {"ring_gear_side": "right", "setting_method": "outboard_rings"}


def test_a_card_is_kept_in_revisions_and_a_job_stays_with_its_own(workshop: Workshop, job: Any) -> None:
    assert job.card.revision == 1
    newer = workshop.save_card("Orrin B", {"backlash": LimitText("0.08", "0.12", "shop practice")}, FACTS, BENCH)
    assert newer.revision == 2
    assert [c.revision for c in workshop.cards() if c.family == "Orrin B"] == [2]
    kept = workshop.job("2407").card
    assert (kept.revision, kept.limits["backlash"].high, kept.ring_gear_side) == (1, 0.10, "left")
    follower = workshop.new_job(draft(workshop, card_id=newer.id))
    assert follower.card.limits["backlash"].high == 0.12


def test_a_card_says_what_cannot_be_used_before_it_is_kept(workshop: Workshop) -> None:
    limits = {"backlash": LimitText("0.10", "0.06", "x"), "runout": LimitText(high="0.05")}
    sentences = workshop.check_card(limits, {"ring_gear_side": "left"})
    assert sorted(sentences) == ["backlash", "runout", "setting_method"]
    assert all(sentence.endswith(".") for sentence in sentences.values())
    before = workshop.cards()
    with pytest.raises(InputError, match="Check whether they were swapped"):
        workshop.save_card("Orrin C", limits, {"ring_gear_side": "left"})
    assert workshop.cards() == before
    assert workshop.check_card({}, FACTS) == {}


@pytest.mark.parametrize("family", ["", "x" * 201])
def test_a_card_needs_a_name(workshop: Workshop, family: str) -> None:
    with pytest.raises(InputError):
        workshop.save_card(family, {}, FACTS)
    assert len(workshop.cards()) == 3


# --- intake -----------------------------------------------------------------------------------------------------------


def test_a_job_is_opened_from_what_was_typed(workshop: Workshop, clock: Any) -> None:
    before = clock.now
    job = workshop.new_job(draft(workshop, tag_ratio="3,73", asked_for="Quiet.", is_limited_slip=True), BENCH)
    assert (job.number, job.serial, job.customer, job.tag_ratio) == ("2500", "T-1", "Lusby and Daughter", 3.73)
    assert (job.opened_by, job.revision, job.signed_at) == (BENCH, 1, None)
    assert before < job.opened_at <= clock.now
    assert (job.card.family, job.is_limited_slip) == ("Kelda 3", True)
    assert workshop.job("2500") == job
    assert workshop.next_job_number() == "2501"


def test_a_draft_says_what_cannot_be_used_field_by_field(workshop: Workshop) -> None:
    sentences = workshop.check_draft(JobDraft(ring_gear_teeth="11", pinion_teeth="43"))
    assert sorted(sentences) == ["card_id", "customer", "number", "pinion_teeth", "serial"]
    assert sentences["card_id"] == (
        "A job needs a spec card: it says which limits apply. Choose the casing family, or add its card."
    )
    assert workshop.check_draft(draft(workshop)) == {}


@pytest.mark.parametrize(
    "changes",
    [
        {"card_id": None},
        {"card_id": 999},
        {"number": ""},
        {"serial": " - "},
        {"pinion_teeth": "43"},
        {"tag_ratio": "391"},
        {"customer": "\x00"},
    ],
)
def test_a_job_that_cannot_be_is_not_opened(workshop: Workshop, changes: dict[str, Any]) -> None:
    with pytest.raises(UserError):
        workshop.new_job(draft(workshop, **changes))
    assert workshop.find_jobs() == []


def test_a_number_is_given_once(workshop: Workshop, job: Any) -> None:
    with pytest.raises(RuleError, match=r"There is a job 2407 already. Take the next free number, 2408."):
        workshop.new_job(draft(workshop, number=" 2407 "))
    assert [row.job for row in workshop.find_jobs()] == [job]


def test_remarks_on_a_draft_grow_with_what_is_typed(workshop: Workshop) -> None:
    assert workshop.draft_remarks(JobDraft()) == []
    assert workshop.draft_remarks(JobDraft(ring_gear_teeth="43")) == []
    assert workshop.draft_remarks(JobDraft(ring_gear_teeth="11", pinion_teeth="43")) == []
    (remark,) = workshop.draft_remarks(JobDraft(ring_gear_teeth="43", pinion_teeth="11"))
    assert remark.text.startswith("43 : 11 = 3.909, hunting")
    texts = [r.text for r in workshop.draft_remarks(draft(workshop, ring_gear_teeth="42", tag_ratio="3.91"))]
    assert texts[1].startswith("The tag says 3.91, but the counted teeth give 3.818")
    assert texts[2] == "The card offers 41:11, 39:11 for this family: check the counts."


def test_a_serial_seen_before_is_remarked_on_however_it_is_written(workshop: Workshop, job: Any) -> None:
    for serial in ("K-1183", "k1183", " K 1183 "):
        assert [r.text for r in workshop.draft_remarks(JobDraft(serial=serial))] == [
            "This unit was here before: job 2407."
        ]
    assert workshop.draft_remarks(JobDraft(serial="K-1184")) == []
    workshop.new_job(draft(workshop, serial="k 1183"))
    assert workshop.draft_remarks(JobDraft(serial="K-1183"))[0].text.endswith("job 2500, 2407.")


@pytest.mark.parametrize("serial", ["x" * 300, "-", "\x00", "\ud800", "one\ntwo"])
def test_remarks_never_fail_on_what_is_being_typed(workshop: Workshop, serial: str) -> None:
    assert workshop.draft_remarks(JobDraft(serial=serial)) == []


def test_an_unknown_card_is_told_when_the_teeth_are_compared(workshop: Workshop) -> None:
    with pytest.raises(NotFoundError):
        workshop.draft_remarks(JobDraft(ring_gear_teeth="43", pinion_teeth="11", card_id=999))


def test_an_unknown_number_says_where_to_look(workshop: Workshop) -> None:
    with pytest.raises(NotFoundError, match=r"There is no job 9999 in this logbook. Check the number in the job list."):
        workshop.job("9999")


# --- finding jobs -----------------------------------------------------------------------------------------------------


def test_a_row_shows_six_marks_and_what_is_missing_first(workshop: Workshop, job: Any) -> None:
    (row,) = workshop.find_jobs()
    assert row.marks == (Answer.MISSING,) * 6
    assert row.missing == "Teardown: Backlash as found"
    assert row.touched_at == row.job.opened_at


def test_a_finished_job_misses_nothing(workshop: Workshop, finished: Any) -> None:
    (row,) = workshop.find_jobs("k-1183")
    assert row.marks == (Answer.CONFORMS,) * 6
    assert row.missing == ""
    assert row.touched_at == workshop.state(finished.id).context.readings[-1].taken_at


def test_the_last_touched_stands_first(workshop: Workshop, job: Any) -> None:
    second = workshop.new_job(draft(workshop))
    assert [row.job.number for row in workshop.find_jobs()] == ["2500", "2407"]
    workshop.record(job.id, "teardown", "runout_found", "0.03")
    assert [row.job.number for row in workshop.find_jobs()] == ["2407", "2500"]
    workshop.change_job(second.id, "vehicle", "van", BENCH, "")
    assert [row.job.number for row in workshop.find_jobs()] == ["2500", "2407"]


@pytest.mark.parametrize(("text", "found"), [("2407", 1), ("brackwater", 1), ("k1183", 1), ("lusby", 0), ("", 1)])
def test_jobs_are_found_by_number_serial_and_customer(workshop: Workshop, job: Any, text: str, found: int) -> None:
    assert len(workshop.find_jobs(text)) == found


# --- readings ---------------------------------------------------------------------------------------------------------


def test_a_reading_is_there_for_whoever_opens_the_file_next(workshop: Workshop, job: Any, clock: Any) -> None:
    dial = next(g.id for g in workshop.gauges() if g.use == "dial")
    before = clock.now
    state = workshop.enter(
        job.id, "teardown", "backlash_found", ".0055 in", position="at_045", gauge_id=dial, person=BENCH, source="wedge"
    )
    (kept,) = reread(workshop, job.id)
    assert (kept.value, kept.text, kept.unit, kept.position) == (0.1397, ".0055 in", "in", "at_045")
    assert (kept.gauge_id, kept.person, kept.source) == (dial, BENCH, "wedge")
    assert before < kept.taken_at <= clock.now
    assert state.context.readings == (kept,)


def test_a_correction_names_what_it_replaces_and_why(workshop: Workshop, job: Any) -> None:
    workshop.record(job.id, "backlash", "runout", ".9", person=BENCH)
    workshop.record(job.id, "backlash", "runout", "0.02", person=BENCH, reason=" decimal point slipped ")
    slip, right = reread(workshop, job.id)
    assert (slip.text, slip.replaces) == (".9", None)
    assert (right.text, right.replaces, right.reason) == ("0.02", slip.id, "decimal point slipped")


def test_entering_opens_the_trial_it_belongs_to(workshop: Workshop, job: Any) -> None:
    state = workshop.enter(job.id, "preload", "ring_gear_side", "2.52", trial=2)
    assert [t.number for t in state.stage("preload").trials] == [1, 2]
    assert [t.number for t in workshop.state(job.id, {"preload": 3}).stage("preload").trials] == [1, 2, 3]


@pytest.mark.parametrize(
    ("stage", "entry", "text", "more"),
    [
        ("teardown", "runout_found", "90 mm", {}),
        ("teardown", "runout_found", "-0.03", {}),
        ("teardown", "runout_found", "0.6 N·m", {}),
        ("teardown", "runout_found", "", {}),
        ("teardown", "runout_found", "0.03", {"trial": 1}),
        ("teardown", "runout_found", "0.03", {"gauge_id": 999}),
        ("teardown", "runout_found", "0.03", {"person": "x" * 201}),
        ("teardown", "runout_found", "0.03", {"reason": "\x00"}),
        ("preload", "accepted", "yes", {"trial": 1}),
        ("backlash", "ring_gear_side", "2.52", {"trial": 1}),
    ],
)
def test_nothing_is_written_when_a_reading_is_refused(
    workshop: Workshop, job: Any, stage: str, entry: str, text: str, more: dict[str, Any]
) -> None:
    workshop.record(job.id, "teardown", "torque_pinion", "8 in-lb")
    with pytest.raises(UserError):
        workshop.record(job.id, stage, entry, text, **more)
    assert [r.entry for r in reread(workshop, job.id)] == ["torque_pinion"], "what was entered before stays"


def test_a_reading_needs_a_job(workshop: Workshop) -> None:
    with pytest.raises(NotFoundError, match="no such job"):
        workshop.record(77, "teardown", "runout_found", "0.03")
    with pytest.raises(NotFoundError):
        workshop.state(77)
    with pytest.raises(NotFoundError):
        workshop.history_of_job(77)


def test_an_unknown_entry_is_a_bug_not_a_sentence(workshop: Workshop, job: Any) -> None:
    with pytest.raises(KeyError):
        workshop.record(job.id, "teardown", "colour", "red")
    with pytest.raises(KeyError):
        workshop.record(job.id, "teardown", "runout_found", "0.03", position="at_045")


def test_a_reading_is_taken_back_with_a_reason(workshop: Workshop, job: Any) -> None:
    workshop.record(job.id, "backlash", "runout", "0.02")
    state = workshop.withdraw(job.id, "backlash", "runout", person=BENCH, reason="read on the wrong face")
    runout = next(f for f in state.stage("backlash").fields if f.entry.key == "runout")
    assert runout.reading is None
    kept, taken_back = reread(workshop, job.id)
    assert (taken_back.text, taken_back.value, taken_back.replaces) == ("", None, kept.id)
    assert (taken_back.person, taken_back.reason) == (BENCH, "read on the wrong face")


def test_what_is_not_there_is_not_taken_back_and_a_reason_is_asked_for(workshop: Workshop, job: Any) -> None:
    with pytest.raises(InputError, match="no reading to take back"):
        workshop.withdraw(job.id, "backlash", "runout", person=BENCH, reason="x")
    workshop.record(job.id, "backlash", "runout", "0.02")
    with pytest.raises(InputError, match="Nothing was typed"):
        workshop.withdraw(job.id, "backlash", "runout", person=BENCH, reason=" ")
    workshop.withdraw(job.id, "backlash", "runout", person=BENCH, reason="x")
    with pytest.raises(InputError, match="no reading to take back"):
        workshop.withdraw(job.id, "backlash", "runout", person=BENCH, reason="x")
    assert len(reread(workshop, job.id)) == 2


def test_a_withdrawn_trial_reading_leaves_its_trial_open(workshop: Workshop, job: Any) -> None:
    workshop.record(job.id, "preload", "ring_gear_side", "2.52", trial=2)
    state = workshop.withdraw(job.id, "preload", "ring_gear_side", trial=2, person=BENCH, reason="wrong ring")
    assert [t.number for t in state.stage("preload").trials] == [1, 2]


def test_advice_is_taken_from_the_job_and_the_drawer(workshop: Workshop, job: Any) -> None:
    first = workshop.advice(job.id, "preload")
    assert first is not None
    assert first.title == "Measure before the first pair"
    assert workshop.advice(job.id, "fill") is None
    for entry, text in (
        ("ring_gear_side", "2.50"),
        ("opposite_side", "2.50"),
        ("torque_forward", "0.05"),
        ("torque_back", "0.05"),
    ):
        workshop.record(job.id, "preload", entry, text, trial=1)
    said = workshop.advice(job.id, "preload")
    assert said is not None
    assert said.title == "Too loose"
    assert said.offer is not None
    assert said.offer.parts is not None
    there = {part.id: part for part in workshop.parts()}
    for part, size in zip(said.offer.parts, (said.wanted.ring_gear_side_mm, said.wanted.opposite_side_mm), strict=True):
        assert there[part.id].count >= 1
        assert part.thickness_mm == size
        assert f"{size:.3f} mm from {part.place}" in said.text
    assert said.wanted.sum_mm > 5.0


# --- signing and reopening --------------------------------------------------------------------------------------------


def test_a_job_with_something_missing_is_not_signed_and_says_what(workshop: Workshop, job: Any) -> None:
    with pytest.raises(InputError) as raised:
        workshop.sign(job.id, BENCH)
    assert str(raised.value) == "The job cannot be signed yet. Teardown: Backlash as found is missing."
    finish(workshop, job, skip="fill/leak_check")
    with pytest.raises(InputError, match=r"Fill: No leak after an hour is missing\."):
        workshop.sign(job.id, BENCH)
    assert workshop.job("2407").signed_at is None
    assert [e.what for e in workshop.events(job.id)] == ["opened"]
    workshop.record(job.id, "fill", "leak_check", "yes")
    workshop.sign(job.id, BENCH)


def test_a_signed_job_refuses_everything_that_would_change_it(workshop: Workshop, finished: Any, clock: Any) -> None:
    start = clock.now
    signed = workshop.sign(finished.id, " Tam Ollerby ")
    assert (signed.signed_by, signed.revision) == (BENCH, 1)
    assert signed.signed_at is not None
    assert start < signed.signed_at <= clock.now
    before = workshop.state(finished.id).context.readings
    tries = (
        lambda: workshop.record(finished.id, "backlash", "runout", "0.03"),
        lambda: workshop.withdraw(finished.id, "backlash", "runout", person=BENCH, reason="x"),
        lambda: workshop.change_job(finished.id, "customer", "Somebody", BENCH, "x"),
        lambda: workshop.sign(finished.id, BENCH),
    )
    for change in tries:
        with pytest.raises(RuleError, match=r"signed by Tam Ollerby.*Reopen it with a reason first"):
            change()
    assert workshop.state(finished.id).context.readings == before
    assert workshop.job("2407") == signed


def test_nobody_signs_without_a_name(workshop: Workshop, finished: Any) -> None:
    with pytest.raises(InputError, match="Nothing was typed"):
        workshop.sign(finished.id, "  ")
    assert workshop.job("2407").signed_at is None


def test_a_reopened_job_is_the_next_revision_and_can_be_corrected(workshop: Workshop, finished: Any) -> None:
    workshop.sign(finished.id, BENCH)
    with pytest.raises(InputError, match="Nothing was typed"):
        workshop.reopen(finished.id, BENCH, "")
    reopened = workshop.reopen(finished.id, "Wren Hask", "customer's name was misspelt")
    assert (reopened.revision, reopened.signed_at, reopened.signed_by) == (2, None, "")
    assert reopened.reopen_reason == "customer's name was misspelt"
    changed = workshop.change_job(finished.id, "customer", " Brackwater Club ", BENCH, "misspelt")
    assert changed.customer == "Brackwater Club"
    assert workshop.sign(finished.id, BENCH).revision == 2
    events = workshop.events(finished.id)
    assert [e.what for e in events] == ["opened", "signed", "reopened", "corrected", "signed"]
    assert events[3].detail["old"] == "Brackwater Hill-climb Club"
    assert workshop.find_jobs("brackwater club")[0].job == workshop.job("2407")


def test_an_open_job_is_not_reopened(workshop: Workshop, job: Any) -> None:
    with pytest.raises(RuleError, match="is open already"):
        workshop.reopen(job.id, BENCH, "x")


@pytest.mark.parametrize("field", ["contact", "vehicle", "asked_for"])
def test_words_may_be_taken_away_again_but_a_job_is_somebodys(workshop: Workshop, job: Any, field: str) -> None:
    assert getattr(workshop.change_job(job.id, field, "typed by mistake", BENCH, ""), field) == "typed by mistake"
    assert getattr(workshop.change_job(job.id, field, " ", BENCH, ""), field) == ""
    with pytest.raises(InputError, match="Nothing was typed"):
        workshop.change_job(job.id, "customer", " ", BENCH, "")


@pytest.mark.parametrize("field", ["number", "serial", "ring_gear_teeth", "nonsense"])
def test_what_makes_the_job_what_it_is_stays(workshop: Workshop, job: Any, field: str) -> None:
    with pytest.raises(InputError, match="cannot be corrected"):
        workshop.change_job(job.id, field, "x", BENCH, "")
    assert workshop.job("2407") == job


# --- the same unit again ----------------------------------------------------------------------------------------------


def test_the_history_is_all_visits_oldest_first(workshop: Workshop, job: Any) -> None:
    assert [one.job for one in workshop.history_of_job(job.id).visits] == [job]
    workshop.record(job.id, "teardown", "runout_found", "0.03")
    second = workshop.new_job(draft(workshop, number="2600", serial="k 1183"))
    third = workshop.new_job(draft(workshop, number="2700", serial="K1183"))
    workshop.new_job(draft(workshop, number="2701", serial="K-9"))
    assert second.serial == third.serial == "K-1183", "written as it was the first time"
    for one in (job, second, third):
        visits = workshop.history_of_job(one.id).visits
        assert [visit.job.number for visit in visits] == ["2407", "2600", "2700"]
    assert visits[0].visit.found["runout"].value == 0.03


# --- paper ------------------------------------------------------------------------------------------------------------


def test_a_sheet_is_written_and_noted(workshop: Workshop, job: Any, tmp_path: Path) -> None:
    path = workshop.write_sheet(job.id, tmp_path / "sheet.pdf", copy="customer", page="Letter", person=BENCH)
    assert path.read_bytes().startswith(b"%PDF-")
    noted = workshop.events(job.id)[-1]
    assert (noted.what, noted.person, noted.detail["copy"]) == ("sheet", BENCH, "customer")
    assert len(noted.detail["fingerprint"]) == 64


@pytest.mark.parametrize("more", [{"copy": "carbon"}, {"page": "A0"}])
def test_a_sheet_that_cannot_be_is_neither_written_nor_noted(
    workshop: Workshop, job: Any, tmp_path: Path, more: dict[str, str]
) -> None:
    with pytest.raises(UserError):
        workshop.write_sheet(job.id, tmp_path / "sheet.pdf", **more)
    assert [e.what for e in workshop.events(job.id)] == ["opened"]
    assert not (tmp_path / "sheet.pdf").exists()


def test_readings_are_handed_out_as_csv(workshop: Workshop, job: Any) -> None:
    workshop.record(job.id, "backlash", "runout", "0.02", person=BENCH)
    header, line, end = workshop.readings_csv(job.id).split("\r\n")
    assert header == ",".join(READINGS)
    assert line.startswith("2407,K-1183,backlash,,runout,,0.02,mm,0.02,mm,,Tam Ollerby,2026-03-02T")
    assert end == ""


# --- the logbook underneath -------------------------------------------------------------------------------------------


def test_the_location_is_the_file(workshop: Workshop, tmp_path: Path) -> None:
    assert workshop.location == str(tmp_path / "logbook.db")


def test_without_a_clock_of_its_own_it_is_now(tmp_path: Path) -> None:
    with open_logbook(tmp_path / "now.db") as logbook:
        workshop = Workshop(logbook)
        before = utc_now()
        card = workshop.save_card("Orrin B", {}, FACTS)
        opened = workshop.new_job(
            JobDraft("1", "K-1", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=card.id)
        ).opened_at
        assert before <= opened <= utc_now()
        assert opened.tzinfo is not None


def test_a_clock_in_the_future_is_refused(workshop: Workshop, job: Any) -> None:
    with open_logbook(workshop.location) as logbook:
        tomorrow = Workshop(logbook, lambda: utc_now() + timedelta(days=1))
        with pytest.raises(InputError, match="lies in the future"):
            tomorrow.record(job.id, "backlash", "runout", "0.02")
        with pytest.raises(InputError, match="lies in the future"):
            tomorrow.new_job(draft(workshop))
    assert reread(workshop, job.id) == []
    assert len(workshop.find_jobs()) == 1


def test_a_locked_logbook_loses_nothing_that_was_entered(
    workshop: Workshop, job: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    workshop.record(job.id, "backlash", "runout", "0.02")
    monkeypatch.setattr("core.records.engine.BUSY_MS", 50)
    with (
        open_logbook(workshop.location) as logbook,
        closing(sqlite3.connect(workshop.location, isolation_level=None)) as other,
    ):
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogbookError):
            Workshop(logbook).record(job.id, "backlash", "runout", "0.03")
        other.execute("ROLLBACK")
        assert [r.text for r in reread(workshop, job.id)] == ["0.02"]
        Workshop(logbook).record(job.id, "backlash", "runout", "0.03")
