"""What was typed into the fields of a job and could not be stored, kept until the job is shown again."""

from __future__ import annotations

from collections.abc import Iterable

from app.widgets.entry_field import EntryField

NO_STAGE = ""
"""Where the job's own words belong, as against the readings of a stage."""

Place = tuple[int, str, str, str, int]


class Unstored:
    """Words that wait for their field: by job, stage and place in it."""

    def __init__(self) -> None:
        self._words: dict[Place, str] = {}

    def keep(self, job_id: int, fields: Iterable[tuple[str, EntryField]]) -> None:
        """Keep what differs from what is stored; each field comes with the key of its stage."""
        for stage_key, field in fields:
            if field.is_changed:
                self._words[job_id, stage_key, *field.key] = field.text()

    def put_back(self, job_id: int, stage_key: str, field: EntryField) -> None:
        """Put into a field what was kept for it; from then on the field has it."""
        kept = self._words.pop((job_id, stage_key, *field.key), None)
        if kept is not None:
            field.put_draft(kept)
