"""Every word of the build sheet passes the one translation function: in a made-up language only data are left."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from core import language
from core.facts import SOURCE_WORDS, Shop
from core.quantities import KINDS

SHOP = Shop("Ferrow Lane Driveline", "3 Ferrow Lane\nAldmoor Cross", "metric")
SAID = re.compile(r"‹[^‹›]*›")
FINGERPRINT = re.compile(r"(?:[0-9a-f]{4} ){15}[0-9a-f]{4}")
WORD = re.compile(r"[^\W\d_]{2,}")


@pytest.fixture(autouse=True)
def made_up_language() -> Iterator[None]:
    language.use_translation(lambda text: f"‹{text}›")
    yield
    language.use_translation(None)


def left_over(words: str) -> set[str]:
    """Return the words that stand outside every translated text; a sentence may carry another inside."""
    words = FINGERPRINT.sub(" ", words)
    while SAID.search(words):
        words = SAID.sub(" ", words)
    return set(WORD.findall(words))


def data_words(bench: Any) -> set[str]:
    """Return what was typed by somebody, and the units: they are printed as they are."""
    job = bench.job
    texts = [SHOP.name, SHOP.address, job.serial, job.customer, job.contact, job.vehicle, job.asked_for, job.signed_by]
    texts += [limit.source for limit in job.card.limits.values()]
    texts += [gauge.name for gauge in bench.gauges.values()]
    texts += [part for reading in bench.readings for part in (reading.text, reading.person)]
    texts += [unit.label for kind in KINDS.values() for unit in kind.units]
    return set(WORD.findall(" ".join(texts)))


@pytest.mark.parametrize("copy", ["shop", "customer"])
@pytest.mark.parametrize("source", SOURCE_WORDS)
def test_no_word_escapes_however_a_reading_came_in(told: Any, printed: Any, read: Any, copy: str, source: str) -> None:
    told.readings[:] = [replace(reading, source=source) for reading in told.readings]
    words = read(printed(told.state, copy=copy, shop=SHOP))
    assert left_over(words) - data_words(told) == set()
    assert (f" · ‹{SOURCE_WORDS[source]}›" in words) == (copy == "shop" and source != "typed")


def test_what_another_program_calls_its_own_way_is_printed_as_it_says(told: Any, printed: Any, read: Any) -> None:
    told.readings[:] = [replace(reading, source="wedge") for reading in told.readings]
    assert " · ‹wedge›" in read(printed(told.state))
