"""What the drawer has to lay under the pinion: single shims and two on each other, and how far they would move it."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from core.advice.contact_move import FARTHEST_MM
from core.advice.contact_seen import ContactSeen
from core.advice.seen import Known
from core.facts import Part
from core.stages.contact_pattern import KEY, PINION_SHIMS, pinion_shim_mm, shim_trial
from core.stages.context import Context
from core.stages.pieces import SAME_PIECE_MM, suits

ALIKE_MM = 0.005
"""So close to one of fewer pieces a stack of two is left out (common practice): two shims are measured twice, each to
±0.003 mm, and every face more holds dirt and springs, so that on the bench the better fit of the two is not there."""

STEP_MM = 0.001
"""Stacks that differ by less are one: no micrometer tells them apart."""


@dataclass(frozen=True)
class Shim:
    """A shim that could lie under the pinion.

    `part` is what it is of in the drawer, None for one that came from elsewhere and is there because it is in. `entry`
    is where it was read if it lies there now, else "".
    """

    thickness_mm: float
    part: Part | None = None
    entry: str = ""

    @property
    def is_in(self) -> bool:
        """Whether it lies under the pinion now."""
        return bool(self.entry)


@dataclass(frozen=True)
class Stack:
    """One shim, or two that lie on each other: in the order they are read, what lies there keeping its entry."""

    shims: tuple[Shim, ...]

    @property
    def thickness_mm(self) -> float:
        """Both together [mm]."""
        return sum(shim.thickness_mm for shim in self.shims)

    @property
    def kept(self) -> tuple[Shim, ...]:
        """What of it lies there now."""
        return tuple(shim for shim in self.shims if shim.is_in)

    @property
    def added(self) -> tuple[Shim, ...]:
        """What of it comes out of the drawer."""
        return tuple(shim for shim in self.shims if not shim.is_in)


@dataclass(frozen=True)
class PinionShims:
    """What can lie under the pinion of a job instead of what lies there now.

    `now_mm` is what lies there, `sign` what a thicker one does (+1 moves the pinion out, −1 in).
    """

    now_mm: float
    sign: int
    stacks: tuple[Stack, ...]

    @property
    def moves_mm(self) -> tuple[float, ...]:
        """How far each stack moves the pinion away from the ring gear's axis [mm]."""
        return tuple(self.sign * (stack.thickness_mm - self.now_mm) for stack in self.stacks)

    def thickness_mm(self, move_mm: float) -> float:
        """Return how thick a shim makes a move [mm]."""
        return self.now_mm + self.sign * move_mm

    def stack_for(self, move_mm: float) -> Stack | None:
        """Return the stack that makes just this move [mm], or None where none does."""
        moves = zip(self.moves_mm, self.stacks, strict=True)
        return next((stack for made_mm, stack in moves if abs(made_mm - move_mm) < 1.0e-6), None)


def pinion_shims(context: Context, known: Known, seen: ContactSeen) -> PinionShims | None:
    """Return what can lie under the pinion, or None where nobody knows what lies there or what a thicker one does.

    Parameters
    ----------
    context : Context
        The job.
    known : Known
        The drawer, and which of its shims are in.
    seen : ContactSeen
        What the prints say.
    """
    trial = shim_trial(context, seen.trials[-1]) if seen.trials else None
    now_mm = None if trial is None else pinion_shim_mm(context, trial)
    if trial is None or now_mm is None or seen.shim_sign is None:
        return None
    stacks = _stacks(_shims(context, known, trial))
    return PinionShims(now_mm, seen.shim_sign, tuple(s for s in stacks if abs(s.thickness_mm - now_mm) <= FARTHEST_MM))


def _shims(context: Context, known: Known, trial: int) -> list[Shim]:
    """Return what lies there, and of each part of the drawer as many as could: at most two."""
    free = {part.id: part.count for part in known.shims}
    parts = {part.id: part for part in known.shims}
    found = []
    for key in PINION_SHIMS:
        read_mm = context.value(KEY, key, trial=trial)
        if read_mm is None:
            continue
        # A reading that agrees with a piece the job has of the drawer is of that piece.
        same = [at for at in known.under_pinion if _is_same(parts.get(at), read_mm) and free[at] > 0]
        if same:
            free[same[0]] -= 1
        found.append(Shim(read_mm, parts[same[0]] if same else None, key))
    for part in known.shims:
        if suits(part, PINION_SHIMS[0]) and part.thickness_mm is not None and part.thickness_mm > 0.0:
            found += [Shim(part.thickness_mm, part)] * min(free[part.id], 2)
    return found


def _is_same(part: Part | None, read_mm: float) -> bool:
    # Rounded far below any gauge, as `stages.pieces` does.
    return part is not None and round(abs((part.thickness_mm or 0.0) - read_mm) - SAME_PIECE_MM, 9) <= 0.0


def _stacks(shims: Sequence[Shim]) -> list[Stack]:
    """Return the stacks that differ in thickness, of those alike the one of the fewest pieces, thinnest first."""
    alone = [(at,) for at in range(len(shims))]
    pairs = [(one, other) for one in range(len(shims)) for other in range(one)]
    stacks = [Stack(tuple(sorted((shims[at] for at in places), key=_order))) for places in (*alone, *pairs)]
    steps: dict[int, Stack] = {}
    for stack in sorted(stacks, key=lambda stack: (len(stack.added), len(stack.shims))):
        steps.setdefault(round(stack.thickness_mm / STEP_MM), stack)
    found: list[Stack] = []
    for pieces in range(3):
        sizes_mm = sorted(stack.thickness_mm for stack in found)
        new = [stack for stack in steps.values() if _asks_for(stack) == pieces]
        found += [stack for stack in new if not _is_alike(stack.thickness_mm, sizes_mm)]
    return sorted(found, key=lambda stack: stack.thickness_mm)


def _asks_for(stack: Stack) -> int:
    """Return how many pieces a stack asks for: 0 for one, or for what lies there; 1 where one is laid to it; else 2."""
    return 0 if len(stack.shims) == 1 else len(stack.added)


def _is_alike(size_mm: float, sizes_mm: Sequence[float]) -> bool:
    """Tell whether one of some thicknesses, in order, is as good as another [mm]."""
    at = bisect_left(sizes_mm, size_mm)
    # Rounded far below any gauge, so that just 0.005 mm off is as good in every unit.
    return any(round(abs(near - size_mm) - ALIKE_MM, 9) <= 0.0 for near in sizes_mm[max(at - 1, 0) : at + 1])


def _order(shim: Shim) -> tuple[int, float]:
    first, second = PINION_SHIMS
    return {first: 0, second: 2}.get(shim.entry, 1), -shim.thickness_mm
