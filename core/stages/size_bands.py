"""Sizes of a set that nobody knows exactly: typed on the card as a band, or left empty and taken as usual by size."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from math import atan, sin, sqrt

from core.errors import InputError, UserError
from core.facts import CardFact, SpecCard
from core.language import mark, tr
from core.mechanics.lash import ASSUMED_CUTTER_RATIO
from core.quantities import Amount, number, parse, show, to_unit

Known = Mapping[str, float]
"""Sizes by the key of their fact, as far as they are known or taken."""

Taken = tuple[float, float, float]
"""What is taken for a size, and from where to where it usually lies."""

USUAL_RATIO = 3.9
"""Ring-gear teeth over pinion teeth, where no counts are known yet."""

FACE_SHARES = (0.15, 0.13, 0.17)
"""Face width over outer diameter: usual, least, most (common practice for final drives)."""

CUTTER_SHARES = (ASSUMED_CUTTER_RATIO, 0.80, 1.10)
"""Cutter radius over mean cone distance: usual, least, most (common practice)."""

FINE_MM = 20.0
"""Below it a length is told to a tenth of a millimetre."""

MOST_OFFSET_SHARE = 0.14
"""Pinion offset over outer diameter: more is rare (common practice)."""


@dataclass(frozen=True)
class Size:
    """A size of the set: its fact on the card, the argument of a `GearSet` it becomes, and what is usual for it."""

    key: str
    argument: str
    label: str
    kind: str
    unit: str
    usual: Callable[[Known, float], Taken]


def _diameter(known: Known, _ratio: float) -> Taken:
    face = known.get("face_width")
    if face:
        usual, least, most = FACE_SHARES
        return face / usual, face / most, face / least
    return 200.0, 160.0, 260.0


def _face(known: Known, _ratio: float) -> Taken:
    usual, least, most = (share * known["gear_outer_diameter"] for share in FACE_SHARES)
    return usual, least, most


def _offset(known: Known, _ratio: float) -> Taken:
    return 0.0, 0.0, MOST_OFFSET_SHARE * known["gear_outer_diameter"]


def _cutter(known: Known, ratio: float) -> Taken:
    outer_cone = known["gear_outer_diameter"] / (2.0 * sin(atan(ratio)))
    usual, least, most = (share * (outer_cone - 0.5 * known["face_width"]) for share in CUTTER_SHARES)
    return usual, least, most


SIZES: tuple[Size, ...] = (
    Size("gear_outer_diameter", "outer_diameter_mm", mark("outer diameter"), "length", "mm", _diameter),
    Size("face_width", "face_width_mm", mark("face width"), "length", "mm", _face),
    Size("spiral_angle", "spiral_angle_deg", mark("spiral angle"), "angle", "deg", lambda *_: (35.0, 30.0, 40.0)),
    Size("pressure_angle", "pressure_angle_deg", mark("pressure angle"), "angle", "deg", lambda *_: (20.0, 17.5, 22.5)),
    Size("pinion_offset", "offset_mm", mark("pinion offset"), "length", "mm", _offset),
    Size("cutter_radius", "cutter_radius_mm", mark("cutter radius"), "length", "mm", _cutter),
)
"""Usual sizes of passenger-car and light-truck axles (common practice); each may ask for those before it."""

SIZES_BY_KEY = {size.key: size for size in SIZES}


@dataclass(frozen=True)
class SizeBand:
    """A size that is known only as a band.

    `value` is what is reckoned with, in the canonical unit of its kind, `low` and `high` the ends of the band;
    `is_usual` where the card does not give the size at all.
    """

    size: Size
    value: float
    low: float
    high: float
    is_usual: bool

    @property
    def sd(self) -> float:
        """How far the size may be from what is reckoned with: the root mean square over the band, all of it alike.

        For a value in the middle of ±a it is a/√3 (GUM, 4.3.7).
        """
        below, above = self.low - self.value, self.high - self.value
        return sqrt((below * below + below * above + above * above) / 3.0)

    @property
    def in_words(self) -> str:
        """What is reckoned with and the band around it, after the name of the size."""
        low, high = self._ends
        taken = show(self.size.kind, self.value, self.size.unit, self._places)
        return tr("{size} {taken} ({low} – {high})", size=tr(self.size.label), taken=taken, low=low, high=high)

    @property
    def usual_words(self) -> str:
        """What is usual for a set of this size, and what is reckoned with."""
        low, high = self._ends
        taken = show(self.size.kind, self.value, self.size.unit, self._places)
        return tr("usually {low} – {high}, taken as {taken}", low=low, high=high, taken=taken)

    @property
    def example(self) -> str:
        """The band as it may be typed."""
        low, high = self._ends
        return tr("{low} – {high}", low=low, high=high)

    @property
    def _ends(self) -> tuple[str, str]:
        size = self.size
        low = number(size.kind, self.low, size.unit, self._places)
        return low, show(size.kind, self.high, size.unit, self._places)

    @property
    def _places(self) -> int:
        """With how many decimals a band is told: it is not known finer than that."""
        size, told = self.size, (self.low, self.high, self.value)
        if size.kind == "length":
            return 1 if self.high < FINE_MM else 0
        return 1 if any(round(to_unit(size.kind, value, size.unit) % 1, 6) for value in told) else 0


def bands_of(card: SpecCard, ratio: float) -> dict[str, SizeBand]:
    """Return the sizes of a card that are known only as a band, by their fact's key; empty where all are exact.

    Parameters
    ----------
    card : SpecCard
        The card.
    ratio : float
        Ring-gear teeth over pinion teeth; the cutter of a set of unknown size is usual for it.
    """
    return bands({key: card.facts[key] for key in SIZES_BY_KEY if key in card.facts}, ratio)


def bands(facts: Mapping[str, CardFact], ratio: float) -> dict[str, SizeBand]:
    """Return which sizes are known only as a band, from the facts that are there; see `bands_of`."""
    known = {key: fact.value for key, fact in facts.items() if fact.value is not None}
    found: dict[str, SizeBand] = {}
    for size in SIZES:
        typed = typed_band(size.key, facts[size.key].text) if size.key in facts else None
        if size.key not in known:
            value, low, high = size.usual(known, ratio)
            known[size.key] = value
            found[size.key] = SizeBand(size, value, low, high, is_usual=True)
        elif typed is not None:
            low, high = (end.value or 0.0 for end in typed)
            found[size.key] = SizeBand(size, known[size.key], low, high, is_usual=False)
    return found


def bands_words(found: Collection[SizeBand]) -> str:
    """Say which sizes were taken as usual and which are typed as a band, each with its band; "" for none."""
    told = {is_usual: [band.in_words for band in found if band.is_usual is is_usual] for is_usual in (True, False)}
    said = []
    if told[True]:
        said.append(tr("not on the card, as usual for its size: {sizes}", sizes=", ".join(told[True])))
    if told[False]:
        said.append(tr("on the card as a band: {sizes}", sizes=", ".join(told[False])))
    return "; ".join(said)


def ratio_of(tooth_counts: str) -> float:
    """Return ring-gear teeth over pinion teeth of the first pair a card offers, or the usual ratio.

    Examples
    --------
    >>> ratio_of("41:10, 43:11"), ratio_of("")
    (4.1, 3.9)
    """
    gear, pinion = next(iter(pairs_of(tooth_counts)), (0, 0))
    return gear / pinion if gear > pinion > 0 else USUAL_RATIO


def pairs_of(tooth_counts: str) -> list[tuple[int, int]]:
    """Return the pairs of tooth counts a card offers, as they are written.

    Examples
    --------
    >>> pairs_of("43:11, 41 : 10 and others")
    [(43, 11), (41, 10)]
    """
    return [(int(gear), int(pinion)) for gear, pinion in _PAIR.findall(tooth_counts)]


_PAIR = re.compile(r"(\d{1,3})\s*:\s*(\d{1,3})")


# --- as typed --------------------------------------------------------------------------------------------------------

_FROM_TO = re.compile(r"^(?P<low>.*[\w.°\"″'])\s*(?:-|–|—|\.\.\.?|…|\bto\b)\s*(?P<high>[\d.,].*)$")
_ABOUT = re.compile(r"^(?P<middle>.*[\w.°\"″'])\s*(?:±|\+/-|\+-)\s*(?P<half>[\d.,].*)$")


def typed_band(key: str, text: str) -> tuple[Amount, Amount] | None:
    """Return the ends of a band as typed, or None for what is none: a plain number, or another fact.

    Parameters
    ----------
    key : str
        Which fact; only those of `SIZES` may be bands.
    text : str
        Such as ``78 – 95 mm``, ``30 to 40°`` or ``82 ± 5 mm``; the last unit named is that of both numbers.

    Raises
    ------
    InputError
        A band that has no number where one must be, or whose ends are the wrong way round.

    Examples
    --------
    >>> [end.value for end in typed_band("cutter_radius", "78 – 95")]
    [78.0, 95.0]
    >>> [end.value for end in typed_band("cutter_radius", "3 ± 0.25 in")]
    [69.85, 82.55]
    >>> typed_band("cutter_radius", "82.55 mm") is None
    True
    """
    size = SIZES_BY_KEY.get(key)
    line = " ".join(text.split())
    if size is None or _is_plain(size, line):
        return None
    if about := _ABOUT.match(line):
        half = parse(size.kind, about["half"], size.unit)
        middle = parse(size.kind, about["middle"], half.unit)
        ends = ((middle.value or 0.0) + sign * (half.value or 0.0) for sign in (-1.0, 1.0))
        low, high = (Amount(size.kind, round(end, 9), line, half.unit) for end in ends)
    elif between := _FROM_TO.match(line):
        high = parse(size.kind, between["high"], size.unit)
        low = parse(size.kind, between["low"], high.unit)
    else:
        return None
    if not 0.0 <= (low.value or 0.0) < (high.value or 0.0):
        raise InputError(
            tr("{typed} is no band: it must begin at nothing or more, and end above that.", typed=line[:40]),
            tr("Write the smaller number first, such as 78 – 95 mm."),
        )
    return low, high


def _is_plain(size: Size, line: str) -> bool:
    try:
        parse(size.kind, line, size.unit)
    except UserError:
        return False
    return True
