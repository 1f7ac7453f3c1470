"""Photos in the logbook: kept at their place, never twice, struck with a reason and never taken away."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from sqlalchemy import Select, event, select

from core.errors import InputError, NotFoundError, RuleError
from core.facts import Job, Photo
from core.photos import PreparedPhoto
from core.records import Logbook, Work, tables
from core.records.trail import digest

from .conftest import new_reading

GEAR = PreparedPhoto(b"\xff\xd8 a ring gear \xff\xd9", b"\xff\xd8 small \xff\xd9", 2560, 1920)
SEAL = PreparedPhoto(b"\xff\xd8 a seal \xff\xd9", b"\xff\xd8 smaller \xff\xd9", 640, 480)

Add = Callable[..., Photo]


@pytest.fixture
def add(work: Work, job: Job, now: datetime) -> Add:
    """Return a function that adds a photo to the open job."""

    def make(prepared: PreparedPhoto = GEAR, **changes: Any) -> Photo:
        given: dict[str, Any] = {
            "job_id": job.id,
            "stage": "teardown",
            "entry": "",
            "position": "",
            "trial": 0,
            "reading_id": None,
            "caption": "",
            "prepared": prepared,
            "person": "Tam",
            "at": now,
        }
        return work.add_photo(**given | changes)

    return make


def test_a_photo_comes_back_as_it_went_in(work: Work, job: Job, add: Add, now: datetime) -> None:
    photo = add(caption="  Ring gear,\n as found ")
    assert photo.uid
    assert photo == Photo(
        id=1,
        job_id=job.id,
        stage="teardown",
        entry="",
        position="",
        trial=0,
        reading_id=None,
        caption="Ring gear, as found",
        digest=GEAR.digest,
        width=2560,
        height=1920,
        person="Tam",
        at=now,
        uid=photo.uid,
    )
    assert work.photos(job.id) == [photo]
    assert work.photo_image(photo.id) == GEAR.image
    assert work.thumbnail(photo.id) == GEAR.thumbnail


def test_a_photo_may_belong_to_a_reading(work: Work, job: Job, add: Add) -> None:
    reading = new_reading(work, job)
    place = {"stage": "backlash", "entry": "backlash", "position": "at_000", "trial": 1}
    assert add(**place, reading_id=reading.id).reading_id == reading.id
    with pytest.raises(NotFoundError, match="no such reading at this place"):
        add(SEAL, **place | {"position": "at_045"}, reading_id=reading.id)
    with pytest.raises(NotFoundError, match="no such reading"):
        add(SEAL, **place, reading_id=reading.id + 1)
    with pytest.raises(NotFoundError, match="no such reading"):
        add(SEAL, **place, reading_id=-1)
    assert len(work.photos(job.id)) == 1


def test_a_photo_is_kept_once_in_a_job(work: Work, job: Job, add: Add, add_job: Callable[..., Job]) -> None:
    add()
    with pytest.raises(RuleError) as refused:
        add(stage="fill", person="Jory")
    assert str(refused.value) == (
        "The job has this photo already: Tam added it on 2026-03-02 08:00. "
        "Strike that one first if it belongs elsewhere."
    )
    assert len(work.photos(job.id)) == 1
    other = add_job("2408", "K-1184")
    assert add(job_id=other.id).job_id == other.id


def test_a_struck_photo_stays_to_be_seen_and_may_be_added_anew(work: Work, job: Job, add: Add, now: datetime) -> None:
    photo = add()
    struck = work.strike_photo(photo.id, " wrong stage ", "Jory", now)
    assert (struck.strike_reason, struck.struck_by, struck.struck_at) == ("wrong stage", "Jory", now)
    assert work.photo_image(photo.id) == GEAR.image
    again = add(stage="fill")
    assert [(p.id, p.strike_reason) for p in work.photos(job.id)] == [(photo.id, "wrong stage"), (again.id, "")]
    with pytest.raises(RuleError, match="struck already, by Jory"):
        work.strike_photo(photo.id, "again", "Tam", now)


@pytest.mark.parametrize("reason", ["", "  \n "])
def test_striking_wants_a_reason(work: Work, add: Add, now: datetime, reason: str) -> None:
    photo = add()
    with pytest.raises(InputError, match="The reason is missing"):
        work.strike_photo(photo.id, reason, "Tam", now)
    assert work.photo(photo.id).struck_at is None


def test_a_signed_job_takes_no_photo_and_lets_none_be_struck(work: Work, job: Job, add: Add, now: datetime) -> None:
    photo = add()
    work.sign(job.id, "Tam", now)
    with pytest.raises(RuleError, match="was signed by Tam"):
        add(SEAL)
    with pytest.raises(RuleError, match="was signed by Tam"):
        work.strike_photo(photo.id, "blurred", "Tam", now)
    assert work.photos(job.id) == [photo]
    work.reopen(job.id, "Tam", "a photo was missing", now)
    assert add(SEAL).id == photo.id + 1


@pytest.mark.parametrize(
    ("changes", "error", "words"),
    [
        ({"job_id": 99}, NotFoundError, "no such job"),
        ({"stage": " "}, InputError, "The stage is missing"),
        ({"caption": "x" * 201}, InputError, "The caption: 201 characters are too many"),
        ({"caption": "nul\x00"}, InputError, "cannot be kept"),
        ({"trial": -1}, InputError, "The trial is -1"),
    ],
)
def test_what_cannot_be_is_refused(
    work: Work, job: Job, add: Add, changes: dict[str, Any], error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        add(**changes)
    assert work.photos(job.id) == []


def test_a_photo_from_the_future_is_refused(add: Add, now: datetime) -> None:
    with pytest.raises(InputError, match="lies in the future"):
        add(at=now + timedelta(hours=1))


@pytest.mark.parametrize("photo_id", [0, -1, 7, 2**70])
def test_a_photo_that_is_not_there(work: Work, job: Job, now: datetime, photo_id: int) -> None:
    for ask in (work.photo, work.photo_image, work.thumbnail):
        with pytest.raises(NotFoundError, match="no such photo"):
            ask(photo_id)
    with pytest.raises(NotFoundError, match="no such photo"):
        work.strike_photo(photo_id, "blurred", "Tam", now)
    with pytest.raises(NotFoundError, match="no such job"):
        work.photos(99)


def test_the_photos_of_a_unit_are_those_of_all_its_visits(work: Work, job: Job, add: Add, add_job: Any) -> None:
    first = add()
    again = add_job("2410", "k 1183")
    second = add(job_id=again.id)
    third = add(SEAL, stage="fill")
    add(job_id=add_job("2411", "K-1184").id)
    assert work.unit_photos("K1183") == [first, second, third]
    assert work.unit_photos("Z-9") == []


def test_the_trail_holds_the_photo_by_its_digest(work: Work, job: Job, add: Add, now: datetime) -> None:
    photo = add(caption="ring gear")
    work.strike_photo(photo.id, "blurred", "Tam", now)
    trail = tables.trail
    rows = work._rows(select(trail).where(trail.c.in_table.in_(["photo", "photo_strike"])).order_by(trail.c.id))
    assert [row.in_table for row in rows] == ["photo", "photo_strike"]
    assert [row.job_id for row in rows] == [job.id, job.id]
    assert f'"image":"{digest(GEAR.image)}"' in rows[0].content
    assert f'"digest":"{digest(GEAR.image)}"' in rows[0].content
    assert f'"thumbnail":"{digest(GEAR.thumbnail)}"' in rows[0].content
    assert "ring gear" not in rows[0].content.replace('"caption":"ring gear"', "")


def test_a_list_of_photos_carries_no_pictures(logbook: Logbook, work: Work, job: Job, add: Add) -> None:
    add()
    asked: list[str] = []

    def listen(_connection: Any, clause: Any, *_: Any) -> None:
        if isinstance(clause, Select):
            asked.append(str(clause))

    event.listen(logbook._engine, "before_execute", listen)
    work.photos(job.id)
    event.remove(logbook._engine, "before_execute", listen)
    about = [statement for statement in asked if "FROM photo" in statement]
    assert about
    assert not any("photo.image" in statement or "photo.thumbnail" in statement for statement in about)


def test_a_photo_never_changes(work: Work, add: Add) -> None:
    add()
    with pytest.raises(Exception, match="photo only grows"):
        work._connection.execute(tables.photo.update().values(caption="another"))
