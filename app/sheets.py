"""Where build sheets go, and what they are called."""

from __future__ import annotations

import re
from pathlib import Path

from platformdirs import user_documents_path

from core.errors import UserError
from core.facts import Job
from core.language import tr

MOST_NAME = 80


def default_folder() -> Path:
    """Return the folder build sheets are kept in unless another was chosen."""
    return user_documents_path() / "Pinionbook"


def make_folder(folder: Path) -> None:
    """Make the folder sheets are kept in, if it is not there yet; UserError where it cannot be made."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UserError(
            tr("The folder {folder} cannot be made: {reason}.", folder=folder, reason=error.strerror or error),
            tr("Choose another under Job, Keep build sheets in."),
        ) from error


def ticket_name(job: Job, stage: str, trial: int) -> str:
    """Return a file name for a bench ticket that every file system takes.

    Examples
    --------
    ``2407 K-1183 preload trial 3.pdf``
    """
    return _safe(f"{job.number} {job.serial} {stage} trial {trial}")


def sheet_name(job: Job, copy: str) -> str:
    """Return a file name for a job's sheet that every file system takes.

    Examples
    --------
    ``2407 K-1183 rev 2 customer.pdf``
    """
    return _safe(f"{job.number} {job.serial} rev {job.revision} {copy}")


def _safe(words: str) -> str:
    safe = re.sub(r"[^\w.-]+", " ", words, flags=re.ASCII).strip(" .")
    return f"{safe[:MOST_NAME]}.pdf"
