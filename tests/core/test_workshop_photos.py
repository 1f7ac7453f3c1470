"""Photos through the workshop: from a file to the stage it belongs to, and onto the shop's sheet."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from core.errors import InputError, NotFoundError, RuleError
from core.workshop.photos import LONGEST_PRINTED, printed_photos


def picture(colour: str = "grey", size: tuple[int, int] = (64, 48), kind: str = "PNG") -> bytes:
    out = BytesIO()
    Image.new("RGB", size, colour).save(out, kind)
    return out.getvalue()


def test_a_file_becomes_a_photo_of_a_stage(workshop: Any, job: Any, tmp_path: Path, clock: Any) -> None:
    (tmp_path / "ring gear.png").write_bytes(picture(size=(3000, 1500)))
    before = clock.now
    photo = workshop.add_photo(
        job.id, tmp_path / "ring gear.png", stage="teardown", caption=" as found ", person="Jory Pell"
    )
    assert (photo.stage, photo.entry, photo.caption, photo.person) == ("teardown", "", "as found", "Jory Pell")
    assert (photo.width, photo.height) == (2560, 1280)
    assert before < photo.at <= clock.now
    assert workshop.photos(job.id) == [photo]
    assert Image.open(BytesIO(workshop.photo_image(photo.id))).size == (2560, 1280)
    assert Image.open(BytesIO(workshop.thumbnails([photo.id])[photo.id])).size == (320, 160)
    assert workshop.unit_photos("k1183") == [photo]


def test_a_photo_of_an_entry_names_the_reading_that_stands_there(workshop: Any, job: Any) -> None:
    place = {"entry": "backlash_found", "position": "at_000"}
    before = workshop.add_photo(job.id, picture(), stage="teardown", **place)
    assert before.reading_id is None
    workshop.record(job.id, "teardown", "backlash_found", "0.14", position="at_000")
    standing = workshop.state(job.id).context.reading("teardown", "backlash_found", "at_000")
    after = workshop.add_photo(job.id, picture("red"), stage="teardown", **place)
    assert after.reading_id == standing.id


def test_a_place_that_is_not_there_is_refused(workshop: Any, job: Any) -> None:
    for place in ({"stage": "painting"}, {"stage": "teardown", "entry": "paint"}):
        with pytest.raises((NotFoundError, LookupError)):
            workshop.add_photo(job.id, picture(), **place)
    assert workshop.photos(job.id) == []


def test_a_refused_file_leaves_nothing_behind(workshop: Any, job: Any, tmp_path: Path) -> None:
    (tmp_path / "gear.jpg").write_text("no picture", encoding="utf-8")
    with pytest.raises(InputError, match=r"gear\.jpg is not a picture"):
        workshop.add_photo(job.id, tmp_path / "gear.jpg", stage="teardown")
    workshop.add_photo(job.id, picture(), stage="teardown")
    with pytest.raises(RuleError, match="has this photo already"):
        workshop.add_photo(job.id, picture(), stage="fill")
    assert len(workshop.photos(job.id)) == 1


def test_a_photo_is_struck_by_name(workshop: Any, job: Any) -> None:
    photo = workshop.add_photo(job.id, picture(), stage="teardown")
    struck = workshop.strike_photo(photo.id, reason="another unit", person="Wren Hask")
    assert (struck.strike_reason, struck.struck_by) == ("another unit", "Wren Hask")
    assert workshop.photos(job.id) == [struck]
    other = workshop.add_photo(job.id, picture("red"), stage="teardown")
    with pytest.raises(InputError, match="reason is missing"):
        workshop.strike_photo(other.id, reason="  ")


def test_photos_go_on_paper_small_and_struck_ones_without_a_picture(workshop: Any, job: Any) -> None:
    large = workshop.add_photo(job.id, picture(size=(3000, 2000)), stage="teardown")
    struck = workshop.add_photo(job.id, picture("red"), stage="fill")
    workshop.strike_photo(struck.id, reason="another unit")
    with workshop._logbook.look() as work:
        first, second = printed_photos(work, job.id)
    assert first.photo == large
    assert Image.open(BytesIO(first.image)).size == (LONGEST_PRINTED, 667)
    assert (second.photo.id, second.image) == (struck.id, b"")
