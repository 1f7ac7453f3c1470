"""The pinion's move in words: which shim, instead of which, and where the drawer has it."""

from __future__ import annotations

from core.advice.pinion_shims import PinionShims, Shim, Stack
from core.language import tr
from core.quantities import show

LEAST_MM = 0.01
"""A shorter move is none."""


def pinion_words(move_mm: float, shims: PinionShims | None, sign: int | None, unit: str) -> list[str]:
    """Say how far the pinion goes, by which shim, and what to order where the drawer has none near it.

    Parameters
    ----------
    move_mm : float
        How far it is moved away from the ring gear's axis [mm].
    shims : PinionShims or None
        What can lie under it; None where nobody knows what lies there now.
    sign : int or None
        What a thicker shim does, as in `ContactSeen.shim_sign`.
    unit : str
        Id of the unit lengths are said in.
    """
    if abs(move_mm) < LEAST_MM:
        return [tr("The pinion stays.")]
    way = tr("toward the ring gear's axis") if move_mm < 0.0 else tr("away from the ring gear's axis")
    said = tr("Move the pinion {move} {way}", move=show("length", abs(move_mm), unit), way=way)
    if sign is None:
        return [tr("{said}; whether that is a thicker or a thinner shim depends on where it sits.", said=said)]
    new_mm = 0.0 if shims is None else shims.thickness_mm(move_mm)
    if shims is None or new_mm <= 0.0:
        words = tr("thicker") if sign * move_mm > 0.0 else tr("thinner")
        change = show("length", abs(move_mm), unit)
        return [tr("{said}: a shim {change} {words}.", said=said, change=change, words=words)]
    new, now = (show("length", size_mm, unit) for size_mm in (new_mm, shims.now_mm))
    stack = shims.stack_for(move_mm)
    if stack is not None:
        return [tr("{said}: {stack}.", said=said, stack=stack_words(stack, new, now, unit))]
    return [
        tr("{said}: a shim of {new} instead of {now}.", said=said, new=new, now=now),
        tr("The drawer has none near it: order or grind one of {new}.", new=new),
    ]


def stack_words(stack: Stack, new: str, now: str, unit: str) -> str:
    """Say what to lay under the pinion, `new` thick instead of `now`, what of it lies there, and where the rest is."""
    kept = [show("length", shim.thickness_mm, unit) for shim in stack.kept]
    added = [_from_drawer(shim, unit) for shim in stack.added]
    if kept and added:
        return tr(
            "{new} instead of {now}; leave the shim of {kept} in and lay {added} to it",
            new=new,
            now=now,
            kept=kept[0],
            added=added[0],
        )
    if kept:
        return tr("{new} instead of {now}; leave only the shim of {kept} in", new=new, now=now, kept=kept[0])
    if len(added) > 1:
        return tr(
            "two shims of {new} together instead of {now}; the drawer has {one} and {other}",
            new=new,
            now=now,
            one=added[0],
            other=added[1],
        )
    part = stack.added[0].part
    if part is None or not part.place:
        return tr("a shim of {new} instead of {now}; the drawer has one", new=new, now=now)
    return tr("a shim of {new} instead of {now}; the drawer has one at {place}", new=new, now=now, place=part.place)


def _from_drawer(shim: Shim, unit: str) -> str:
    size = show("length", shim.thickness_mm, unit)
    return tr("{size} from {place}", size=size, place=shim.part.place) if shim.part and shim.part.place else size
