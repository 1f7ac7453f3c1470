"""Contact pattern: marking compound read on the drive and the coast side."""

from __future__ import annotations

from core.language import mark
from core.stages.aids import ETCHED_DERIVED, etched_entries
from core.stages.conditions import MAKER_FIRST, NIP, SOLVENT, note
from core.stages.context import Context
from core.stages.entry import LEFT_AS, Choice, Entry, Stage
from core.stages.preload import ACCEPT, accept_entry
from core.stages.shared import pattern_entries

KEY = "contact_pattern"

_MARKING = mark("Marking")
_TRIAL = mark("Trial")

CENTRES = ("drive_along", "drive_depth", "coast_along", "coast_depth")

PINION_SHIMS = ("pinion_shim", "second_pinion_shim")
"""What the pinion sits on: one shim, or two on each other."""

ENTRIES: tuple[Entry, ...] = (
    Entry(
        "compound",
        mark("Compound"),
        "text",
        needed=0,
        help=mark("Write down the compound and its colour."),
        group=_MARKING,
    ),
    Entry(
        "drag",
        mark("Drag on the flange while marking"),
        "choice",
        choices=(Choice("none", mark("none")), Choice("light", mark("light")), Choice("firm", mark("firm"))),
        help=mark("Brush compound on several teeth, hold a light drag on the flange and turn both ways."),
        group=_MARKING,
    ),
    *etched_entries(_MARKING),
    *pattern_entries("", _TRIAL, LEFT_AS, is_trial=True),
    Entry(
        "pinion_shim",
        mark("Pinion shim"),
        "length",
        "mm",
        needed=0,
        gauge="micrometer",
        lowest=0.0,
        highest=20.0,
        is_trial=True,
        help=mark("If the pinion was moved, measure the shim it now has."),
        group=_TRIAL,
    ),
    Entry(
        "second_pinion_shim",
        mark("Second pinion shim"),
        "length",
        "mm",
        needed=0,
        gauge="micrometer",
        lowest=0.0,
        highest=20.0,
        is_trial=True,
        help=mark("Only where two shims lie on each other, measured one by one; measured together they are one."),
        group=_TRIAL,
    ),
    Entry(
        "backlash_now",
        mark("Mean backlash with this setting"),
        "length",
        "mm",
        needed=0,
        gauge="dial",
        lowest=0.0,
        highest=3.0,
        is_trial=True,
        help=mark("If pinion or ring gear was moved, read backlash again: it tells where the ring gear stands."),
        group=_TRIAL,
    ),
    accept_entry(mark("Accept the pattern that stays.")),
    note(mark("Used gears: say how the pattern compares with the one found at teardown.")),
)


CONTACT_PATTERN = Stage(
    KEY,
    mark("Contact pattern"),
    ENTRIES,
    cautions=(MAKER_FIRST, NIP, SOLVENT),
    derived=(ETCHED_DERIVED,),
    figure="contact",
    accept=ACCEPT,
)


def pinion_shim_mm(context: Context, trial: int) -> float | None:
    """Return what the pinion sits on in a trial [mm], both shims together, or None where it was not measured then."""
    first, second = (context.value(KEY, key, trial=trial) for key in PINION_SHIMS)
    return None if first is None else first + (second or 0.0)


def shim_trial(context: Context, trial: int) -> int | None:
    """Return the last trial, up to one, at which the pinion's shim was measured; None where it never was."""
    measured = [at for at in context.trials(KEY) if at <= trial and pinion_shim_mm(context, at) is not None]
    return max(measured, default=None)
