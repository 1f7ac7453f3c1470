"""What every answer of the advice has to be, whatever the job."""

from __future__ import annotations

import math
import re
from dataclasses import fields, is_dataclass
from typing import Any

from core.advice import Advice


def numbers_in(told: Any) -> list[float]:
    """Return every number an answer carries, however deep."""
    if is_dataclass(told):
        return [n for one in fields(told) for n in numbers_in(getattr(told, one.name))]
    if isinstance(told, (tuple, list)):
        return [n for one in told for n in numbers_in(one)]
    return [float(told)] if isinstance(told, (int, float)) else []


def check_answer(said: Advice | None) -> None:
    """Assert that an answer can be shown."""
    if said is None:
        return
    assert said.title
    assert said.text
    words = " ".join((said.title, said.text, said.why, *said.notes))
    assert not re.search(r"\bnan\b|\binf\b|\bNone\b|[{}]", words), words
    assert all(0 <= int(share) <= 100 for share in re.findall(r"(-?\d+) %", words)), words
    assert all(math.isfinite(number) for number in numbers_in(said)), said
    for offer in (said.offer, said.runner_up):
        if offer is not None:
            assert 0.0 <= offer.chance <= 1.0
            assert 0.0 <= offer.low <= offer.expected <= offer.high
    if said.offer is not None:
        assert said.chance_in_two is not None
        assert said.offer.chance - 0.02 <= said.chance_in_two <= 1.0
    if said.picture is not None:
        for point in said.picture.band:
            assert 0.0 <= point.low <= point.middle <= point.high
