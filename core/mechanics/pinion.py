"""Pinion depth and pinion-bearing preload.

Whether a thicker shim moves the pinion in or out, and whether an etched deviation is added or taken off, differ from
maker to maker: both are asked, never assumed.
"""

from __future__ import annotations

from enum import StrEnum

from core.language import mark
from core.mechanics.checks import above, at_least, finite


class ShimPlace(StrEnum):
    """Where the depth shim sits, by what a thicker one does."""

    PUSHES_IN = "pushes_in"
    PUSHES_OUT = "pushes_out"


class EtchRule(StrEnum):
    """What an etched deviation changes, as the maker's manual has it."""

    OLD_MINUS_NEW = "old-minus-new"
    NEW_MINUS_OLD = "new-minus-old"


class DepthMark(StrEnum):
    """How an etched deviation changes the nominal depth."""

    ADDED = "added"
    TAKEN_OFF = "taken_off"


class SleeveStep(StrEnum):
    """What to do next with a crush sleeve."""

    TIGHTEN = "tighten"
    DONE = "done"
    NEW_SLEEVE = "new_sleeve"


SHIM_PLACES: dict[ShimPlace, str] = {
    ShimPlace.PUSHES_IN: mark(
        "Between casing and head bearing, or between head bearing and pinion head: thicker is in."
    ),
    ShimPlace.PUSHES_OUT: mark("Under the flange of a pinion cartridge, outside the casing: thicker is out."),
}

SLEEVE_STEPS: dict[SleeveStep, str] = {
    SleeveStep.TIGHTEN: mark("Tighten a little further and read the running torque again."),
    SleeveStep.DONE: mark("The preload is right: leave the nut."),
    SleeveStep.NEW_SLEEVE: mark("Too tight: fit a new crush sleeve. Never back the nut off to bring preload down."),
}


def shim_change(etched_old: float, etched_new: float, rule: EtchRule) -> float:
    """Return how much thicker the depth shim becomes when the pinion is changed for one with another etched deviation.

    change = old − new, or new − old, as the maker's manual has it. Any unit: the result is in the unit of the marks.

    Parameters
    ----------
    etched_old, etched_new : float
        Deviations etched on the old and the new pinion [unit of the marks], with their signs.
    rule : EtchRule
        Which of the two the manual says.

    Returns
    -------
    float
        Change of the shim's thickness [unit of the marks]; positive for thicker.

    Raises
    ------
    RangeError
        For marks that are not numbers.
    ValueError
        For a rule that is neither.

    Notes
    -----
    Source: TM 9-2320-280-34: old − new. TM 5-3895-369-14, table 5-4: new − old; there old +2, new −1 → 0.003 in less.

    Examples
    --------
    >>> shim_change(2.0, -1.0, EtchRule.NEW_MINUS_OLD), shim_change(2.0, -1.0, EtchRule.OLD_MINUS_NEW)
    (-3.0, 3.0)
    """
    difference = finite("etched_old", etched_old) - finite("etched_new", etched_new)
    return difference if EtchRule(rule) is EtchRule.OLD_MINUS_NEW else -difference


def wanted_depth_mm(nominal_mm: float, etched_mm: float, depth_mark: DepthMark) -> float:
    """Return the depth this pinion wants: from the ring gear's axis to its back face.

    nominal + etched, or nominal − etched, as the maker's manual has it.

    Parameters
    ----------
    nominal_mm : float
        Nominal depth (mounting distance) [mm], above 0.
    etched_mm : float
        Deviation etched on the pinion [mm], with its sign.
    depth_mark : DepthMark
        Whether the mark is added or taken off.

    Returns
    -------
    float
        Depth [mm].

    Raises
    ------
    RangeError
        For a nominal depth not above 0 or a mark that is not a number.
    ValueError
        For a rule that is neither.

    Examples
    --------
    >>> round(wanted_depth_mm(98.50, 0.05, DepthMark.TAKEN_OFF), 2)
    98.45
    """
    above("nominal_mm", nominal_mm, 0.0, "mm")
    finite("etched_mm", etched_mm)
    return nominal_mm + etched_mm if DepthMark(depth_mark) is DepthMark.ADDED else nominal_mm - etched_mm


def depth_shim_mm(casing_mm: float, bearing_mm: float, depth_mm: float, place: ShimPlace) -> float:
    """Return the depth shim for a casing and a head bearing as measured.

    Without a shim the pinion's back face stands at casing − bearing from the ring gear's axis. A shim that pushes in
    makes that less, one that pushes out makes it more: shim = casing − bearing − depth, or depth − (casing − bearing).

    Parameters
    ----------
    casing_mm : float
        From the ring gear's axis to the seat the shim or bearing rests on [mm].
    bearing_mm : float
        Height of the head bearing (or of the cartridge, seat to pinion back face) under light load [mm].
    depth_mm : float
        Depth this pinion wants (`wanted_depth_mm`) [mm].
    place : ShimPlace
        Where the shim sits.

    Returns
    -------
    float
        Thickness of the shim [mm].

    Raises
    ------
    RangeError
        For sizes not above 0, or measurements that leave no room for a shim: then one of them is wrong.
    ValueError
        For a place that is neither.

    Notes
    -----
    Plain geometry; the shim's place is as the casing is built.

    Examples
    --------
    >>> round(depth_shim_mm(120.40, 20.30, 98.45, ShimPlace.PUSHES_IN), 2)
    1.65
    """
    above("casing_mm", casing_mm, 0.0, "mm")
    above("bearing_mm", bearing_mm, 0.0, "mm")
    above("depth_mm", depth_mm, 0.0, "mm")
    room_mm = casing_mm - bearing_mm - depth_mm
    return at_least("shim_mm", room_mm if ShimPlace(place) is ShimPlace.PUSHES_IN else -room_mm, 0.0, "mm")


def shim_for_move_mm(shim_mm: float, inward_mm: float, place: ShimPlace) -> float:
    """Return the shim that moves the pinion from where it is.

    Parameters
    ----------
    shim_mm : float
        Shim fitted now [mm], not negative.
    inward_mm : float
        Move wanted [mm]; positive takes the pinion in, toward the ring gear's axis.
    place : ShimPlace
        Where the shim sits.

    Returns
    -------
    float
        Shim to fit [mm].

    Raises
    ------
    RangeError
        For a negative shim, now or then, or a move that is not a number.
    ValueError
        For a place that is neither.

    Examples
    --------
    >>> round(shim_for_move_mm(1.65, 0.05, ShimPlace.PUSHES_OUT), 2)
    1.6
    """
    at_least("shim_mm", shim_mm, 0.0, "mm")
    finite("inward_mm", inward_mm)
    sign = 1.0 if ShimPlace(place) is ShimPlace.PUSHES_IN else -1.0
    return at_least("shim_mm", shim_mm + sign * inward_mm, 0.0, "mm")


def spacer_for_torque_mm(spacer_mm: float, torque_nm: float, wanted_nm: float, torque_per_mm: float) -> float:
    """Return the solid spacer that brings the pinion bearings to a wanted turning torque.

    spacer + (torque − wanted)/rate: a thinner spacer brings cones and cups closer and adds preload.

    Parameters
    ----------
    spacer_mm : float
        Spacer fitted now [mm], above 0.
    torque_nm : float
        Running torque read with it, above the drag without preload [N·m], not negative.
    wanted_nm : float
        Running torque wanted [N·m], not negative.
    torque_per_mm : float
        Torque gained per mm taken off the spacer [N·m per mm], above 0; from two trials of this unit.

    Returns
    -------
    float
        Spacer to fit [mm].

    Raises
    ------
    RangeError
        For values outside what is stated above.

    Notes
    -----
    Source of the direction: TM 9-2320-302-34, p. 0082 00-12: thicker spacer less preload, thinner more. The straight
    line is common practice; it holds for small steps.

    Examples
    --------
    >>> round(spacer_for_torque_mm(12.50, 1.0, 1.6, 20.0), 3)
    12.47
    """
    above("spacer_mm", spacer_mm, 0.0, "mm")
    at_least("torque_nm", torque_nm, 0.0, "N·m")
    at_least("wanted_nm", wanted_nm, 0.0, "N·m")
    return above("spacer_mm", spacer_mm + (torque_nm - wanted_nm) / above("torque_per_mm", torque_per_mm), 0.0, "mm")


def sleeve_step(torque_nm: float, low_nm: float, high_nm: float) -> SleeveStep:
    """Return what to do next while a crush sleeve is tightened.

    A crush sleeve only gets shorter: below the limits tighten on, within them stop, above them fit a new one.

    Parameters
    ----------
    torque_nm : float
        Running torque of the pinion [N·m], not negative.
    low_nm, high_nm : float
        Limits [N·m], the first the smaller.

    Returns
    -------
    SleeveStep
        What to do; `SLEEVE_STEPS` has the sentence.

    Raises
    ------
    RangeError
        For a negative torque or limits the wrong way round.

    Notes
    -----
    Common practice.

    Examples
    --------
    >>> sleeve_step(2.4, 1.1, 2.3).value
    'new_sleeve'
    """
    at_least("torque_nm", torque_nm, 0.0, "N·m")
    at_least("high_nm", high_nm, at_least("low_nm", low_nm, 0.0, "N·m"), "N·m")
    if torque_nm < low_nm:
        return SleeveStep.TIGHTEN
    return SleeveStep.DONE if torque_nm <= high_nm else SleeveStep.NEW_SLEEVE
