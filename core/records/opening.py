"""From whatever lies at a path to a logbook that is up to date: made, recognised, upgraded, or refused untouched."""

from __future__ import annotations

import struct
import tempfile
from pathlib import Path

from sqlalchemy import URL, inspect, text
from sqlalchemy.exc import DBAPIError

from core.errors import DamagedLogbookError, LogbookError, NewerLogbookError
from core.language import tr
from core.records import tables
from core.records.backup import put_in_place
from core.records.engine import make_engine
from core.records.faults import damaged, fault_of, faults_told
from core.records.location import Place, default_file, in_words

_MAGIC = b"SQLite format 3\0"
_HEADER_BYTES = 100
_APPLICATION_ID_AT = 68


def make_ready(place: Place) -> None:
    """See to it that an up-to-date logbook lies at a path, or in a database.

    Raises
    ------
    NewerLogbookError
        It was written by a newer program.
    LogbookError
        Something else lies there, or it cannot be read, written or upgraded; it is left as it was.
    """
    if isinstance(place, URL):
        with faults_told(in_words(place)):
            _make_server_ready(place)
        return
    try:
        with faults_told(place):
            if place.exists():
                recognise(place)
                bring_up_to_date(place)
            else:
                create(place)
    except OSError as error:
        raise _refused(place, error) from error


def _make_server_ready(url: URL) -> None:
    from core.records.upgrade import migrate

    names = table_names(url)
    if not names:
        migrate(url, is_new=True)
    elif {"alembic_version", "reading"} <= names:
        bring_up_to_date(url)
    else:
        raise LogbookError(
            tr("The database {path} holds something else; it was left as it is.", path=in_words(url)),
            tr("Give an empty database of its own to the logbook."),
        )


def table_names(url: URL) -> set[str]:
    """Return the tables of a database on a server."""
    engine = make_engine(url)
    try:
        return set(inspect(engine).get_table_names())
    finally:
        engine.dispose()


def create(path: Path) -> None:
    """Make an empty logbook, and the folders it lies in; it appears complete or not at all."""
    from core.records.upgrade import migrate

    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=path.parent, prefix=".new-logbook-") as folder:
        made = Path(folder) / path.name
        migrate(made, is_new=True)
        try:
            put_in_place(made, path)
        except FileExistsError:
            # Another program was quicker; what it made is as good, if it is a logbook.
            recognise(path)
            bring_up_to_date(path)


def recognise(path: Path, *, is_written: bool = True) -> None:
    """Refuse what is no logbook, from its first bytes; SQLite never touches a file that is not ours.

    Parameters
    ----------
    path : Path
        What lies there.
    is_written : bool
        Whether it is to be written too; a backup is only read.

    Raises
    ------
    LogbookError
        It is no logbook.
    OSError
        It cannot be read or written.
    """
    if path.is_dir():
        raise LogbookError(tr("{path} is a folder.", path=path), tr("Give the path of a file in it."))
    if not path.is_file():
        raise LogbookError(tr("{path} is not an ordinary file.", path=path), tr("Give the path of a file."))
    # Opened for writing too, though nothing is written: a logbook that cannot be kept is no use.
    with path.open("r+b" if is_written else "rb") as file:
        header = file.read(_HEADER_BYTES)
    if len(header) == _HEADER_BYTES and header.startswith(_MAGIC):
        (application_id,) = struct.unpack_from(">I", header, _APPLICATION_ID_AT)
        if application_id == tables.APPLICATION_ID:
            return
    raise DamagedLogbookError(
        tr("{path} is not a logbook of this program; it was left as it is.", path=path),
        tr("Choose another file, or a new name to begin a logbook."),
    )


def bring_up_to_date(place: Place) -> None:
    """Upgrade a logbook that is behind, after copying it; nothing happens to one that is not."""
    revision = revision_of(place)
    if revision == tables.REVISION:
        return
    # Alembic takes longer to load than all the rest of the logbook, and is seldom needed.
    from core.records.upgrade import known_revisions, migrate

    if revision not in known_revisions():
        raise NewerLogbookError(
            tr("The logbook {path} was written by a newer version of this program.", path=in_words(place)),
            tr("Install the newer version, or open another logbook."),
        )
    beside = place if isinstance(place, Path) else default_file().with_name(f"{place.database}.db")
    migrate(place, backup=free_name(beside, revision))


def free_name(path: Path, revision: str) -> Path:
    """Return a name beside a logbook for its copy from before an upgrade."""
    count, target = 1, path.with_name(f"{path.stem}-before-upgrade-from-{revision}{path.suffix}")
    while target.exists():
        count += 1
        target = path.with_name(f"{path.stem}-before-upgrade-from-{revision}-{count}{path.suffix}")
    return target


def revision_of(place: Place) -> str:
    """Return the revision of the tables in a logbook.

    Raises
    ------
    LogbookError
        It does not say: something else was done to it.
    """
    path = in_words(place)
    engine = make_engine(place)
    try:
        with engine.connect() as connection:
            known = inspect(connection).has_table("alembic_version")
            rows = connection.execute(text("SELECT version_num FROM alembic_version")).all() if known else []
    except (DBAPIError, UnicodeDecodeError) as error:
        # The questions are sound, so whatever SQLite says against them, or fails to say in UTF-8, is the file's fault.
        raise fault_of(error, path) or damaged(path) from error
    finally:
        engine.dispose()
    if len(rows) != 1:
        raise DamagedLogbookError(
            tr("The logbook {path} does not say which version it is of.", path=path),
            tr("Keep the file as it is; 'pinionbook restore' lists the backups to go back to."),
        )
    return str(rows[0].version_num)


def _refused(path: Path, error: OSError) -> LogbookError:
    if isinstance(error, PermissionError):
        return LogbookError(
            tr("The logbook {path} may not be written.", path=path),
            tr("Ask for permission to write the file and its folder, or use another logbook."),
        )
    return LogbookError(
        tr("The logbook {path} cannot be opened: {reason}.", path=path, reason=error.strerror or str(error)),
        tr("Check the path and the disk."),
    )
