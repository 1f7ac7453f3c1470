"""The outline of a contact print as a text: read, written and told in words.

``12 30; 50 28; 48 70`` is a patch of three points, each its place along the tooth and in depth in percent; a ``|``
begins the next patch.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from core.errors import InputError
from core.language import tr
from core.mechanics.outline import (
    LEAST_AREA,
    LEAST_POINTS,
    Measures,
    Ring,
    are_crossed,
    is_crossed,
    is_on_tooth,
    measure,
    signed_area,
)

MOST_PATCHES = 4
MOST_POINTS = 60
LONGEST_OUTLINE = 4000
"""No outline of the most patches with the most points is longer."""

_NUMBER = r"-?[0-9]{1,4}(?:[.,][0-9]{1,6})?"
_POINT = re.compile(rf" *({_NUMBER}) +({_NUMBER}) *")


def read_outline(text: str) -> tuple[Ring, ...]:
    """Read an outline.

    Parameters
    ----------
    text : str
        As typed or drawn, in percent.

    Returns
    -------
    tuple of Ring
        Patches as shares of the tooth.

    Raises
    ------
    InputError
        For what is no list of points, points off the tooth, outlines that cross, and too few or too many points.

    Examples
    --------
    >>> read_outline("20 20; 60 20; 60 60.5")
    (((0.2, 0.2), (0.6, 0.2), (0.6, 0.605)),)
    """
    if len(text) > LONGEST_OUTLINE:
        raise InputError(tr("The outline is {count} characters long.", count=len(text)), _draw_fewer())
    if not text.strip():
        raise InputError(tr("Nothing was drawn."), tr("Draw the print, or leave it as it is."))
    patches = text.split("|")
    if len(patches) > MOST_PATCHES:
        raise InputError(
            tr("The print has {count} patches.", count=len(patches)),
            tr("Draw the {most} largest.", most=MOST_PATCHES),
        )
    rings = tuple(_ring(patch) for patch in patches)
    _check(rings)
    return rings


def _ring(patch: str) -> Ring:
    points = []
    for typed in patch.split(";"):
        found = _POINT.fullmatch(typed)
        if found is None:
            shown = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in typed.strip()[:20])
            raise InputError(
                tr("“{typed}” is no point of an outline.", typed=shown),
                tr("Write each point as two percentages, from the toe and up from the root: 20 30; 60 30; 40 70."),
            )
        points.append(tuple(float(number.replace(",", ".")) / 100 for number in found.groups()))
    if len(points) < LEAST_POINTS:
        raise InputError(tr("A patch needs at least three points."), tr("Draw it once around."))
    if len(points) > MOST_POINTS:
        raise InputError(tr("A patch has {count} points.", count=len(points)), _draw_fewer())
    return tuple((along, depth) for along, depth in points)


def _draw_fewer() -> str:
    return tr("Draw it with at most {most} points a patch.", most=MOST_POINTS)


def _check(rings: Sequence[Ring]) -> None:
    """Refuse an outline that no print can have."""
    if not is_on_tooth(rings):
        raise InputError(
            tr("The outline leaves the tooth."), tr("Keep every point between 0 and 100 % along and in depth.")
        )
    if any(is_crossed(ring) for ring in rings):
        raise InputError(tr("The outline crosses itself."), tr("Draw the patch once around."))
    if are_crossed(rings):
        raise InputError(tr("Two patches lie over each other."), tr("Draw them as one, or apart."))
    if any(abs(signed_area(ring)) < LEAST_AREA for ring in rings):
        raise InputError(tr("A patch is too small to be a print."), tr("Draw it once around, as large as it is seen."))


def write_outline(rings: Sequence[Ring]) -> str:
    """Return an outline as text, to a tenth of a percent.

    Examples
    --------
    >>> write_outline([((0.2, 0.2), (0.6, 0.2), (0.6, 0.6049))])
    '20 20; 60 20; 60 60.5'
    """
    return " | ".join("; ".join(f"{_percent(a)} {_percent(d)}" for a, d in ring) for ring in rings)


def _percent(share: float) -> str:
    return f"{100 * share:.1f}".removesuffix(".0")


def measured_words(found: Measures, patches: int = 1) -> str:
    """Say what follows from an outline.

    Examples
    --------
    >>> measured_words(Measures(0.46, 0.52, 0.48, 0.62, 0.2, 4.7))
    '46 % along, 52 % up, 48 × 62 %, tilted 5°'
    """
    words = tr(
        "{along} % along, {depth} % up, {length} × {height} %",
        along=f"{100 * found.along:.0f}",
        depth=f"{100 * found.depth:.0f}",
        length=f"{100 * found.length:.0f}",
        height=f"{100 * found.height:.0f}",
    )
    if round(found.tilt_deg):
        words = tr("{words}, tilted {tilt}°", words=words, tilt=f"{found.tilt_deg:.0f}".replace("-", "−"))
    return tr("{words}, {count} patches", words=words, count=patches) if patches > 1 else words


def outline_words(text: str) -> str:
    """Say in words what an outline kept as text shows, its tilt aside: that asks for the true shape of the tooth.

    A text that is no outline is told as it is.

    Examples
    --------
    >>> outline_words("20 20; 60 20; 60 60; 20 60")
    '40 % along, 40 % up, 40 × 40 %'
    """
    try:
        rings = read_outline(text)
    except InputError:
        return text
    return measured_words(replace(measure(rings), tilt_deg=0.0), len(rings))
