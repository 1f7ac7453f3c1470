"""What this bench remembers between runs: who works here, look, text size, gauges last used. Never job data.

Kept as one small JSON file beside the user's other settings; a damaged or foreign file is set aside and the defaults
are used, so that a setting can never keep the program from starting.
"""

from __future__ import annotations

import json
import os
from contextlib import suppress
from dataclasses import asdict, dataclass, field, fields
from pathlib import Path

from platformdirs import user_config_path

SCHEMES = ("light", "dark", "contrast")
TEXT_SCALES = (100, 125, 150, 200)


@dataclass
class Settings:
    """The settings of one bench."""

    person: str = ""
    scheme: str = "light"
    text_scale: int = 100
    page: str = "A4"
    sheet_folder: str = ""
    backup_folder: str = ""
    gauges: dict[str, int] = field(default_factory=dict)
    path: Path | None = None

    def gauge_for(self, use: str) -> int | None:
        """Return the gauge last used for something (``dial``, ``torque`` …), or None."""
        return self.gauges.get(use)

    def remember_gauge(self, use: str, gauge_id: int | None) -> None:
        """Keep which gauge is used for something; None forgets it."""
        if gauge_id is None:
            self.gauges.pop(use, None)
        else:
            self.gauges[use] = gauge_id
        self.save()

    def save(self) -> None:
        """Write the settings, atomically; where the folder cannot be written they last until the program ends."""
        if self.path is None:
            return
        values = {key: value for key, value in asdict(self).items() if key != "path"}
        partial = self.path.with_suffix(".partial")
        with suppress(OSError):
            self.path.parent.mkdir(parents=True, exist_ok=True)
            partial.write_text(json.dumps(values, indent=2), encoding="utf-8")
            os.replace(partial, self.path)


def settings_path() -> Path:
    """Return where the settings are kept."""
    return user_config_path("pinionbook", appauthor=False) / "settings.json"


def load(path: Path | None = None) -> Settings:
    """Read the settings; what is missing, unknown or of the wrong kind falls back to its default."""
    place = path or settings_path()
    settings = Settings(path=place)
    try:
        kept = json.loads(place.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return settings
    if not isinstance(kept, dict):
        return settings
    for known in fields(Settings):
        value = kept.get(known.name)
        if known.name != "path" and type(value) is type(getattr(settings, known.name)):
            setattr(settings, known.name, value)
    if settings.scheme not in SCHEMES:
        settings.scheme = SCHEMES[0]
    if settings.text_scale not in TEXT_SCALES:
        settings.text_scale = TEXT_SCALES[0]
    settings.gauges = {use: i for use, i in settings.gauges.items() if isinstance(i, int)}
    return settings
