"""``pinionbook advise``: what to try next on a job, in text or as JSON."""

from __future__ import annotations

import argparse
import json
import shutil
import textwrap
from collections.abc import Iterator
from typing import Any

from core.advice import Advice
from core.advice.answer import Again, Offer
from core.errors import InputError, RuleError
from core.facts import Job
from core.language import tr
from core.mechanics.rings import RingPair
from core.overview import stand_of, stand_words
from core.records import open_logbook
from core.stages import stage
from core.stages.context import Context
from core.workshop import Workshop
from core.workshop.advising import ADVISED
from core.workshop.fitting import next_trial

DONE = 0
WIDEST = 100
"""So many characters wide a line is at most: longer ones are hard to read."""


def add_to(commands: Any) -> None:
    """Add the command to the command line."""
    advise = commands.add_parser("advise", help=tr("say what to try next on a job, with the chance stated"))
    advise.add_argument("job", metavar="JOB", help=tr("job number"))
    advise.add_argument(
        "--stage",
        metavar="STAGE",
        help=tr("{stages}; without it, the stage the job stands in", stages=tr(" or ").join(ADVISED)),
    )
    advise.add_argument("--json", action="store_true", help=tr("print it as JSON, numbers in the unit of their key"))
    advise.set_defaults(command=run)


def run(options: argparse.Namespace) -> int:
    """Print what to try next on a job, or why there is nothing to say yet."""
    with open_logbook(options.logbook) as logbook:
        workshop = Workshop(logbook)
        job = workshop.job(options.job)
        if job.signed_at is not None:
            raise RuleError(
                tr("Job {number} is signed, so there is nothing left to try.", number=job.number),
                tr("Reopen it, if something is to be changed."),
            )
        state = workshop.state(job.id)
        stage_key = _stage_of(options.stage, job, stand_of(state))
        advice = workshop.advice(job.id, stage_key)
        silence = workshop.why_silent(job.id, stage_key) if advice is None else ""
    if options.json:
        print(json.dumps(as_json(state.context, stage_key, advice, silence), ensure_ascii=False, indent=1))
    else:
        print("\n".join(as_text(job, stage_key, advice, silence)))
    return DONE


def _stage_of(typed: str | None, job: Job, stands_in: str) -> str:
    """Return the stage that was asked for, or the one the job stands in."""
    choose = tr("Choose one of them: --stage {stages}.", stages=tr(" or --stage ").join(ADVISED))
    if typed is None:
        if stands_in in ADVISED:
            return stands_in
        message = tr(
            "Job {number} stands elsewhere ({stage}); pairs are advised at preload and at backlash.",
            number=job.number,
            stage=stand_words(stands_in),
        )
        raise InputError(message, choose)
    if typed not in ADVISED:
        raise InputError(tr("There is no advice at {stage}.", stage=typed[:40]), choose)
    return typed


# --- text ------------------------------------------------------------------------------------------------------------


def as_text(job: Job, stage_key: str, advice: Advice | None, silence: str) -> Iterator[str]:
    """Yield the answer line by line, as wide as the terminal: title, what to do, why, and what else is to be said."""
    width = min(shutil.get_terminal_size().columns, WIDEST)
    yield from textwrap.wrap(
        tr("Job {number}, unit {serial}: {stage}", number=job.number, serial=job.serial, stage=_label(stage_key)), width
    )
    paragraphs = [silence] if advice is None else [advice.title, advice.text, advice.why, *advice.notes]
    for paragraph in paragraphs:
        if paragraph:
            yield ""
            yield from textwrap.wrap(paragraph, width, break_long_words=False, break_on_hyphens=False)


def _label(stage_key: str) -> str:
    return tr(stage(stage_key).label)


# --- JSON ------------------------------------------------------------------------------------------------------------


def as_json(context: Context, stage_key: str, advice: Advice | None, silence: str) -> dict[str, object]:
    """Return the answer for other programs: keys stay as they are and carry the unit of their number."""
    told: dict[str, object] = {
        "job": context.job.number,
        "stage": stage_key,
        "trial": next_trial(context, stage_key),
        "silent_because": silence,
    }
    said = advice or Advice("", "")
    return told | {
        "title": said.title,
        "text": said.text,
        "why": said.why,
        "notes": list(said.notes),
        "wanted": _pair(said.wanted),
        "offer": _offer(said.offer, stage_key),
        "next_best": _offer(said.runner_up, stage_key),
        "chance_in_two_trials": None if said.chance_in_two is None else round(said.chance_in_two, 4),
        "read_again": _again(said.again),
    }


def _pair(pair: RingPair | None) -> dict[str, float] | None:
    if pair is None:
        return None
    return {
        "ring_gear_side_mm": round(pair.ring_gear_side_mm, 4),
        "opposite_side_mm": round(pair.opposite_side_mm, 4),
        "sum_mm": round(pair.sum_mm, 4),
    }


def _offer(offer: Offer | None, stage_key: str) -> dict[str, object] | None:
    if offer is None:
        return None
    unit = "n_m" if stage_key == ADVISED[0] else "mm"
    parts, notches = offer.parts, offer.notches
    return {
        **(_pair(offer.pair) or {}),
        "ring_gear_side_place": parts[0].place if parts else None,
        "opposite_side_place": parts[1].place if parts else None,
        "ring_gear_side_notches": notches[0] if notches else None,
        "opposite_side_notches": notches[1] if notches else None,
        "chance": round(offer.chance, 4),
        f"expected_{unit}": round(offer.expected, 4),
        f"low_{unit}": round(offer.low, 4),
        f"high_{unit}": round(offer.high, 4),
        "sides_changed": offer.changed,
    }


def _again(again: Again | None) -> dict[str, object] | None:
    return None if again is None else {"trial": again.trial, "entry": again.entry, "position": again.position}
