"""Spec cards out to another shop and in from one: the same card, or a sentence."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from told import demo_data

from core import card_file
from core.card_file import LARGEST_FILE, read, read_file, schema, unsourced, written
from core.errors import InputError, RuleError
from core.facts import CardFact, Limit, SpecCard
from core.quantities import KINDS
from core.shop_inputs import LimitText, read_card
from core.stages.card import FACT_SPECS, LIMIT_SPECS

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
Document = dict[str, Any]


def card_of(told: dict[str, Any], source: str = "shop measurement") -> SpecCard:
    limits = {key: LimitText(**text) for key, text in told["limits"].items()}
    read_limits, read_facts, refused = read_card(limits, told["facts"], dict.fromkeys(told["facts"], source))
    assert not refused
    return SpecCard(1, told["family"], 3, {one.key: one for one in read_limits}, {one.key: one for one in read_facts})


DEMO = [card_of(told) for told in demo_data("spec_cards")]


@pytest.fixture
def document() -> Document:
    made: Document = json.loads(written(DEMO[0], NOW))
    return made


def taken(document: Any) -> card_file.CardTyped:
    return read(json.dumps(document).encode(), "card.json")


def refusal(document: Any) -> str:
    data = document if isinstance(document, bytes) else json.dumps(document).encode()
    with pytest.raises(InputError) as caught:
        read(data, "card.json")
    assert caught.value.message.endswith(".")
    assert caught.value.remedy.endswith(".")
    assert len(str(caught.value)) < 600
    return str(caught.value)


# -- there and back ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("card", DEMO, ids=[card.family for card in DEMO])
def test_a_card_comes_back_as_it_left(card: SpecCard) -> None:
    document = json.loads(written(card, NOW))
    Draft202012Validator(schema()).validate(document)
    again = taken(document).card
    assert again.family == card.family
    assert dict(again.limits) == dict(card.limits)
    assert {key: (fact.value, fact.source) for key, fact in again.facts.items()} == {
        key: (fact.value, fact.source) for key, fact in card.facts.items()
    }
    assert written(SpecCard(1, again.family, 3, again.limits, again.facts), NOW) == written(card, NOW)


def test_the_schema_is_one_and_knows_every_unit_a_card_can_have() -> None:
    Draft202012Validator.check_schema(schema())
    units = set(schema()["$defs"]["unit"]["enum"])
    for spec in (*LIMIT_SPECS, *FACT_SPECS):
        if KINDS[spec.kind].is_number:
            assert KINDS[spec.kind].canonical.label in units


def test_a_file_says_what_it_is_in_units_and_words(document: Document) -> None:
    assert (document["format"], document["version"]) == ("pinionbook spec card", 1)
    assert document["limits"]["backlash"] == {
        "low": {"typed": "0.06 mm", "value": 0.06},
        "high": {"typed": "0.10 mm", "value": 0.1},
        "unit": "mm",
        "source": "common practice",
    }
    assert document["facts"]["ring_gear_side"] == {"typed": "left", "source": "shop measurement"}
    assert document["facts"]["face_width"]["value"] == 30.0
    assert document["made_at"] == "2026-03-02T08:00:00+00:00"


def test_a_file_written_by_hand_needs_only_what_is_typed() -> None:
    typed = taken(
        {
            "format": "pinionbook spec card",
            "version": 1,
            "family": "  Tollen   2 ",
            "limits": {"backlash": {"high": {"typed": ".004 in"}, "source": "manual"}},
            "facts": {
                "ring_gear_side": {"typed": "left"},
                "setting_method": {"typed": "outboard_rings"},
                "face_width": {"typed": "1.2 in", "source": "measured"},
            },
        }
    )
    assert typed.card.limits["backlash"] == Limit("backlash", None, 0.1016, "", ".004 in", "in", "manual")
    assert typed.card.facts["face_width"] == CardFact("face_width", 30.48, "1.2 in", "in", "measured")


def test_notes_of_another_system_may_begin_with_their_mark(document: Document) -> None:
    assert read(b"\xef\xbb\xbf" + json.dumps(document).encode(), "card.json").family == "Orrin B"


# -- sources -----------------------------------------------------------------------------------------------------------


def test_a_card_cannot_leave_without_its_sources_and_every_gap_is_named() -> None:
    card = SpecCard(
        1,
        "Orrin B",
        1,
        {"backlash": Limit("backlash", None, 0.1, "", "0.1 mm", "mm", " ")},
        {
            "face_width": CardFact("face_width", 30.0, "30 mm", "mm"),
            "bolt": CardFact("bolt", None, "M12", "", "manual"),
            "note": CardFact("note", None, "mind the seal"),
        },
    )
    assert unsourced(card) == ["Backlash", "Face width"]
    with pytest.raises(RuleError, match=r"without its sources: Backlash, Face width\."):
        written(card, NOW)


# -- what cannot be taken ----------------------------------------------------------------------------------------------


def put(*path: str, value: Any) -> Callable[[Document], None]:
    def change(document: Document) -> None:
        place = document
        for step in path[:-1]:
            place = place[step]
        place[path[-1]] = value

    return change


WRONG: dict[str, tuple[Callable[[Document], None], str]] = {
    "another version": (put("version", value=2), "another version"),
    "a version that is none": (put("version", value=True), "another version"),
    "another format": (put("format", value="parts list"), "does not say that it is one"),
    "no family": (lambda d: d.pop("family"), "something is missing"),
    "an empty family": (put("family", value=""), "it is empty"),
    "a blank family": (put("family", value="  "), "Nothing was typed"),
    "a family of half signs": (put("family", value="\ud800"), "control character"),
    "a family too long": (put("family", value="x" * 201), "too long"),
    "something else": (put("colour", value="red"), "does not belong there"),
    "limits as a list": (put("limits", value=[]), "wrong type"),
    "a limit as a text": (put("limits", "backlash", value="0.1 mm"), "limits / backlash"),
    "a limit of no side": (put("limits", "backlash", value={"source": "x"}), "neither low nor high"),
    "a limit without a source": (lambda d: d["limits"]["backlash"].pop("source"), "something is missing"),
    "a blank source": (put("limits", "backlash", "source", value=" "), "Backlash has no source"),
    "a limit nobody knows": (put("limits", "wobble", value={"high": {"typed": "1"}, "source": "x"}), "limits / wobble"),
    "a fact nobody knows": (put("facts", "hue", value={"typed": "1"}), "facts / hue"),
    "upside down": (put("limits", "backlash", "low", value={"typed": "0.2 mm"}), "above the high limit"),
    "another kind of quantity": (put("limits", "backlash", "low", value={"typed": "0.2 Nm"}), "is asked for"),
    "a limit below nothing": (put("limits", "backlash", "low", value={"typed": "-0.2 mm"}), "less than nothing"),
    "typed as a number": (put("limits", "backlash", "low", "typed", value=0.06), "wrong type"),
    "no answer of the choice": (put("facts", "ring_gear_side", "typed", value="port"), "not one of the answers"),
    "a needed fact missing": (lambda d: d["facts"].pop("setting_method"), "is missing"),
    "a value that disagrees": (put("limits", "backlash", "low", "value", value=0.07), "0.06 mm is typed, but"),
    "a fact that disagrees": (put("facts", "face_width", "value", value=31), "30 mm is typed, but"),
    "a value in inches": (put("limits", "backlash", "unit", value="in"), "none of the choices"),
    "a value in another unit": (put("limits", "backlash", "unit", value="N·m"), "its canonical unit is"),
    "a value without its unit": (lambda d: d["limits"]["backlash"].pop("unit"), "its canonical unit is"),
    "a fact's value without unit": (lambda d: d["facts"]["face_width"].pop("unit"), "no unit beside it"),
    "a value of words": (lambda d: d["facts"]["bolt"].update(value=1, unit="mm"), "it has no number"),
    "a value that is yes": (put("limits", "backlash", "low", "value", value=True), "wrong type"),
    "facts at odds": (put("facts", "ring_smallest", value={"typed": "3 mm"}), "thinner than the thinnest"),
    "too many limits": (lambda d: d["limits"].update({f"k{n}": {} for n in range(600)}), "limits"),
}


@pytest.mark.parametrize(("change", "sentence"), WRONG.values(), ids=WRONG)
def test_what_is_wrong_is_a_sentence(document: Document, change: Callable[[Document], object], sentence: str) -> None:
    change(document)
    assert sentence in refusal(document)


def test_more_than_one_thing_wrong_is_counted(document: Document) -> None:
    document["limits"]["backlash"]["low"] = {"typed": "0.2 Nm"}
    document["facts"]["ring_gear_side"] = {"typed": "port"}
    document["facts"]["face_width"] = {"typed": "wide"}
    assert "2 more are to be put right" in refusal(document)


HOSTILE: dict[str, bytes] = {
    "empty": b"",
    "no JSON": b"milk, bread",
    "a list": b"[]",
    "a number": b"1",
    "nothing": b"null",
    "cut off": b'{"format": "pinionbook spec card", "version": 1, "fam',
    "not in UTF-8": b'{"family": "\xff"}',
    "in UTF-16": '{"family": "x"}'.encode("utf-16"),
    "no number": b'{"format": "pinionbook spec card", "version": NaN}',
    "without end": b'{"format": "pinionbook spec card", "version": 1e999}',
    "a number of many digits": b'{"version": ' + b"1" * 100_000 + b"}",
    "a key twice": b'{"format": "pinionbook spec card", "version": 1, "version": 1}',
    "deep lists": b"[" * 200_000,
    "deep lists, closed": b"[" * 100_000 + b"]" * 100_000,
    "deep objects": b'{"a":' * 100_000 + b"1" + b"}" * 100_000,
    "large": b" " * (LARGEST_FILE + 1),
    "a key of a megabyte": b'{"' + b"k" * 900_000 + b'": 1, "' + b"k" * 90_000 + b'": 1}',
    "many keys": b"{" + b",".join(b'"%d":1' % n for n in range(60_000)) + b"}",
    "signs that steer": b'{"format": "pinionbook spec card", "\\u202e\\u0000": 1, "version": 1}',
}


@pytest.mark.parametrize("data", HOSTILE.values(), ids=HOSTILE)
def test_whatever_comes_ends_in_a_sentence(data: bytes) -> None:
    told = refusal(data)
    assert all(character.isprintable() for character in told)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=8,
)
PLACES = [
    ("family",), ("limits",), ("facts",), ("revision",), ("made_at",), ("limits", "backlash"), ("limits", "new"),
    ("limits", "backlash", "low"), ("limits", "backlash", "low", "typed"), ("limits", "backlash", "high", "value"),
    ("limits", "backlash", "source"), ("facts", "face_width"), ("facts", "face_width", "typed"),
    ("facts", "note"), ("facts", "face_width", "unit"),
]  # fmt: skip


@given(st.sampled_from(PLACES), JSON)
def test_anything_anywhere_is_taken_or_a_sentence(path: tuple[str, ...], value: Any) -> None:
    document = copy.deepcopy(DOCUMENT)
    put(*path, value=value)(document)
    try:
        read(json.dumps(document).encode(), "card.json")
    except InputError as error:
        assert error.message and error.remedy


DOCUMENT: Document = json.loads(written(DEMO[0], NOW))


@given(st.binary(max_size=200))
def test_any_bytes_are_a_sentence(data: bytes) -> None:
    with pytest.raises(InputError):
        read(data, "card.json")


# -- files -------------------------------------------------------------------------------------------------------------


def test_a_file_that_cannot_be_read_is_a_sentence(tmp_path: Path) -> None:
    for path in (tmp_path / "gone.json", tmp_path, Path("/dev/zero")):
        with pytest.raises(InputError, match="There is no file"):
            read_file(path)
    (tmp_path / "card.json").write_text(written(DEMO[0], NOW), encoding="utf-8")
    assert read_file(tmp_path / "card.json").family == "Orrin B"


def test_only_so_much_of_a_large_file_is_read(tmp_path: Path) -> None:
    with (tmp_path / "large.json").open("wb") as file:
        file.truncate(50_000_000_000)
    with pytest.raises(InputError, match="too large"):
        read_file(tmp_path / "large.json")
