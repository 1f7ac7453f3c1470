"""What a stage is made of: the vocabulary of declarations.

An entry is declared once, here in its stage's file. The bench page, the validation, the build sheet, the
exported readings and the keyboard order are derived from the declaration; nothing else is touched.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from core.language import mark

if TYPE_CHECKING:
    from core.calculations import Outcome
    from core.facts import Job
    from core.quantities import Amount
    from core.stages.context import Context

FOUND = "found"
LEFT_AS = "left"

GAUGE_USES = {
    "dial": mark("dial gauge"),
    "torque": mark("torque wrench"),
    "micrometer": mark("micrometer"),
    "caliper": mark("caliper"),
    "bore_gauge": mark("bore gauge"),
    "feeler": mark("feeler gauge"),
    "radius_gauge": mark("radius gauge"),
    "thermometer": mark("thermometer"),
    "vessel": mark("measuring vessel"),
}
"""What a gauge may be used for: the words entries ask for, in the order the shop's page lists them."""


@dataclass(frozen=True)
class Position:
    """One place an entry is measured at; `angle_deg` where places go around the ring gear."""

    key: str
    label: str
    angle_deg: float | None = None


WHOLE = (Position("", ""),)
"""An entry measured once."""


def around(places: int) -> tuple[Position, ...]:
    """Return `places` positions evenly spread around the ring gear, starting at the mark."""
    step_deg = 360.0 / places
    return tuple(Position(f"at_{i * step_deg:03.0f}", f"{i * step_deg:.0f}°", i * step_deg) for i in range(places))


def numbered(places: int, noun: str) -> tuple[Position, ...]:
    """Return `places` numbered positions; `noun` is a marked word such as ``place`` or ``plate``."""
    return tuple(Position(f"no_{i}", f"{noun} {i}") for i in range(1, places + 1))


@dataclass(frozen=True)
class Choice:
    """One answer of a choice; `is_good` False means it does not conform, None that it is only noted."""

    key: str
    label: str
    is_good: bool | None = None


YES_NO_GOOD = (Choice("yes", mark("yes"), True), Choice("no", mark("no"), False))
"""For what must be done: yes conforms."""


def _always(job: Job) -> bool:
    return True


@dataclass(frozen=True)
class Entry:
    """Something a stage asks for.

    Parameters
    ----------
    key : str
        Stable for ever, unique within the stage.
    label : str
        What it is called at the bench.
    kind : str
        Kind of quantity (`core.quantities.KINDS`).
    unit : str
        Unit a bare number is taken in; empty for kinds without one.
    positions : tuple of Position
        The places it is measured at.
    needed : int or None
        How many positions must be filled; None: all of them; 0: the entry is optional.
    limit : str
        Key of the card's limit it answers to (`core.stages.card`), or "".
    gauge : str
        What reads it (`GAUGE_USES`), or "".
    choices : tuple of Choice
        For kind ``choice``.
    lowest, highest : float or None
        Beyond these [canonical unit] the value is impossible and refused.
    is_trial : bool
        Asked for anew at each trial.
    applies : callable
        Whether this job needs it at all.
    moment, compares : str
        ``found`` or ``left``, and the key under which the sheet sets found beside left.
    sheet_label : str
        What it is called on the customer's sheet; "" keeps it off the customer's page.
    factor : callable or None
        What a reading is worth where its limit is measured, from the job's other readings; None: one to one.
    help : str
        One line shown while the field is armed.
    group : str
        Heading it stands under; consecutive entries of one group stand together.
    """

    key: str
    label: str
    kind: str
    unit: str = ""
    positions: tuple[Position, ...] = WHOLE
    needed: int | None = None
    limit: str = ""
    gauge: str = ""
    choices: tuple[Choice, ...] = ()
    lowest: float | None = None
    highest: float | None = None
    is_trial: bool = False
    applies: Callable[[Job], bool] = _always
    moment: str = ""
    compares: str = ""
    sheet_label: str = ""
    factor: Callable[[Context], float] | None = None
    help: str = ""
    group: str = ""

    @property
    def needed_positions(self) -> int:
        """How many positions must carry a reading before the entry is complete."""
        return len(self.positions) if self.needed is None else self.needed

    def position(self, key: str) -> Position:
        """Return the position with this key; KeyError where there is none."""
        for position in self.positions:
            if position.key == key:
                return position
        raise KeyError(f"{self.key} has no position {key!r}")


@dataclass(frozen=True)
class Derived:
    """A value computed from readings (mean, variation, ring sum); never stored.

    `compute` gets the context and the trial number (0 outside trials) and returns the value in the canonical
    unit of `kind`, or None while its inputs are missing. `gauge_entry` names the entry whose gauge carries
    the uncertainty of the verdict. `work` tells how the value came about, where one of `core.calculations` works
    it out (`core.stages.worked`); such a value is shown only once its inputs are there.
    """

    key: str
    label: str
    kind: str
    unit: str
    compute: Callable[[Context, int], float | None]
    limit: str = ""
    gauge_entry: str = ""
    is_trial: bool = False
    moment: str = ""
    compares: str = ""
    sheet_label: str = ""
    help: str = ""
    work: Callable[[Context, int], Outcome | None] | None = None


@dataclass(frozen=True)
class Remark:
    """A sentence beside the entries; `is_warning` asks for a second look."""

    text: str
    is_warning: bool = False


@dataclass(frozen=True)
class Stage:
    """One of the six stages, as declared in its own file.

    `refuse` is asked before a reading is taken and returns a sentence pair (message, remedy) where the
    trade's rules forbid it; `remarks` comments on what has been entered; `gate` returns a sentence while
    an earlier stage must be settled first. `next_thing` may put a better sentence than the generic one
    (first field missing) at the top of the page.
    """

    key: str
    label: str
    entries: Sequence[Entry]
    cautions: Sequence[str]
    derived: Sequence[Derived] = ()
    figure: str = ""
    accept: str = ""
    refuse: Callable[[Context, Entry, Position, int, Amount], tuple[str, str] | None] | None = None
    remarks: Callable[[Context], Sequence[Remark]] | None = None
    gate: Callable[[Context], str | None] | None = None
    next_thing: Callable[[Context], str | None] | None = None
    notes: Sequence[str] = field(default=())

    @property
    def has_trials(self) -> bool:
        """Whether the stage is worked in trials, one of which is accepted."""
        return bool(self.accept)

    def entry(self, key: str) -> Entry:
        """Return the entry with this key; KeyError where there is none."""
        for entry in self.entries:
            if entry.key == key:
                return entry
        raise KeyError(f"stage {self.key} has no entry {key!r}")
