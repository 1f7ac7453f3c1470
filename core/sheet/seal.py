"""What ties a printed sheet to the logbook: a fingerprint of all that went into it, printed, and as a QR code."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import lru_cache
from hashlib import sha256

from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing
from reportlab.lib.colors import HexColor

from core.facts import Advised, JobEvent, Photo, Shop
from core.sheet.style import INK
from core.stages.state import JobState

MARK = "pinionbook-sheet"
"""How the fingerprint is announced inside the file and in the code."""
CODE_PT = 46.0
"""Side of the code on the sheet [pt]: 16 mm, which a telephone reads from a page lying flat."""
_IN_FILE = re.compile(rb"pinionbook-sheet:([0-9a-f]{64})")


@dataclass(frozen=True)
class Seal:
    """A sheet's fingerprint, and the entry of the trail with its chain the logbook had come to when it was made."""

    fingerprint: str
    entry: int = 0
    chain: str = ""

    @property
    def in_groups(self) -> str:
        """The fingerprint in groups of four, for reading aloud."""
        return " ".join(re.findall("....", self.fingerprint))


def seal(
    state: JobState,
    shop: Shop,
    events: Sequence[JobEvent],
    *,
    copy: str,
    page: str,
    made_at: datetime,
    head: tuple[int, str] = (0, ""),
    photos: Sequence[Photo] = (),
    advised: Sequence[Advised] = (),
) -> Seal:
    """Return the seal of a sheet: the SHA-256 over everything it is made from, and the head of the trail."""
    context = state.context
    told = [
        asdict(context.job),
        [asdict(reading) for reading in context.readings],
        [asdict(gauge) for gauge in context.gauges.values()],
        [[event.what, event.at, event.person, dict(event.detail)] for event in events],
        [shop.name, shop.address, shop.units],
        [copy, page, made_at, *head],
        [asdict(photo) for photo in photos],
        [asdict(one) for one in advised],
    ]
    canonical = json.dumps(told, default=str, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return Seal(sha256(canonical.encode("utf-8", "surrogatepass")).hexdigest(), *head)


def fingerprint_in(content: bytes) -> str:
    """Return the fingerprint a sheet carries, "" where the file carries none."""
    found = _IN_FILE.search(content)
    return found.group(1).decode() if found else ""


@lru_cache(maxsize=1)
def code(of: Seal) -> Drawing:
    """Return the fingerprint as a QR code (ISO/IEC 18004), a quarter of which may be lost; made once for all tries."""
    widget = QrCodeWidget(f"{MARK}:{of.fingerprint}", barLevel="Q", barBorder=2, barFillColor=HexColor(INK))
    left, low, right, high = widget.getBounds()
    drawing = Drawing(CODE_PT, CODE_PT, transform=[CODE_PT / (right - left), 0, 0, CODE_PT / (high - low), 0, 0])
    # Its squares, not the widget, which would work the code out once more wherever it is drawn.
    drawing.add(widget.draw())
    return drawing
