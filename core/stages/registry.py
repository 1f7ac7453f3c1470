"""The registry: which stages there are, in order of work. A new stage is its file and one line here."""

from __future__ import annotations

from core.stages.backlash import BACKLASH
from core.stages.contact_pattern import CONTACT_PATTERN
from core.stages.entry import Stage
from core.stages.fill import FILL
from core.stages.housing_prep import HOUSING_PREP
from core.stages.preload import PRELOAD
from core.stages.teardown import TEARDOWN

STAGES: list[Stage] = [TEARDOWN, HOUSING_PREP, PRELOAD, BACKLASH, CONTACT_PATTERN, FILL]


def stage(key: str) -> Stage:
    """Return the stage with this key; KeyError where there is none."""
    for declared in STAGES:
        if declared.key == key:
            return declared
    raise KeyError(f"there is no stage {key!r}")


def register(declared: Stage) -> None:
    """Put a stage in the place of the one with the same key, or after the last."""
    for place, present in enumerate(STAGES):
        if present.key == declared.key:
            STAGES[place] = declared
            return
    STAGES.append(declared)
