"""Where ring gear and pinion touch, and how the print moves: unloaded contact of a 90° pair by its ease-off.

One file a step: `geometry` the set and its pitch cones, `flank` the gear's flanks, `mesh` when each point meets the
pinion and what a move does there, `ease_off` the gap left when the pair is turned through, `patch` what the compound
shows of it, `outline` its edge, `contact_set` all of it for one set. Beside the model: `closed_forms` and `backlash`.

Frame: z is the ring gear's axis, x the pinion's axis from the gear's centre to the shank, y = z × x. The gear's body is
at z > 0, its teeth point to −z; the pinion's axis passes through (0, offset, 0). Everything is told of a right-hand
ring gear; a left-hand one is its mirror image in the plane y = 0.

Textbook theory: Litvin, Gear Geometry and Applied Theory; Kolivand and Kahraman 2009 on ease-off topography; limit
pressure angle of ISO 23509 (all from memory). Rigid teeth, no load: a shop's own print with light drag is nearest to
it.
"""

from core.mechanics.contact.contact_set import ContactSet, contact_set
from core.mechanics.contact.ease_off import Crown, Misalignment
from core.mechanics.contact.geometry import Cut, Flank, GearSet, Hand, PitchCones, pitch_cones
from core.mechanics.contact.patch import Patch

__all__ = [
    "ContactSet",
    "Crown",
    "Cut",
    "Flank",
    "GearSet",
    "Hand",
    "Misalignment",
    "Patch",
    "PitchCones",
    "contact_set",
    "pitch_cones",
]
