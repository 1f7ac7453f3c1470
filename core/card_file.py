"""A spec card as a file: JSON for another shop, or from one; its shape is ``assets/schema/spec-card.schema.json``."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from core.card_changes import FACT, LIMIT, fact_text, label_of
from core.errors import InputError, RuleError, UserError
from core.exchange.strict_json import NotTakenError, loaded
from core.facts import CardFact, Limit, SpecCard
from core.language import mark, tr
from core.quantities import KINDS, parse
from core.shop_inputs import LimitText, printable, read_card
from core.stages.card import FACTS_BY_KEY, LIMITS_BY_KEY

FORMAT = "pinionbook spec card"
VERSION = 1
LARGEST_FILE = 1_000_000
"""Most bytes a card may have; one with every limit and fact has twenty thousand."""
NEEDS_NO_SOURCE = ("note",)
"""The facts that are nobody's finding."""
_SHARE = 1e-6
"""How far a value may be from what is typed beside it, as a share of it: as much as rounding does."""
_BOM = b"\xef\xbb\xbf"

_WORDS = {
    "required": mark("something is missing"),
    "additionalProperties": mark("something does not belong there"),
    "dependentRequired": mark("a value has no unit beside it"),
    "anyOf": mark("neither low nor high is given"),
    "type": mark("it is of the wrong type"),
    "enum": mark("it is none of the choices"),
    "maxLength": mark("it is too long"),
    "minLength": mark("it is empty"),
}
"""What the schema has against a place, by its keyword."""


@dataclass(frozen=True)
class CardTyped:
    """A whole card as it is typed, read and found good."""

    family: str
    limits: Mapping[str, LimitText]
    facts: Mapping[str, str]
    fact_sources: Mapping[str, str]
    card: SpecCard


# -- out ---------------------------------------------------------------------------------------------------------------


def unsourced(card: SpecCard) -> list[str]:
    """Return what of a card has no source, in words; an empty list lets it leave the shop."""
    without = [label_of(LIMIT, key) for key, limit in card.limits.items() if not limit.source.strip()]
    facts = (key for key, fact in card.facts.items() if key not in NEEDS_NO_SOURCE and not fact.source.strip())
    return without + [label_of(FACT, key) for key in facts]


def written(card: SpecCard, made_at: datetime) -> str:
    """Return a spec card as the text of its file; the same card gives the same text.

    Parameters
    ----------
    card : SpecCard
        One revision.
    made_at : datetime
        When it was made (aware).

    Raises
    ------
    RuleError
        A limit or fact has no source; each is named.
    """
    without = unsourced(card)
    if without:
        raise RuleError(
            tr(
                "The card {family} cannot leave the shop without its sources: {names}.",
                family=card.family,
                names=", ".join(without),
            ),
            tr("Write on the card page where they come from, save, and export it again."),
        )
    document = {
        "format": FORMAT,
        "version": VERSION,
        "family": card.family,
        "revision": card.revision,
        "made_at": made_at.astimezone(UTC).isoformat(timespec="seconds"),
        "limits": {key: _limit_out(limit) for key, limit in card.limits.items()},
        "facts": {key: _fact_out(fact) for key, fact in card.facts.items()},
    }
    return json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _limit_out(limit: Limit) -> dict[str, Any]:
    sides = {"low": (limit.low_text, limit.low), "high": (limit.high_text, limit.high)}
    out: dict[str, Any] = {
        name: {"typed": text, "value": value} for name, (text, value) in sides.items() if value is not None
    }
    unit = _unit(LIMIT, limit.key)
    return out | ({} if unit is None else {"unit": unit}) | {"source": limit.source}


def _fact_out(fact: CardFact) -> dict[str, Any]:
    out: dict[str, Any] = {"typed": fact_text(fact)}
    unit = _unit(FACT, fact.key)
    if fact.value is not None and unit is not None:
        out |= {"value": fact.value, "unit": unit}
    return out | ({"source": fact.source} if fact.source else {})


def _unit(what: str, key: str) -> str | None:
    """Return the label of the canonical unit of a limit or fact, None where it has none."""
    spec = (LIMITS_BY_KEY if what == LIMIT else FACTS_BY_KEY).get(key)
    kind = KINDS.get(spec.kind) if spec is not None else None
    return kind.canonical.label if kind is not None and kind.is_number else None


# -- in ----------------------------------------------------------------------------------------------------------------


def read_file(path: Path) -> CardTyped:
    """Read a spec card from a file; see `read`.

    Raises
    ------
    InputError
        It cannot be read, or is no spec card.
    """
    try:
        # A device has no end, a pipe keeps one waiting.
        if not path.is_file():
            raise InputError(tr("There is no file {path}.", path=path), tr("Check how it is written."))
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except OSError as error:
        raise InputError(
            tr("The file {path} cannot be read: {reason}.", path=path, reason=error.strerror or error),
            tr("Check its drive and who may read it."),
        ) from error
    return read(data, path.name)


def read(data: bytes, name: str) -> CardTyped:
    """Read a spec card, by the same rules as one that is typed.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        What it is called, for the sentences.

    Raises
    ------
    InputError
        It is no spec card, of another version, not of the documented shape, gives a limit or fact that cannot be, or
        a value that disagrees with what is typed beside it.
    """
    document = _json(data, name)
    _need_ours(document, name)
    _need_shape(document, name)
    unknown = _unknown(document)
    if unknown:
        raise _unusable(name, unknown, tr("this program knows no such limit or fact"))
    limits = {key: _limit_in(limit) for key, limit in document["limits"].items()}
    facts = {key: fact["typed"] for key, fact in document["facts"].items()}
    sources = {key: fact.get("source", "") for key, fact in document["facts"].items()}
    read_limits, read_facts, refused = read_card(limits, facts, sources)
    problems = [*_family_refused(document["family"]), *refused.items()]
    if problems:
        raise _refused(name, *problems[0], len(problems) - 1)
    card = SpecCard(
        0,
        parse("text", document["family"]).text,
        0,
        {limit.key: limit for limit in read_limits},
        {fact.key: fact for fact in read_facts},
    )
    _need_agreement(document, card, name)
    return CardTyped(card.family, limits, facts, sources, card)


def _limit_in(limit: Mapping[str, Any]) -> LimitText:
    return LimitText(limit.get("low", {}).get("typed", ""), limit.get("high", {}).get("typed", ""), limit["source"])


def _json(data: bytes, name: str) -> Any:
    if len(data) > LARGEST_FILE:
        raise InputError(
            tr("{name} is too large for a spec card.", name=printable(name)),
            tr("A spec card has less than {most} bytes.", most=LARGEST_FILE),
        )
    try:
        return loaded(data.removeprefix(_BOM))
    except RecursionError:
        why = tr("it is nested too deeply")
    except NotTakenError as error:
        why = tr("it holds {what}, which cannot be taken", what=printable(str(error)))
    except ValueError:
        why = tr("it cannot be read as JSON")
    raise _unusable(name, "", why)


def _need_ours(document: Any, name: str) -> None:
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise _unusable(name, "", tr("it does not say that it is one"))
    if document.get("version") != VERSION or isinstance(document["version"], bool):
        raise InputError(
            tr("{name} is a spec card of another version of the format.", name=printable(name)),
            tr("Ask for one of version {version}, or install the newer program.", version=VERSION),
        )


def _need_shape(document: Any, name: str) -> None:
    error = next(_validator().iter_errors(document), None)
    if error is not None:
        why = _WORDS.get(error.validator)
        place = " / ".join(printable(str(step)) for step in error.absolute_path)
        raise _unusable(name, place, tr(why) if why else tr("it is not as the schema says"))


@cache
def _validator() -> Any:
    # Loading the library takes longer than opening the window; few do this.
    from jsonschema import Draft202012Validator

    return Draft202012Validator(schema())


def schema() -> Any:
    """Return the JSON Schema of the file."""
    return json.loads(files("assets").joinpath("schema", "spec-card.schema.json").read_text(encoding="utf-8"))


def _unknown(document: Mapping[str, Any]) -> str:
    for what, known in (("limits", LIMITS_BY_KEY), ("facts", FACTS_BY_KEY)):
        for key in document[what]:
            if key not in known:
                return f"{what} / {printable(key)}"
    return ""


def _family_refused(family: str) -> Iterator[tuple[str, UserError]]:
    try:
        parse("text", family)
    except UserError as error:
        yield "family", error


def _refused(name: str, key: str, error: UserError, more: int) -> InputError:
    """Return the sentence a form would have said, with the place it is about."""
    label = label_of(LIMIT if key in LIMITS_BY_KEY else FACT, key)
    also = tr("{count} more are to be put right.", count=more) if more > 0 else ""
    return InputError(
        tr("{name}, {place}: {sentence}", name=printable(name), place=label, sentence=error.message),
        f"{error.remedy} {also}".strip(),
    )


def _unusable(name: str, place: str, why: str) -> InputError:
    where = f"{printable(name)}, {place}" if place else printable(name)
    return InputError(
        tr("{where}: this is no spec card that can be taken: {why}.", where=where, why=why),
        tr("Put the file right, or ask for it again; nothing was written."),
    )


# -- do value and text agree? ------------------------------------------------------------------------------------------


def _need_agreement(document: Mapping[str, Any], card: SpecCard, name: str) -> None:
    for key, limit in card.limits.items():
        given = document["limits"][key]
        for side, value in (("low", limit.low), ("high", limit.high)):
            _need_equal(name, LIMIT, key, given.get(side, {}), given.get("unit"), value)
    for key, fact in card.facts.items():
        given = document["facts"][key]
        _need_equal(name, FACT, key, given, given.get("unit"), fact.value)


def _need_equal(
    name: str, what: str, key: str, given: Mapping[str, Any], unit: str | None, value: float | None
) -> None:
    if "value" not in given:
        return
    told, wanted = given["value"], _unit(what, key)
    if wanted is None or value is None:
        raise _unusable(name, key, tr("it has no number, so no value can stand beside it"))
    if unit != wanted:
        raise InputError(
            tr(
                "{name}, {place}: the value is in “{unit}”, but its canonical unit is “{wanted}”.",
                name=printable(name),
                place=label_of(what, key),
                unit=unit or "",
                wanted=wanted,
            ),
            tr("Give it in that unit, or leave the value out: what is typed is enough."),
        )
    if not math.isclose(told, value, rel_tol=_SHARE, abs_tol=1e-12):
        raise InputError(
            tr(
                "{name}, {place}: {typed} is typed, but the value says {told:g} {unit} and not {value:g}.",
                name=printable(name),
                place=label_of(what, key),
                typed=printable(given["typed"]),
                told=told,
                unit=wanted,
                value=value,
            ),
            tr("Put right what is typed, or leave the value out: what is typed is enough."),
        )
