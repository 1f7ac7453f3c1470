"""Answers and cautions that several stages share."""

from __future__ import annotations

from core.language import mark
from core.stages.entry import Choice, Entry

GOOD = "good"

CONDITIONS = (
    Choice(GOOD, mark("good"), True),
    Choice("usable", mark("worn, usable"), True),
    Choice("replace", mark("to be replaced"), False),
    Choice("damaged", mark("damaged"), False),
)
"""What a part was found like."""

MAKER_FIRST = mark(
    "The maker's manual for this unit, local rules and a licensed mechanic's judgement come before anything shown here."
)
EYES = mark("Wear eye protection; springs, chips and snap rings fly.")
HEAVY = mark("The casing and carrier are heavy: lift with help or a hoist, and keep hands from under them.")
HAMMER = mark("Never strike hardened steel with a hardened hammer: it splinters. Use a soft drift or a press.")
SOLVENT = mark("Solvent vapour is harmful and burns: air the room, keep flames away, wear gloves.")
DUST = mark("Grinding dust harms lungs and bearings: wear a mask, extract the dust, keep the bearings covered.")
HOT = mark("Heated bearings burn: use gloves, never a flame, and keep open bearings at or below 120 °C.")
BOLTS = mark("Torque-critical bolts: clean threads, new bolts where the maker asks for them, crosswise and in steps.")
NIP = mark("Turning gears nip fingers: turn by hand with the other hand clear of the mesh.")
OIL = mark("Collect old oil and hand it in; hot oil scalds, and used oil should stay off the skin.")


def note(help_text: str = "") -> Entry:
    """Return the free note every stage ends with."""
    return Entry(
        "note",
        mark("Note"),
        "text",
        needed=0,
        help=help_text or mark("Write down anything the next person should know."),
        group=mark("Note"),
    )
