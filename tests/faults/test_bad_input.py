"""What cannot be: each gets a sentence that says what to do, and leaves the logbook as it was."""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from core.drafts import JobDraft, read_draft
from core.errors import InputError, LogbookError, NotFoundError, RuleError, UserError
from core.facts import CardFact, Job, Shop, SpecCard
from core.records import open_logbook
from core.shop_inputs import LimitText, gauge_error, past_day, read_card, read_limit, thickness_mm
from core.stages import STAGES, take
from core.stages.context import Context
from core.workshop import Workshop, utc_now

MEGABYTE = 1_000_000
PLANES = "".join(chr(plane << 16 | 0x1234) for plane in range(17))
NASTY = {
    "empty": "",
    "blank": " \t\n",
    "megabyte of digits": "1" * MEGABYTE,
    "megabyte of words": "word " * (MEGABYTE // 5),
    "NUL": "0.08\x00 mm",
    "half a pair": "0.08 \ud83d",
    "other half": "\ude00",
    "bell": "\a",
    "escape": "\x1b[31m0.08",
    "zero width": "\u200b",
}
MARKUP = {
    "tags": "<b>bold</b> <i>x",
    "image": '<img src="/etc/passwd"/>',
    "entity": "&pound; &amp; &#0;",
    "script": "<script>alert('x')</script>",
    "query": "'; DROP TABLE reading; --",
    "formula": "=cmd|'/c calc'!A1",
    "braces": "{typed} {0} {} %s %(x)s",
    "brackets": "5 <x> 6 ]]> -->",
}
WORDS = {
    "planes": PLANES,
    "emoji": "👩\u200d🔧 fitted it 🛠\ufe0f",
    "turned round": "\u202e80.0",
    "right to left": "מדידה بقياس 0.08",
    "combining": "Z\u0351\u036b\u0343a\u0328l\u0301go e\u0301",
    "astral": "𝔘𝔫𝔦𝔱 𝟘.𝟘𝟠",
    "nothing characters": "a\ufffe\uffffb\U0010ffff",
    "private": "\ue000\U000f0000",
}


def case(table: dict[str, str]) -> Any:
    """Parametrise over a table of texts, named by what they are."""
    return pytest.mark.parametrize("text", [pytest.param(text, id=name) for name, text in table.items()])


def everything(workshop: Workshop) -> list[Any]:
    """Return all the logbook knows."""
    jobs = [row.job for row in workshop.find_jobs()]
    return [
        workshop.shop(),
        workshop.people(),
        workshop.gauges(),
        workshop.parts(),
        workshop.cards(),
        jobs,
        *([workshop.state(job.id).context.readings, workshop.events(job.id)] for job in jobs),
    ]


@contextmanager
def refused(workshop: Workshop | None = None, error: type[UserError] = UserError) -> Iterator[Any]:
    """Expect a sentence fit to be shown, and a logbook that did not change."""
    before = everything(workshop) if workshop else None
    with pytest.raises(error) as raised:
        yield raised
    assert_a_sentence(raised.value)
    if workshop:
        assert everything(workshop) == before


def assert_a_sentence(error: UserError) -> None:
    assert error.message.endswith("."), error.message
    assert error.remedy.endswith("."), f"no word on what to do: {error.message}"
    assert len(str(error)) < 600
    assert all(unicodedata.category(c) not in ("Cc", "Cs") for c in str(error))


# --- texts that are none ----------------------------------------------------------------------------------------------


def verbs(workshop: Any, job: Any, text: str) -> dict[str, Callable[[], Any]]:
    """Return every way a person's text gets into the logbook, each trying this one."""
    good = JobDraft("9", "S-9", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=job.card.id)
    needed = {"ring_gear_side": "left", "setting_method": "outboard_rings"}
    return {
        "length": lambda: workshop.record(job.id, "backlash", "runout", text),
        "torque": lambda: workshop.record(job.id, "teardown", "torque_whole", text),
        "temperature": lambda: workshop.record(job.id, "preload", "cone_temperature", text),
        "count": lambda: workshop.record(job.id, "backlash", "bolt_steps", text),
        "share": lambda: workshop.record(job.id, "teardown", "contact_drive_along", text),
        "volume": lambda: workshop.record(job.id, "fill", "oil_volume", text),
        "choice": lambda: workshop.record(job.id, "fill", "groove_bottom", text),
        "yes or no": lambda: workshop.record(job.id, "fill", "leak_check", text),
        "words": lambda: workshop.record(job.id, "fill", "oil_grade", text),
        "number": lambda: workshop.new_job(replace(good, number=text)),
        "serial": lambda: workshop.new_job(replace(good, serial=text)),
        "customer": lambda: workshop.new_job(replace(good, customer=text)),
        "teeth": lambda: workshop.new_job(replace(good, ring_gear_teeth=text)),
        "person": lambda: workshop.add_person(text, by="Wren Hask"),
        "pin": lambda: workshop.set_pin("Tam Ollerby", "", text),
        "gauge": lambda: workshop.add_gauge(text, "dial", "0.01", "0.005"),
        "resolution": lambda: workshop.add_gauge("dial 9", "dial", text, "0.005"),
        "thickness": lambda: workshop.add_part("ring", "", "Z1", text),
        "place": lambda: workshop.add_part("ring", "", text, "2.50"),
        "pieces": lambda: workshop.add_part("ring", "", "Z1", "2.50", "", text),
        "kind of piece": lambda: workshop.add_part(text, "", "Z1", "2.50"),
        "name of a seal": lambda: workshop.add_part("seal", text, "Z1"),
        "reorder level": lambda: workshop.add_part("ring", "", "Z1", "2.50", "", "1", text),
        "measured places": lambda: workshop.measure_part(workshop.parts()[0].id, text),
        "pieces received": lambda: workshop.receive(workshop.parts()[0].id, text),
        "pieces counted": lambda: workshop.count_part(workshop.parts()[0].id, text, "stocktake", "Wren Hask"),
        "reason to scrap": lambda: workshop.scrap(workshop.parts()[0].id, "1", text, "Wren Hask"),
        "family": lambda: workshop.save_card(text, {}, needed),
        "side": lambda: workshop.save_card("Orrin Z", {}, {**needed, "ring_gear_side": text}),
        "signature": lambda: workshop.sign(job.id, text),
        "reason": lambda: workshop.reopen(job.id, "Tam Ollerby", text),
        "correction": lambda: workshop.change_job(job.id, "customer", text, "Tam Ollerby", ""),
    }


@case(NASTY)
def test_no_verb_takes_a_text_that_is_none(workshop: Any, job: Any, text: str) -> None:
    before = everything(workshop)
    for name, verb in verbs(workshop, job, text).items():
        with pytest.raises(UserError) as raised:
            verb()
            pytest.fail(f"{name} took it")
        assert_a_sentence(raised.value)
    assert everything(workshop) == before


@pytest.mark.parametrize("text", ["\x00", "\ud83d", "x" * MEGABYTE])
def test_optional_words_are_checked_all_the_same(workshop: Any, job: Any, text: str) -> None:
    good = JobDraft("9", "S-9", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=job.card.id)
    for field in ("contact", "vehicle", "asked_for", "tag_ratio"):
        with refused(workshop, InputError):
            workshop.new_job(replace(good, **{field: text}))
    for more in ({"reason": text}, {"person": text}, {"source": text}):
        with refused(workshop, InputError):
            workshop.record(job.id, "backlash", "runout", "0.02", **more)
    for shop in (Shop(text), Shop("", text), Shop("", "", text)):
        with refused(workshop, InputError):
            workshop.save_shop(shop)
    with refused(workshop, InputError):
        workshop.change_job(job.id, "customer", "x", "Tam Ollerby", text)
    with refused(workshop, InputError):
        workshop.add_gauge("dial 9", "dial", "0.01", "0.005", text)
    assert workshop.find_jobs(text) == [], "a search takes anything, and finds what is there"
    with refused(workshop, InputError):
        workshop.job(text)
    assert workshop.draft_remarks(replace(good, serial=text)) == workshop.draft_remarks(replace(good, serial="S-9"))


@case({**MARKUP, **WORDS})
def test_where_words_are_wanted_any_words_come_back_as_typed(
    workshop: Any, job: Any, tmp_path: Path, text: str
) -> None:
    workshop.record(job.id, "fill", "note", text, person="Tam Ollerby", reason=text)
    workshop.change_job(job.id, "customer", text, "Tam Ollerby", text)
    workshop.add_person(text, by="Wren Hask")
    with open_logbook(workshop.location) as other:
        again = Workshop(other)
        (reading,) = again.state(job.id).context.readings
        assert reading.text == reading.reason == again.job("2407").customer == again.people()[-1].name == text
        # What has neither letter nor digit cannot be looked for.
        has_words = any(sign.isalnum() for sign in text)
        assert [row.job.number for row in again.find_jobs(text)] == (["2407"] if has_words else [])
        (row,) = csv.DictReader(io.StringIO(again.readings_csv(job.id), newline=""))
    assert row["typed"] in (text, "'" + text)
    sheet = workshop.write_sheet(job.id, tmp_path / "sheet.pdf", person="Tam Ollerby")
    assert len(PdfReader(sheet).pages) >= 2


@case({k: v for k, v in MARKUP.items() if k in ("tags", "image", "script", "brackets")})
def test_markup_is_printed_as_it_was_typed(workshop: Any, job: Any, tmp_path: Path, text: str) -> None:
    workshop.record(job.id, "fill", "note", text)
    sheet = workshop.write_sheet(job.id, tmp_path / "sheet.pdf")
    printed = "".join("".join(page.extract_text() for page in PdfReader(sheet).pages).split())
    assert "".join(text.split()) in printed


@case({**MARKUP, **WORDS})
def test_where_a_number_is_wanted_words_are_refused(workshop: Any, job: Any, text: str) -> None:
    before = everything(workshop)
    numbers = ("length", "torque", "temperature", "count", "share", "volume", "choice", "yes or no", "teeth")
    for name, verb in verbs(workshop, job, text).items():
        if name in (*numbers, "resolution", "thickness", "pieces", "side"):
            with pytest.raises(InputError) as raised:
                verb()
            assert_a_sentence(raised.value)
    assert everything(workshop) == before


# --- any text at all --------------------------------------------------------------------------------------------------

ANY_TEXT = st.one_of(
    st.text(st.characters(exclude_categories=()), max_size=60),
    st.text("0123456789.,-+/ eE×%°\"'½mNin·lbft", max_size=12),
    st.sampled_from([*NASTY.values(), *MARKUP.values(), *WORDS.values()]),
)
ENTRIES = [(declared, entry) for declared in STAGES for entry in declared.entries]
CARD = SpecCard(
    1,
    "Orrin B",
    1,
    {},
    {
        "ring_gear_side": CardFact("ring_gear_side", None, "left"),
        "setting_method": CardFact("setting_method", None, "outboard_rings"),
        "ring_smallest": CardFact("ring_smallest", 2.3, "2.30"),
        "ring_largest": CardFact("ring_largest", 2.8, "2.80"),
    },
)
JOB = Job(1, "1", "K-1", "x", "", "", 43, 11, None, True, CARD, datetime(2026, 3, 2, tzinfo=UTC), "")


@given(st.sampled_from(ENTRIES), ANY_TEXT)
def test_any_text_in_any_entry_is_a_value_or_a_sentence(place: Any, text: str) -> None:
    declared, entry = place
    try:
        amount = take(Context(JOB), declared, entry, entry.positions[0], int(entry.is_trial), text)
    except UserError as error:
        assert error.message.endswith(".")
        assert all(unicodedata.category(c) not in ("Cc", "Cs") for c in str(error).replace("\n", ""))
    else:
        assert amount.text
        assert amount.text.encode()
        if amount.value is not None and entry.lowest is not None:
            assert entry.lowest <= amount.value <= (entry.highest or amount.value)


@given(ANY_TEXT)
def test_any_text_on_the_shops_pages_is_a_value_or_a_sentence(text: str) -> None:
    readers: tuple[Callable[[], Any], ...] = (
        lambda: thickness_mm(text),
        lambda: gauge_error("dial", text),
        lambda: gauge_error("thermometer", text),
        lambda: past_day(text, date(2026, 3, 2)),
        lambda: read_limit("backlash", LimitText(text, text, text)),
    )
    for reader in readers:
        try:
            reader()
        except UserError as error:
            assert_a_sentence(error)
    draft = JobDraft(*[text] * 9, card_id=1)
    for error in read_draft(draft)[1].values():
        assert_a_sentence(error)
    for error in read_card({"backlash": LimitText(text, "", "x")}, dict.fromkeys(CARD.facts, text))[2].values():
        assert_a_sentence(error)


# --- values that cannot be --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stage", "entry", "position", "text", "message"),
    [
        ("teardown", "backlash_found", "at_000", "90 mm", "cannot be more than 3.000 mm"),
        ("teardown", "backlash_found", "at_000", "-0.1", "cannot be less than 0.000 mm"),
        ("teardown", "rings_found_opposite_side", "", "-2.38", "cannot be less than 0.000 mm"),
        ("teardown", "torque_whole", "", "9.5 m", "a torque is asked for"),
        ("teardown", "torque_whole", "", "9.5 J", "is not a unit of torque"),
        ("teardown", "contact_drive_along", "", "162", "cannot be more than 100.0 %"),
        ("preload", "cone_temperature", "", "95 K", "cannot be less than"),
        ("preload", "cone_temperature", "", "950", "cannot be more than 400.0 °C"),
        ("backlash", "bolt_steps", "", "0", "cannot be less than 1"),
        ("backlash", "bolt_steps", "", "2.5", "is not a whole number"),
        ("fill", "oil_volume", "", "1.1 kg", "a volume is asked for"),
        ("fill", "oil_volume", "", "1.234,5", "not one plain number"),
        ("fill", "oil_volume", "", "1 000", "more than one number"),
        ("fill", "oil_volume", "", "nan", "does not begin with a number"),
        ("fill", "oil_volume", "", "inf L", "does not begin with a number"),
        ("fill", "oil_volume", "", "1e3", "power of ten"),
        ("fill", "oil_volume", "", "1 + 1", "more than one number"),
    ],
)
def test_impossible_values_and_wrong_kinds(
    workshop: Any, job: Any, stage: str, entry: str, position: str, text: str, message: str
) -> None:
    with refused(workshop, InputError) as raised:
        workshop.record(job.id, stage, entry, text, position=position)
    assert message in raised.value.message


def test_what_was_entered_before_a_refusal_stays(workshop: Any, job: Any) -> None:
    workshop.record(job.id, "backlash", "runout", "0.02")
    with refused(workshop):
        workshop.record(job.id, "backlash", "runout", "20")
    with open_logbook(workshop.location) as other:
        assert [r.text for r in Workshop(other).state(job.id).context.readings] == ["0.02"]


# --- dates in the future ----------------------------------------------------------------------------------------------


def test_a_calibration_to_come_is_refused(workshop: Any) -> None:
    with refused(workshop, InputError) as raised:
        workshop.add_gauge("dial 9", "dial", "0.01", "0.005", "2099-01-01")
    assert str(raised.value) == "2099-01-01 is in the future. Check the year."


def test_a_clock_that_runs_ahead_writes_nothing(workshop: Any, job: Any) -> None:
    with open_logbook(workshop.location) as logbook:
        ahead = Workshop(logbook, lambda: utc_now() + timedelta(days=366))
        good = JobDraft("9", "S-9", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=job.card.id)
        for change in (
            lambda: ahead.record(job.id, "backlash", "runout", "0.02"),
            lambda: ahead.new_job(good),
            lambda: ahead.change_job(job.id, "vehicle", "van", "Tam Ollerby", ""),
        ):
            with refused(workshop, InputError) as raised:
                change()
            assert "Check the date, and the clock of this machine." in raised.value.remedy


# --- jobs that cannot be ----------------------------------------------------------------------------------------------


def test_a_job_without_a_spec_card_is_refused_and_says_what_to_do(workshop: Any) -> None:
    draft = JobDraft("9", "S-9", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11")
    with refused(workshop, RuleError) as raised:
        workshop.new_job(draft)
    assert "Choose the casing family, or add its card." in raised.value.remedy
    with refused(workshop, NotFoundError):
        workshop.new_job(replace(draft, card_id=999))


def test_a_number_used_twice_is_refused_with_the_next_that_is_free(workshop: Any, job: Any) -> None:
    draft = JobDraft("2407", "S-9", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=job.card.id)
    with refused(workshop, RuleError) as raised:
        workshop.new_job(draft)
    assert "2408" in raised.value.remedy


def test_a_serial_used_twice_is_the_same_unit_come_back_and_is_said_to_be(workshop: Any, job: Any) -> None:
    draft = JobDraft("2408", "k1183", "Pim Averlock", ring_gear_teeth="43", pinion_teeth="11", card_id=job.card.id)
    assert workshop.draft_remarks(draft)[-1].text == "This unit was here before: job 2407."
    assert workshop.new_job(draft).serial == "K-1183"


def test_nothing_of_a_refused_intake_is_left(workshop: Any, job: Any) -> None:
    draft = JobDraft("2407", "NEW-UNIT", "New Customer", ring_gear_teeth="43", pinion_teeth="11", card_id=job.card.id)
    with refused(workshop):
        workshop.new_job(draft)
    assert workshop.draft_remarks(JobDraft(serial="NEW-UNIT")) == []
    assert workshop.find_jobs("New Customer") == []


# --- files ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "where",
    ["no such folder/sheet.pdf", "a file/sheet.pdf", "a folder", "x" * 300 + ".pdf"],
)
def test_a_folder_that_cannot_be_written_to(workshop: Any, job: Any, tmp_path: Path, where: str) -> None:
    place = tmp_path / "out"
    place.mkdir()
    (place / "a file").write_text("kept")
    (place / "a folder").mkdir()
    before = sorted(place.rglob("*"))
    with refused(workshop) as raised:
        workshop.write_sheet(job.id, place / where, person="Tam Ollerby")
    assert raised.value.remedy == "Choose a folder that can be written to and has room."
    assert sorted(place.rglob("*")) == before, "nothing half-written"
    assert (place / "a file").read_text() == "kept"


def test_a_sheet_that_is_there_already_is_kept_when_the_new_one_fails(workshop: Any, job: Any, tmp_path: Path) -> None:
    path = workshop.write_sheet(job.id, tmp_path / "sheet.pdf")
    before = path.read_bytes()
    with refused(workshop, InputError):
        workshop.write_sheet(job.id, path, page="A3")
    assert path.read_bytes() == before


@pytest.mark.parametrize("content", [b"not a logbook", b"%PDF-1.4", b"SQLite format 3\x00" + b"\xff" * 200])
def test_a_logbook_that_is_none(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "notes.db"
    path.write_bytes(content)
    with refused(None, LogbookError):
        open_logbook(path)
    assert path.read_bytes() == content
