"""Photos on the shop's copy: by stage, in their own proportions, struck ones only named; many of them stay light."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from io import BytesIO
from typing import Any

import pytest
from PIL import Image
from pypdf import PageObject, PdfReader

from core.facts import Photo
from core.photos import PrintedPhoto
from core.sheet.photos import TALLEST

from .conftest import MADE_AT, SHOP

Take = Callable[..., PrintedPhoto]


@pytest.fixture
def take() -> Take:
    """Return a function that makes a photo of the job's teardown."""
    taken: list[int] = []

    def make(size: tuple[int, int] = (1000, 750), colour: Any = (90, 90, 90), **changes: Any) -> PrintedPhoto:
        taken.append(len(taken) + 1)
        out = BytesIO()
        Image.new("RGB", size, colour).save(out, "JPEG")
        photo = Photo(
            taken[-1], 1, "teardown", "", "", 0, None, "", f"{taken[-1]:064x}", 2 * size[0], 2 * size[1],
            "Jory Pell", datetime(2031, 5, 5, 9, taken[-1] % 60), uid=f"photo-{taken[-1]}",
        )  # fmt: skip
        return PrintedPhoto(replace(photo, **changes), out.getvalue())

    return make


def drawn(pdf: bytes) -> list[tuple[int, int, float, float]]:
    """Return each picture's size in pixels and its size on paper [pt], in the order they are drawn."""
    return [picture for page in PdfReader(BytesIO(pdf)).pages for picture in drawn_on(page)]


def drawn_on(page: PageObject) -> list[tuple[int, int, float, float]]:
    found: list[tuple[int, int, float, float]] = []
    pictures = page["/Resources"].get("/XObject", {})
    scale: list[float] = []

    def note(operator: bytes, operands: list[Any], *_: Any) -> None:
        if operator == b"cm":
            scale[:] = [float(value) for value in operands]
        elif operator == b"Do":
            picture = pictures[operands[0]].get_object()
            if picture["/Subtype"] == "/Image":
                found.append((picture["/Width"], picture["/Height"], scale[0], scale[3]))

    page.extract_text(visitor_operand_before=note)
    return found


def test_photos_stand_under_their_stage_with_caption_person_and_time(
    told: Any, printed: Any, read: Any, take: Take
) -> None:
    photos = [
        take(caption="Ring gear <b>as found</b>"),
        take(stage="fill", caption="Groove, new seal"),
        take(entry="backlash_found", position="at_045"),
        take(stage="backlash", entry="backlash", position="at_090", trial=1, person=""),
    ]
    words = read(printed(told.state, photos=photos))
    assert "Ring gear <b>as found</b> Jory Pell · 5 May 2031 09:01" in words
    assert "Backlash as found, 45° · Jory Pell · 5 May 2031 09:03" in words
    assert "Backlash, 90°, trial 1 · 5 May 2031 09:04" in words
    after_fill = words[words.rindex("Oil filled") :]
    assert "Groove, new seal Jory Pell · 5 May 2031 09:02" in after_fill
    assert "Ring gear <b>" not in after_fill


def test_the_customers_copy_shows_none(told: Any, printed: Any, read: Any, take: Take) -> None:
    pdf = printed(told.state, copy="customer", photos=[take(caption="Ring gear as found")])
    assert "Ring gear as found" not in read(pdf)
    assert drawn(pdf) == []


def test_photos_keep_their_proportions_and_their_bytes(told: Any, printed: Any, take: Take) -> None:
    photos = [take((1000, 750)), take((600, 1000)), take((1000, 10)), take((1, 1000))]
    pdf = printed(told.state, photos=photos)
    found = drawn(pdf)
    assert [(w, h) for w, h, _, _ in found] == [(1000, 750), (600, 1000), (1000, 10), (1, 1000)]
    for pixels_wide, pixels_high, wide, high in found:
        assert wide / high == pytest.approx(pixels_wide / pixels_high, rel=1e-3)
        assert high <= TALLEST + 1e-6
    # What is printed is the JPEG itself, not one decoded and packed again.
    assert all(printed_photo.image in pdf for printed_photo in photos)


def test_a_struck_photo_is_only_named(told: Any, printed: Any, read: Any, take: Take) -> None:
    struck = {"strike_reason": "another unit", "struck_by": "Wren Hask", "struck_at": datetime(2031, 5, 6, 10, 0)}
    photos = [
        take(caption="Ring gear"),
        PrintedPhoto(take(caption="Wrong gear", **struck).photo, b""),
        PrintedPhoto(take(stage="fill", **struck | {"struck_by": ""}).photo, b""),
    ]
    pdf = printed(told.state, photos=photos)
    words = read(pdf)
    assert len(drawn(pdf)) == 1
    assert (
        "Photo “Wrong gear” (Jory Pell, 5 May 2031 09:02) was struck (Wren Hask, 6 May 2031 10:00): another unit"
        in words
    )
    assert "Photo (Jory Pell, 5 May 2031 09:03) was struck (6 May 2031 10:00): another unit" in words


def test_long_captions_and_names_fit(told: Any, printed: Any, read: Any, take: Take) -> None:
    long = "tooth " * 33
    words = read(printed(told.state, photos=[take(caption=long.strip(), person="P" * 200), take(caption="W" * 200)]))
    assert words.count(long.strip()) == 1, "in full, in the footnote"
    assert "W" * 200 in words.replace(" ", "")


def test_the_same_photos_give_the_same_bytes(told: Any, printed: Any, take: Take) -> None:
    photos = [take(), take((600, 1000), (200, 30, 30))]
    assert printed(told.state, photos=photos) == printed(told.state, photos=photos)


def test_the_fingerprint_covers_the_photos(told: Any, take: Take) -> None:
    from core.sheet.seal import seal

    def fingerprint(*photos: Photo) -> str:
        return seal(told.state, SHOP, (), copy="shop", page="A4", made_at=MADE_AT, photos=photos).fingerprint

    photo = take().photo
    assert len({fingerprint(), fingerprint(photo), fingerprint(replace(photo, digest="f" * 64))}) == 3


def test_forty_photos_take_little_room_and_memory(told: Any, printed: Any) -> None:
    """Forty photos off a camera: a sheet of a few megabytes, and not forty pictures in memory at once."""
    code = (
        "import random, resource, sys\n"
        "from datetime import datetime\n"
        "from io import BytesIO\n"
        "from PIL import Image\n"
        "from core.facts import Photo\n"
        "from core.photos import PrintedPhoto, rendition\n"
        "from core.sheet.document import Cover, as_pdf, frame_size\n"
        "from core.sheet.photos import Picture\n"
        "wide = Image.effect_noise((2560, 1920), 12).convert('RGB')\n"
        "story = []\n"
        "for number in range(40):\n"
        "    wide.putpixel((number, 0), (255, 0, 0))\n"
        "    out = BytesIO(); wide.save(out, 'JPEG', quality=88)\n"
        "    story.append(Picture(rendition(out.getvalue(), 1000), (220, 165)))\n"
        "before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss\n"
        "pdf = as_pdf(story, Cover('', '', ''), 'A4')\n"
        "jpegs = sum(len(p._jpeg) for p in story)\n"
        "print(len(pdf), jpegs, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, timeout=240, text=True)
    size, jpegs, kilobytes = (int(word) for word in done.stdout.split())
    assert size < jpegs * 1.05 + 400_000
    assert size < 8_000_000
    assert kilobytes < 25_000
