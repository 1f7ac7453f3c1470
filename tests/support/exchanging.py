"""A small shop with a bit of everything in it, and archives made of it, good and bad."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from typing import Any

from PIL import Image

from core.facts import CardFact, Job, Limit, Shop, ShopRules
from core.photos import PreparedPhoto, prepare
from core.quantities import Amount
from core.records import Work

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
LIMITS = (Limit("backlash", 0.06, 0.10, "0.06", "0.10 mm", "mm", "shop practice"),)
FACTS = (CardFact("ring_gear_side", None, "left"), CardFact("fill_volume", 1.1, "1.1", "l", "shop practice"))

Change = Callable[[dict[str, Any]], None]


@cache
def picture(shade: int = 90) -> PreparedPhoto:
    """Return a small grey photo."""
    out = io.BytesIO()
    Image.new("RGB", (64, 48), (shade, shade, shade)).save(out, "PNG")
    return prepare(out.getvalue())


def new_job(work: Work, card_id: int, number: str = "2407", serial: str = "K-1183", **changes: Any) -> Job:
    """Open a job."""
    given: dict[str, Any] = {
        "number": number,
        "serial": serial,
        "customer": "Hill-climb club",
        "contact": "gate 2",
        "vehicle": "rear axle",
        "asked_for": 'quiet,\nand "documented"',
        "ring_gear_teeth": 43,
        "pinion_teeth": 11,
        "tag_ratio": 3.91,
        "is_limited_slip": True,
        "card_id": card_id,
        "by": "Tam Ollerby",
        "at": NOW,
    }
    return work.add_job(**given | changes)


def read(work: Work, job_id: int, text: str, value: float | None, **changes: Any) -> int:
    """Record a backlash reading, or whatever is asked for."""
    given: dict[str, Any] = {
        "stage": "backlash",
        "entry": "backlash",
        "position": "at_000",
        "trial": 1,
        "amount": Amount("length", value, text, "mm" if text else ""),
        "gauge_id": None,
        "person": "Jory Pell",
        "at": NOW,
    }
    return work.record(job_id, **given | changes).id


def advise(work: Work, job_id: int, trial: int = 1, **changes: Any) -> int:
    """Note a pair that was advised at backlash, or whatever is asked for."""
    given: dict[str, Any] = {
        "stage": "backlash",
        "ring_gear_side_mm": 2.5,
        "opposite_side_mm": 2.45,
        "places": "C3, A1",
        "chance": 0.84,
        "expected": 0.081,
        "low": 0.066,
        "high": 0.097,
        "at": NOW,
        "person": "Jory Pell",
    }
    return work.note_advised(job_id, trial=trial, **given | changes).id


def tell_shop(work: Work) -> dict[str, int]:
    """Tell a shop with people, a gauge, stock, two revisions of a card and two visits of one unit."""
    work.put_shop(Shop("Ferrow Lane Driveline", "3 Ferrow Lane", "metric"))
    work.put_rules(ShopRules("widen", 2.5), "Wren Hask", NOW)
    for name, role in (("Wren Hask", "owner"), ("Tam Ollerby", "bench"), ("Jory Pell", "bench")):
        work.add_person(name, role)
    gauge = work.add_gauge("dial gauge 1", "dial", "length", 0.01, 0.005, date(2026, 1, 5), 12)
    work.check_zero(gauge.id, 0.0, NOW, "Tam Ollerby")
    ring = work.add_part("ring", "plain", "C3", 2.5, 2, 1)
    other = work.add_part("shim", "", "A1", 0.1, 4, fits="sides")
    work.measure_part(ring.id, [2.498, 2.5, 2.501], gauge.id)
    old = work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam Ollerby")
    card = work.add_card_revision("Orrin B", LIMITS, (*FACTS, CardFact("note", None, "newer")), "Tam Ollerby")
    first = new_job(work, old.id)
    advise(work, first.id, stage="preload", expected=0.7, low=0.5, high=1.0, person="Tam Ollerby")
    advise(work, first.id, places="", chance=1.0)
    read(work, first.id, "0.2", 0.2, gauge_id=gauge.id)
    last = read(work, first.id, "0.08", 0.08, gauge_id=gauge.id, reason="read the wrong tooth")
    read(work, first.id, "wet", None, stage="fill", entry="note", position="", trial=0)
    read(work, first.id, "", None, stage="fill", entry="note", position="", trial=0, reason="dried")
    # The ring was taken, given back, and the shim taken for the same place: their order matters.
    work.take_piece(first.id, ("preload", "ring_gear_side", 1), ring.id)
    work.take_piece(first.id, ("preload", "ring_gear_side", 2), other.id)
    photo = work.add_photo(first.id, "backlash", "backlash", "at_000", 1, last, "tooth 1", picture(), "Jory Pell", NOW)
    work.add_photo(first.id, "teardown", "", "", 0, None, "as found", picture(140), "Jory Pell", NOW)
    work.strike_photo(photo.id, "blurred", "Jory Pell", NOW)
    work.change_job(first.id, "customer", "Brackwater Hill-climb Club", "Tam Ollerby", "misspelt", NOW)
    work.sign(first.id, "Tam Ollerby", NOW)
    work.note_sheet(first.id, "Tam Ollerby", NOW, "ab" * 32, "customer", entry="3", chain="cd")
    second = new_job(work, card.id, "2408", "k 1183", tag_ratio=None)
    read(work, second.id, "-0.01", -0.01)
    third = new_job(work, card.id, "2409", "K-2000", customer="Ossie Trellick", contact="")
    return {"first": first.id, "second": second.id, "third": third.id, "gauge": gauge.id, "ring": ring.id}


# -- archives taken apart and put together again -----------------------------------------------------------------------


def files_of(path: Path) -> dict[str, bytes]:
    """Return every file of an archive."""
    with zipfile.ZipFile(path) as archive:
        return {info.filename: archive.read(info) for info in archive.infolist()}


def logbook_of(path: Path) -> dict[str, Any]:
    """Return what an archive holds."""
    return json.loads(files_of(path)["logbook.json"])


def sealed(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return files with a manifest that agrees with them, as somebody who knows the format would write it."""
    manifest = json.loads(files["manifest.json"])
    manifest["files"] = [
        {"name": name, "size": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        for name, content in sorted(files.items())
        if name != "manifest.json"
    ]
    return {**files, "manifest.json": json.dumps(manifest).encode()}


def pack(path: Path, files: Mapping[str, bytes]) -> Path:
    """Write files as a ZIP."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name, (2026, 3, 2, 8, 0, 0)), content, zipfile.ZIP_DEFLATED)
    return path


def altered(source: Path, target: Path, change: Change) -> Path:
    """Write an archive again after changing what it holds, its manifest made to agree."""
    files = files_of(source)
    logbook = json.loads(files["logbook.json"])
    change(logbook)
    files["logbook.json"] = json.dumps(logbook).encode()
    return pack(target, sealed(files))
