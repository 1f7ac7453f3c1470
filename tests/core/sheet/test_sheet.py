"""The build sheet read back: every value is there, whatever was typed, and the same job gives the same bytes."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from dataclasses import replace
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from core.errors import InputError, UserError
from core.facts import CardFact, JobEvent, Limit, Shop
from core.quantities import number
from core.sheet import write_sheet
from core.sheet.customer import COME_BACK, RUN_IN
from core.sheet.style import PAGES
from core.sheet.values import day_and_time
from core.verdict import ANSWER_WORDS

REOPENED = [
    JobEvent(1, "opened", datetime(2031, 5, 5, 8, 0), "Tam Ollerby"),
    JobEvent(1, "signed", datetime(2031, 5, 6, 8, 0), "Tam Ollerby", {"revision": "1"}),
    JobEvent(1, "reopened", datetime(2031, 5, 7, 8, 0), "Tam Ollerby", {"revision": "2", "reason": "name misspelt"}),
    JobEvent(
        1, "corrected", datetime(2031, 5, 7, 8, 1), "Tam Ollerby",
        {"field": "customer", "old": "Brakwater", "new": "Brackwater", "reason": "misspelt"},
    ),
    JobEvent(1, "sheet", datetime(2031, 5, 7, 8, 2), "Tam Ollerby", {"copy": "customer", "fingerprint": "ab12"}),
    JobEvent(1, "audited", datetime(2031, 5, 7, 8, 3), "Tam Ollerby", {"result": "good"}),
]  # fmt: skip


def test_the_customers_copy_is_one_page_with_everything_on_it(told: Any, printed: Any, read: Any) -> None:
    pdf = printed(told.state, copy="customer")
    assert len(PdfReader(BytesIO(pdf)).pages) == 1
    words = read(pdf)
    for said in (
        "Ferrow Lane Driveline", "Aldmoor Cross", "Job 2407", "K-1183", "43 : 11 = 3.909", "Orrin B, revision 3",
        "Brackwater Hill-climb Club", "hill-climb special", "Quiet, and documented.", "5 May 2031 · 12 May 2031",
        "What we found", "What we left", "0.158 mm", "0.0062 in", "0.080 mm", "0.0031 in", "does not conform",
        "46 % along, 52 % up", "smallest 0.070 at 0°", "Signed by Tam Ollerby on 12 May 2031", "Revision 1",
        "printed 12 May 2031", "page 1 of 1", "One cover thread was stripped.", "500 km",
        *RUN_IN, *COME_BACK,
    ):  # fmt: skip
        assert " ".join(said.split()) in words


def test_the_shops_copy_holds_every_reading_with_limit_gauge_person_and_time(told: Any, shops_copy: Any) -> None:
    state, _, words = shops_copy
    fields = [f for s in state.stages for f in (*s.fields, *(f for t in s.trials for f in t.fields)) if f.reading]
    assert len(fields) == len(told.readings)
    for field in fields:
        assert field.entry.label.split(",")[0].split()[0] in words
        if field.entry.kind in ("length", "torque") and field.reading is not None:
            assert number(field.entry.kind, field.reading.value or 0.0, field.entry.unit) in words
        assert field.reading is not None
        assert f"{field.reading.taken_at:%H:%M}" in words
    for said in ("0.060 – 0.100 mm", "maker's manual, page 12", "dial gauge 1 ± 0.005 mm", "Trial 2, accepted",
                 "beam wrench 2 ± 0.05 N·m", "Tam Ollerby · 5 May 2031 08:01", "1.09 L 1.15 US qt"):  # fmt: skip
        assert said in words
    for stage in state.stages:
        assert all(caution in words for caution in stage.stage.cautions)


def test_verdicts_carry_word_and_reason(shops_copy: Any) -> None:
    state, _, words = shops_copy
    judged = [d.verdict for s in state.stages for d in s.derived if d.verdict and d.value is not None]
    assert judged
    for verdict in judged:
        assert f"{ANSWER_WORDS[verdict.answer]} {verdict.reason}" in words


def test_a_replaced_reading_is_struck_through_with_its_reason(told: Any, printed: Any, read: Any) -> None:
    wrong = told.take("backlash", "backlash@at_000", 1, "0.9")
    told.take("backlash", "backlash@at_000", 1, "0.07", replaces=wrong.id, reason="decimal point slipped")
    words = read(printed(told.state))
    assert "0.900 mm, Tam Ollerby" in words
    assert "was replaced: decimal point slipped" in words


def test_a_withdrawn_reading_says_so(told: Any, printed: Any, read: Any) -> None:
    wrong = told.take("housing_prep", "places_marked", 0, "3")
    told.take("housing_prep", "places_marked", 0, "", replaces=wrong.id, reason="wrong casing")
    words = read(printed(told.state))
    assert "was withdrawn: wrong casing" in words


def test_inches_first_where_the_shop_works_in_inches(told: Any, printed: Any, read: Any) -> None:
    words = read(printed(told.state, copy="customer", shop=Shop("Inch", units="inch")))
    assert "0.0031 in 0.080 mm" in words
    assert "smallest 0.0028 at 0°" in words


def test_what_changed_since_the_last_revision_is_on_both_copies(told: Any, printed: Any, read: Any) -> None:
    told.job = replace(told.job, revision=2, reopen_reason="name misspelt")
    told.take("fill", "oil_volume", 0, "1.2 L", taken_at=datetime(2031, 5, 8, 9, 0))
    for copy in ("customer", "shop"):
        words = read(printed(told.state, copy=copy, events=REOPENED))
        assert "Reopened: name misspelt" in words
        assert "Corrected customer: “Brakwater” became “Brackwater”." in words
        assert "Changed: Fill, Oil filled, from 1.15 qt to 1.2 L." in words
        assert "revision 2" in words
    for said in ("Opened.", "Signed as revision 1.", "fingerprint ab12", "audited: result: good"):
        assert said in words


def test_every_sort_of_change_is_told_apart(told: Any, printed: Any, read: Any) -> None:
    told.job = replace(told.job, revision=2, reopen_reason="name misspelt")
    later = datetime(2031, 5, 8, 9, 0)
    told.take("teardown", "note", 0, "It whined before.", taken_at=later)
    told.take("backlash", "backlash@at_000", 1, "0.09", taken_at=later)
    told.take("housing_prep", "washed", 0, "", taken_at=later)
    # A reading put right twice after the reopening is one change.
    told.take("fill", "oil_volume", 0, "1.3 L", taken_at=later)
    told.take("fill", "oil_volume", 0, "1.25 L", taken_at=later)
    words = read(printed(told.state, events=REOPENED))
    heading = words.index("What changed since revision 1")
    for said in (
        "Added: Teardown, Note: It whined before.",
        "Changed: Backlash, Backlash, 0°, trial 1, from 0.07 mm to 0.09 mm; Fill, Oil filled, from 1.15 qt to 1.25 L.",
        "Taken back: Housing prep, Washed and dried after grinding, which was yes.",
    ):
        assert words.count(said) == 2
        assert words.rindex(said) > heading


def test_many_changes_are_counted_on_the_customers_page_and_named_in_the_record(
    told: Any, printed: Any, read: Any
) -> None:
    told.job = replace(told.job, revision=2, reopen_reason="measured again")
    for at in range(0, 360, 45):
        told.take("backlash", f"backlash@at_{at:03d}", 1, "0.09", taken_at=datetime(2031, 5, 8, 9, 0))
    words = read(printed(told.state, copy="customer", events=REOPENED))
    assert "and 5 more." in words
    assert "315°, trial 1, from" not in words
    assert "315°, trial 1, from" in read(printed(told.state, events=REOPENED))


def test_a_corrected_value_has_its_footnote_on_both_copies(told: Any, printed: Any, read: Any) -> None:
    told.take("fill", "oil_volume", 0, "1.2 L", replaces=told.readings[-1].id, reason="read the vessel again")
    wrong = told.take("backlash", "backlash@at_000", 1, "0.9")
    told.take("backlash", "backlash@at_000", 1, "0.07", replaces=wrong.id, reason="decimal point slipped")
    for copy in ("customer", "shop"):
        words = read(printed(told.state, copy=copy))
        assert "was replaced: read the vessel again" in words
        assert "0°: 0.900 mm, Tam Ollerby" in words
        assert "was replaced: decimal point slipped" in words


def test_more_corrections_than_the_customers_page_has_room_for_are_named_in_the_record(
    told: Any, printed: Any, read: Any
) -> None:
    for n in range(9):
        told.take("fill", "oil_volume", 0, f"1.{n + 2} L", replaces=told.readings[-1].id, reason=f"poured off {n}")
    pdf = printed(told.state, copy="customer")
    assert len(PdfReader(BytesIO(pdf)).pages) == 1
    words = read(pdf)
    assert "poured off 3" in words
    assert "poured off 8" not in words
    assert "More readings were corrected; every one of them stands in the shop's record." in words
    assert "poured off 8" in read(printed(told.state))


def test_a_replaced_reading_of_a_trial_is_marked_where_trials_stand_side_by_side(
    told: Any, printed: Any, read: Any
) -> None:
    before = next(r for r in told.readings if (r.stage, r.entry, r.trial) == ("preload", "torque_forward", 2))
    told.take("preload", "torque_forward", 2, "0.62", replaces=before.id, reason="read it again")
    words = read(printed(told.state))
    assert "Turning torque, forward 0.05 N·m 0.62 N·m1" in words
    # Once on the first page, once under the stage: beside trials and rows it is one footnote.
    assert words.count("was replaced: read it again") == 2


def test_a_job_just_opened_prints_and_says_it_is_a_draft(bench: Any, printed: Any, read: Any) -> None:
    bench.job = replace(bench.job, signed_at=None, signed_by="", asked_for="", vehicle="", card=replace(
        bench.job.card, limits={}, facts={}))  # fmt: skip
    for copy in ("customer", "shop"):
        words = read(printed(bench.state, copy=copy, shop=Shop()))
        assert "Not signed yet: this is a draft." in words
        assert "Nothing has been measured yet." in words


NASTY = '<b>x</b> & <img src="/etc/passwd"/> "quoted"'


def test_nasty_words_everywhere_print_literally(told: Any, printed: Any, read: Any) -> None:
    job = told.job
    limits = {**job.card.limits, "odd": Limit("odd", 1.0, None, NASTY, "", "", NASTY)}
    told.job = replace(
        job, serial=NASTY, customer=NASTY, vehicle=NASTY, asked_for=NASTY, contact=NASTY, signed_by=NASTY,
        number=NASTY, card=replace(job.card, family=NASTY, limits=limits),
    )  # fmt: skip
    told.gauges = {1: replace(told.gauges[1], name=NASTY, use=NASTY)}
    told.take("teardown", "note", 0, NASTY, person=NASTY)
    event = JobEvent(1, NASTY, datetime(2031, 5, 5), NASTY, {NASTY: NASTY})
    words = read(printed(told.state, shop=Shop(NASTY, NASTY), events=[event]))
    assert words.count(" ".join(NASTY.split())) >= 14
    assert "root:" not in words


def test_every_plane_prints_or_is_named_with_a_footnote(told: Any, printed: Any, read: Any) -> None:
    text = "".join(chr((plane << 16) + 0x4E2D) for plane in range(17)) + "\ud800\x00\x07Ж"
    told.take("teardown", "note", 0, text)
    words = read(printed(told.state)).replace(" ", "")
    for plane in range(17):
        assert f"[U+{(plane << 16) + 0x4E2D:04X}]" in words
    assert "[U+D800]" in words
    assert "Ж" in words
    assert "printedastheirUnicodecodepoints:U+4E2D,U+D800" in words


def test_words_without_a_break_and_long_notes_run_over_pages(told: Any, printed: Any, read: Any) -> None:
    note = " ".join(f"part {n} of a note that goes on and on" + "\n" * (n % 9 == 0) for n in range(5000))
    word = "W" * 3000
    told.job = replace(told.job, customer=word, asked_for=note, vehicle=word)
    told.gauges = {1: replace(told.gauges[1], name=word)}
    told.take("teardown", "note", 0, note, person=word)
    told.take("fill", "note", 0, word * 10)
    told.take("fill", "oil_grade", 0, word)
    words = read(printed(told.state))
    assert all(f"part {n} of a note" in words for n in range(0, 5000, 97))
    assert words.replace(" ", "").count("W") > 9 * 3000


@pytest.mark.parametrize("page", PAGES)
def test_pages_have_the_size_asked_for(told: Any, printed: Any, page: str) -> None:
    pages = PdfReader(BytesIO(printed(told.state, copy="customer", page=page))).pages
    assert [(float(p.mediabox.width), float(p.mediabox.height)) for p in pages] == [pytest.approx(PAGES[page])]


def test_many_trials_stand_in_blocks(told: Any, printed: Any, read: Any) -> None:
    for trial in range(3, 14):
        told.take("preload", "ring_gear_side", trial, f"2.{trial + 40}")
        told.take("preload", "torque_forward", trial, f"0.{trial + 10}")
    words = read(printed(told.state))
    assert all(f"Trial {trial}" in words for trial in range(1, 14))
    assert "0.23 N·m" in words


@pytest.mark.parametrize("copy", ["customer", "shop"])
def test_the_same_job_gives_the_same_bytes(told: Any, printed: Any, copy: str) -> None:
    state = told.state
    first = printed(state, copy=copy, events=REOPENED)
    assert first == printed(state, copy=copy, events=REOPENED)


def test_another_process_gives_the_same_bytes(told: Any, printed: Any, tmp_path: Path) -> None:
    import pickle

    job = tmp_path / "job"
    job.write_bytes(pickle.dumps((told.job, told.readings, told.gauges)))
    script = (
        "import pickle, sys, pathlib, hashlib, datetime\n"
        "from core.facts import Shop\n"
        "from core.stages import evaluate_job\n"
        "from core.stages.context import Context\n"
        "from core.sheet.sheet import sheet_bytes\n"
        "job, readings, gauges = pickle.loads(pathlib.Path(sys.argv[1]).read_bytes())\n"
        "pdf = sheet_bytes(evaluate_job(Context(job, tuple(readings), gauges)), Shop('x'), copy='shop', page='A4',\n"
        "    events=(), made_at=datetime.datetime(2031, 5, 12))\n"
        "print(hashlib.sha256(pdf).hexdigest())\n"
    )
    command = [sys.executable, "-c", script, str(job)]
    environment = {**os.environ, "PYTHONHASHSEED": "4711"}
    root = Path(__file__).parents[3]
    there = subprocess.run(command, env=environment, cwd=root, capture_output=True, text=True, check=True).stdout
    here = printed(told.state, shop=Shop("x"), made_at=datetime(2031, 5, 12))
    assert there == hashlib.sha256(here).hexdigest() + "\n"


def test_the_documents_own_words(shops_copy: Any) -> None:
    state, content, _ = shops_copy
    pdf = PdfReader(BytesIO(content))
    assert pdf.metadata is not None
    assert pdf.metadata.title == "Build sheet, job 2407, unit K-1183"
    assert pdf.metadata.author == "Ferrow Lane Driveline"
    assert pdf.root_object["/Lang"] == "en"
    titles: list[str] = []

    def collect(entries: Any) -> None:
        for entry in entries:
            if isinstance(entry, list):
                collect(entry)
            else:
                titles.append(entry.title)

    collect(pdf.outline)
    assert titles[:2] == ["Customer's page", "Full record"]
    assert {stage.stage.label for stage in state.stages} <= set(titles)


def test_every_face_is_embedded(shops_copy: Any) -> None:
    fonts = {}
    for page in PdfReader(BytesIO(shops_copy[1])).pages:
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            fonts[font.get_object()["/BaseFont"]] = font.get_object()
    assert fonts
    for name, font in fonts.items():
        assert "Roboto" in name
        assert "/FontFile2" in font["/FontDescriptor"]


def test_what_is_returned_is_the_digest_of_the_file_and_not_printed_in_it(told: Any, tmp_path: Path, read: Any) -> None:
    path = tmp_path / "sheet.pdf"
    fingerprint = write_sheet(path, told.state, Shop("x"), made_at=datetime(2031, 5, 12))
    assert fingerprint == hashlib.sha256(path.read_bytes()).hexdigest()
    assert fingerprint not in read(path.read_bytes())
    assert list(tmp_path.iterdir()) == [path]


def test_an_older_sheet_is_replaced_in_one_step(told: Any, tmp_path: Path) -> None:
    path = tmp_path / ("s" * 240 + ".pdf")
    path.write_bytes(b"older")
    write_sheet(path, told.state, Shop("x"), copy="customer", made_at=datetime(2031, 5, 12))
    assert path.read_bytes().startswith(b"%PDF")
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("place", ["missing/sheet.pdf", "file/sheet.pdf", "folder", "nul\0.pdf"])
def test_a_place_that_cannot_be_written_gets_a_sentence(told: Any, tmp_path: Path, place: str) -> None:
    (tmp_path / "file").write_text("in the way")
    (tmp_path / "folder").mkdir()
    before = sorted(tmp_path.iterdir())
    with pytest.raises(UserError, match=r"could not be written to .*: .*\. Choose a folder"):
        write_sheet(tmp_path / place, told.state, Shop("x"), copy="customer", made_at=datetime(2031, 5, 12))
    assert sorted(tmp_path.iterdir()) == before
    assert (tmp_path / "file").read_text() == "in the way"


def test_a_full_disk_leaves_the_older_sheet_alone(told: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(b"older")

    def full(_descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("core.sheet.sheet.os.fsync", full)
    with pytest.raises(UserError, match="No space left"):
        write_sheet(path, told.state, Shop("x"), copy="customer", made_at=datetime(2031, 5, 12))
    assert path.read_bytes() == b"older"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("options", [{"copy": "both"}, {"page": "A3"}])
def test_unknown_copies_and_pages_are_refused(told: Any, tmp_path: Path, options: dict[str, str]) -> None:
    with pytest.raises(InputError, match="Choose"):
        write_sheet(tmp_path / "x.pdf", told.state, Shop("x"), made_at=datetime(2031, 5, 12), **options)  # type: ignore[arg-type]
    assert not list(tmp_path.iterdir())


def test_times_are_the_shops_own(told: Any, printed: Any, read: Any, utc: Any) -> None:
    moment = datetime(2031, 5, 5, 12, 0, tzinfo=utc)
    told.job = replace(told.job, opened_at=moment)
    told.readings = [replace(r, taken_at=moment) for r in told.readings]
    assert day_and_time(moment) in read(printed(told.state))


def test_remarks_odd_cards_and_gauge_input_are_on_the_record(told: Any, printed: Any, read: Any) -> None:
    card = told.job.card
    facts = {**card.facts, "oil_grade": CardFact("oil_grade", None, "80W-90"), "odd": CardFact("odd", None, "word")}
    facts.pop("ring_gear_side")
    told.job = replace(told.job, card=replace(card, facts=facts))
    told.take("teardown", "torque_pinion", 0, "0.9", source="serial")
    told.take("teardown", "seal_condition@left", 0, "good", person="")
    words = read(printed(told.state))
    assert "Look again: The card asks for 80W-90, but 75W-140 was filled." in words
    assert "odd word" in words
    assert "· serial" in words


def test_lines_without_end_in_any_field_still_print(told: Any, printed: Any, read: Any) -> None:
    lines = "中\n" * 90
    job = told.job
    limits = {key: replace(limit, source=lines) for key, limit in job.card.limits.items()}
    told.job = replace(
        job, customer=lines, vehicle=lines, asked_for=lines, serial=lines, contact=lines, number=lines,
        opened_by=lines, signed_by=lines, revision=2, reopen_reason=lines,
        card=replace(job.card, family=lines, limits=limits),
    )  # fmt: skip
    told.gauges = {key: replace(gauge, name=lines, use=lines) for key, gauge in told.gauges.items()}
    told.readings = [replace(reading, person=lines) for reading in told.readings]
    told.take("fill", "oil_grade", 0, lines, person=lines)
    for n in range(12):
        wrong = told.take("teardown", "cup_tag@left", 0, lines + str(n), person=lines)
        told.take("teardown", "cup_tag@left", 0, "A", replaces=wrong.id, reason=lines)
    corrected = replace(REOPENED[3], detail={"field": "customer", "old": lines, "new": lines, "reason": lines})
    events = [*REOPENED, *[corrected] * 8]
    shop = Shop(lines, lines)
    for copy in ("customer", "shop"):
        words = read(printed(told.state, copy=copy, shop=shop, events=events))
        assert "What we left" in words
    assert "was replaced" in words
