"""A job on paper: the rules of the trade tried without a logbook."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from importlib.resources import files
from typing import Any

import pytest

from core.facts import CardFact, Gauge, Job, Limit, Reading, ShopRules, SpecCard
from core.quantities import Amount
from core.shop_inputs import LimitText, read_card
from core.stages import evaluate_job, stage, take
from core.stages.context import Context
from core.stages.prints import followers
from core.stages.state import JobState, StageState

MORNING = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


@cache
def demo_cards() -> dict[str, SpecCard]:
    """Return the demo's spec cards by family."""
    told = json.loads(files("assets").joinpath("demo", "spec_cards.json").read_text(encoding="utf-8"))
    return {card["family"]: card_of(card["family"], card["limits"], card["facts"]) for card in told}


def card_of(family: str, limits: Mapping[str, Mapping[str, str]], facts: Mapping[str, str]) -> SpecCard:
    """Return a spec card from what is typed."""
    texts = {key: LimitText(**text) for key, text in limits.items()}
    read_limits, read_facts, refused = read_card(texts, facts)
    assert not refused
    return SpecCard(1, family, 1, {x.key: x for x in read_limits}, {x.key: x for x in read_facts})


@cache
def demo_courses() -> dict[str, list[Any]]:
    """Return how the demo's jobs go, by family of casing."""
    told = json.loads(files("assets").joinpath("demo", "jobs.json").read_text(encoding="utf-8"))
    return dict(told["courses"])


@dataclass
class PaperJob:
    """One job and what was written about it; every reading passes the gate that guards the logbook."""

    job: Job
    gauges: dict[int, Gauge] = field(default_factory=dict)
    readings: list[Reading] = field(default_factory=list)
    rules: ShopRules = field(default_factory=ShopRules)

    @property
    def context(self) -> Context:
        """Return the job with its readings."""
        return Context(self.job, tuple(self.readings), self.gauges, self.rules)

    def state(self, **open_trials: int) -> JobState:
        """Return the job, judged."""
        return evaluate_job(self.context, open_trials)

    def stage(self, key: str, open_trial: int = 0) -> StageState:
        """Return one stage, judged."""
        return self.state(**{key: open_trial}).stage(key)

    def read(
        self, stage_key: str, entry_key: str, text: str, position: str = "", trial: int = 0, gauge: int | None = None
    ) -> Amount:
        """Take a reading as typed; nothing is kept where it is refused."""
        declared = stage(stage_key)
        entry = declared.entry(entry_key)
        amount = take(self.context, declared, entry, entry.position(position), trial, text)
        also = followers(self.context, declared, entry, trial, amount)
        self._keep(stage_key, entry_key, position, trial, amount, gauge)
        for key, said in also:
            follower = declared.entry(key)
            told = take(self.context, declared, follower, follower.position(""), trial, said) if said else None
            self._keep(stage_key, key, "", trial, told or Amount(follower.kind, None, "", ""), None)
        return amount

    def withdraw(self, stage_key: str, entry_key: str, position: str = "", trial: int = 0) -> None:
        """Take a reading back."""
        kind = stage(stage_key).entry(entry_key).kind
        self._keep(stage_key, entry_key, position, trial, Amount(kind, None, "", ""), None)

    def _keep(self, stage_key: str, entry: str, position: str, trial: int, amount: Amount, gauge: int | None) -> None:
        before = [
            r for r in self.readings if (r.stage, r.entry, r.position, r.trial) == (stage_key, entry, position, trial)
        ]
        number = len(self.readings) + 1
        self.readings.append(
            Reading(
                id=number,
                job_id=self.job.id,
                stage=stage_key,
                entry=entry,
                position=position,
                trial=trial,
                value=amount.value,
                text=amount.text,
                unit=amount.unit,
                gauge_id=gauge,
                person="Tam Ollerby",
                taken_at=MORNING + timedelta(minutes=number),
                replaces=before[-1].id if before else None,
            )
        )

    def read_all(
        self, stage_key: str, entry_key: str, texts: Iterable[str], trial: int = 0, gauge: int | None = None
    ) -> None:
        """Take readings at an entry's places, in order."""
        places = stage(stage_key).entry(entry_key).positions
        for place, text in zip(places, texts, strict=False):
            self.read(stage_key, entry_key, text, place.key, trial, gauge)

    def tell(self, course: str = "orrin", upto: str = "fill", drop: Iterable[str] = ()) -> PaperJob:
        """Tell the demo's course of a job up to and with a stage; `drop` names stage/entry or stage/entry/trial."""
        order = ["teardown", "housing_prep", "preload", "backlash", "contact_pattern", "fill"]
        for block in demo_courses()[course]:
            if order.index(block["stage"]) > order.index(upto):
                break
            for key, typed in block["read"].items():
                trial = block.get("trial", 0)
                place = f"{block['stage']}/{key}" + (f"/{trial}" if trial else "")
                if place not in drop and stage(block["stage"]).entry(key).applies(self.job):
                    self.read_all(block["stage"], key, typed if isinstance(typed, list) else [typed], trial)
        return self

    def preload(self, one: str = "2.52", other: str = "2.53", torque: str = "0.60", trial: int = 1) -> PaperJob:
        """Tell a preload trial and accept it, with what comes before the first."""
        for key in ("pairs_kept", "out_of_mesh"):
            self.read("preload", key, "yes")
        self.preload_trial(one, other, torque, torque, trial)
        self.read("preload", "accepted", "yes", trial=trial)
        return self

    def preload_trial(self, one: str, other: str, forward: str, back: str, trial: int) -> None:
        """Tell a preload trial without accepting it."""
        nut = "nut_" if self.job.card.text("setting_method") == "adjuster_nuts" else ""
        for key, text in ((f"{nut}ring_gear_side", one), (f"{nut}opposite_side", other)):
            self.read("preload", key, text, trial=trial)
        for key, text in (("torque_forward", forward), ("torque_back", back)):
            self.read("preload", key, text, trial=trial)

    def bolt_on(self) -> PaperJob:
        """Tell how the ring gear was bolted on."""
        for key, text in (("thread_locker", "yes"), ("bolt_steps", "3"), ("bolt_setting", "150"), ("runout", "0.02")):
            self.read("backlash", key, text)
        return self

    def backlash_trial(self, one: str, other: str, texts: str | Iterable[str], trial: int = 1) -> None:
        """Tell a backlash trial without accepting it; one text stands for all eight places."""
        nut = "nut_" if self.job.card.text("setting_method") == "adjuster_nuts" else ""
        self.read("backlash", f"{nut}ring_gear_side", one, trial=trial)
        self.read("backlash", f"{nut}opposite_side", other, trial=trial)
        self.read_all("backlash", "backlash", [texts] * 8 if isinstance(texts, str) else texts, trial)


@pytest.fixture
def paper() -> Callable[..., PaperJob]:
    """Return a maker of jobs on paper.

    Each takes the casing family, and changes to its card: a limit or fact given as None is not on the card.
    """

    def make(
        family: str = "Orrin B",
        *,
        is_limited_slip: bool = True,
        limits: Mapping[str, Limit | None] | None = None,
        facts: Mapping[str, CardFact | None] | None = None,
        gauges: Iterable[Gauge] = (),
        **job_fields: Any,
    ) -> PaperJob:
        card = demo_cards()[family]
        card = replace(
            card,
            limits={k: v for k, v in {**card.limits, **(limits or {})}.items() if v is not None},
            facts={k: v for k, v in {**card.facts, **(facts or {})}.items() if v is not None},
        )
        teeth = {"Orrin B": (43, 11), "Kelda 3": (41, 11), "Vask T": (37, 9)}[family]
        told: dict[str, Any] = {
            "id": 1,
            "number": "2407",
            "serial": "K-1183",
            "customer": "Brackwater Hill-climb Club",
            "vehicle": "hill-climb special, rear axle",
            "asked_for": "",
            "ring_gear_teeth": teeth[0],
            "pinion_teeth": teeth[1],
            "tag_ratio": None,
            "is_limited_slip": is_limited_slip,
            "card": card,
            "opened_at": MORNING,
            "opened_by": "Tam Ollerby",
        }
        return PaperJob(Job(**{**told, **job_fields}), {gauge.id: gauge for gauge in gauges})

    return make
