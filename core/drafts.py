"""A job before it is one: what was typed into the intake, checked and remarked on, nothing stored yet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields

from core.errors import InputError, RuleError, UserError
from core.language import mark, tr
from core.mechanics.bevel import gear_ratio, is_hunting
from core.quantities import number, parse
from core.records.texts import LONGEST_KEY, LONGEST_LINE, line
from core.stages.entry import Remark

MOST_TEETH = 120
FEWEST_TEETH = 4
TAG_TOLERANCE_RATIO = 0.006
"""A tag rounds its ratio to two figures after the point; further off than this it names another pair."""


@dataclass(frozen=True)
class JobDraft:
    """The intake as typed; every field is text but the two that are chosen."""

    number: str = ""
    serial: str = ""
    customer: str = ""
    contact: str = ""
    vehicle: str = ""
    asked_for: str = ""
    ring_gear_teeth: str = ""
    pinion_teeth: str = ""
    tag_ratio: str = ""
    is_limited_slip: bool = False
    card_id: int | None = None


@dataclass(frozen=True)
class CheckedDraft:
    """The intake once it can be stored."""

    number: str
    serial: str
    customer: str
    contact: str
    vehicle: str
    asked_for: str
    ring_gear_teeth: int
    pinion_teeth: int
    tag_ratio: float | None
    is_limited_slip: bool
    card_id: int


def _one_line(what: str, longest: int, *, is_needed: bool = False) -> Callable[[str], str]:
    """Return a reader for a field of one line, which the logbook keeps up to a length."""

    def read(text: str) -> str:
        return line(parse("text", text).text if is_needed else _text_or_empty(text), tr(what), longest)

    return read


def _text_or_empty(text: str) -> str:
    return parse("text", text).text if text.strip() else ""


def _teeth(text: str) -> int:
    teeth = int(parse("count", text).value or 0)
    if not FEWEST_TEETH <= teeth <= MOST_TEETH:
        raise InputError(
            tr("{teeth} teeth is impossible.", teeth=teeth),
            tr("Count again: {fewest} to {most} is accepted.", fewest=FEWEST_TEETH, most=MOST_TEETH),
        )
    return teeth


def _tag_ratio(text: str) -> float | None:
    if not text.strip():
        return None
    ratio = parse("ratio", text, "one").value or 0.0
    if not 1.0 <= ratio <= 30.0:
        raise InputError(
            tr("A final-drive ratio of {typed} is impossible.", typed=text.strip()),
            tr("Copy the ratio from the tag, such as 3.91, or leave it empty."),
        )
    return ratio


def _card(card_id: int | None) -> int:
    if card_id is None:
        raise RuleError(
            tr("A job needs a spec card: it says which limits apply."), tr("Choose the casing family, or add its card.")
        )
    return card_id


_READERS: dict[str, Callable[[str], object]] = {
    "number": _one_line(mark("The job number"), LONGEST_KEY, is_needed=True),
    "serial": _one_line(mark("The serial number"), LONGEST_KEY, is_needed=True),
    "customer": _one_line(mark("The customer"), LONGEST_LINE, is_needed=True),
    "contact": _one_line(mark("The contact"), LONGEST_LINE),
    "vehicle": _one_line(mark("The vehicle"), LONGEST_LINE),
    "asked_for": _text_or_empty,
    "ring_gear_teeth": _teeth,
    "pinion_teeth": _teeth,
    "tag_ratio": _tag_ratio,
    "card_id": _card,  # type: ignore[dict-item]
    "is_limited_slip": bool,
}


def read_draft(draft: JobDraft) -> tuple[dict[str, object], dict[str, UserError]]:
    """Read every field of a draft.

    Returns
    -------
    tuple of dict
        What could be read, and what could not, each by field name.
    """
    read: dict[str, object] = {}
    refused: dict[str, UserError] = {}
    for field in fields(JobDraft):
        try:
            read[field.name] = _READERS[field.name](getattr(draft, field.name))
        except UserError as error:
            refused[field.name] = error
    gear, pinion = read.get("ring_gear_teeth"), read.get("pinion_teeth")
    if isinstance(gear, int) and isinstance(pinion, int) and gear <= pinion:
        refused["pinion_teeth"] = InputError(
            tr("The ring gear has {gear} teeth and the pinion {pinion}.", gear=gear, pinion=pinion),
            tr("The ring gear has the larger count: check whether they were swapped."),
        )
    return read, refused


def checked(draft: JobDraft) -> CheckedDraft:
    """Return the draft ready to be stored; raise the first refusal where a field cannot be used."""
    read, refused = read_draft(draft)
    if refused:
        raise next(iter(refused.values()))
    return CheckedDraft(**read)  # type: ignore[arg-type]


def ratio_words(ring_gear_teeth: int, pinion_teeth: int) -> str:
    """Return the ratio as the trade writes it.

    Examples
    --------
    >>> ratio_words(43, 11)
    '43 : 11 = 3.909'
    """
    ratio = gear_ratio(pinion_teeth, ring_gear_teeth)
    return f"{ring_gear_teeth} : {pinion_teeth} = {number('ratio', ratio, 'one', 3)}"


def hunting_words(ring_gear_teeth: int, pinion_teeth: int) -> str:
    """Say whether every tooth of the pinion meets every tooth of the ring gear."""
    if is_hunting(pinion_teeth, ring_gear_teeth):
        return tr("hunting: every pinion tooth meets every ring-gear tooth")
    return tr("not hunting: the same teeth meet again, so keep their timing marks together")


def tag_differs(ring_gear_teeth: int, pinion_teeth: int, tag_ratio: float | None) -> bool:
    """Tell whether a tag names another ratio than the counted teeth give."""
    if tag_ratio is None:
        return False
    return abs(ring_gear_teeth / pinion_teeth - tag_ratio) > TAG_TOLERANCE_RATIO


def tooth_remarks(ring_gear_teeth: int, pinion_teeth: int, tag_ratio: float | None, offered: str) -> list[Remark]:
    """Say what the counts give: ratio, hunting, a tag that names another ratio, a pair the card does not offer."""
    words = ratio_words(ring_gear_teeth, pinion_teeth)
    remarks = [Remark(f"{words}, {hunting_words(ring_gear_teeth, pinion_teeth)}")]
    if tag_differs(ring_gear_teeth, pinion_teeth, tag_ratio) and tag_ratio is not None:
        remarks.append(
            Remark(
                tr(
                    "The tag says {tag}, but the counted teeth give {ratio}: "
                    "count again, or note that the tag is wrong.",
                    tag=number("ratio", tag_ratio, "one", 2),
                    ratio=number("ratio", ring_gear_teeth / pinion_teeth, "one", 3),
                ),
                is_warning=True,
            )
        )
    pairs = {pair.replace(" ", "") for pair in offered.split(",") if pair.strip()}
    if pairs and f"{ring_gear_teeth}:{pinion_teeth}" not in pairs:
        remarks.append(
            Remark(tr("The card offers {offered} for this family: check the counts.", offered=offered), is_warning=True)
        )
    return remarks
