"""A real PostgreSQL server for the tests, in a folder of its own, run by a user of its own."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg

USER = "pinionbook"
PATIENCE_S = 60


def programs() -> Path | None:
    """Return the folder of the server's programs, or None where there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/postgres"), key=lambda path: int(path.parts[4]))
    on_path = shutil.which("postgres")
    return found[-1].parent if found else Path(on_path).parent if on_path else None


class Server:
    """A running server; each database in it is a copy of a logbook made once."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._count = 0

    def address(self, database: str) -> str:
        """Return the address of a database as a person would type it."""
        return f"postgresql://{USER}@/{database}?host={self.folder}"

    def run(self, order: str) -> None:
        """Run one order in the database everybody has."""
        with psycopg.connect(f"user={USER} host={self.folder} dbname=postgres", autocommit=True) as connection:
            connection.execute(order)  # type: ignore[arg-type]

    def empty(self) -> str:
        """Return the address of a new database with nothing in it."""
        return self._made("")

    def logbook(self) -> str:
        """Return the address of a new, empty logbook."""
        from core.records import open_logbook

        if not self._has("made_once"):
            self.run("CREATE DATABASE made_once")
            open_logbook(self.address("made_once")).close()
        return self._made("TEMPLATE made_once")

    def drop(self, address: str) -> None:
        """Take a database away, whoever still has it open."""
        name = address.rpartition("@/")[2].partition("?")[0]
        self.run(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")

    def _has(self, name: str) -> bool:
        with psycopg.connect(f"user={USER} host={self.folder} dbname=postgres") as connection:
            return bool(connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone())

    def _made(self, how: str) -> str:
        self._count += 1
        name = f"test_{self._count}"
        self.run(f"CREATE DATABASE {name} {how}")
        return self.address(name)


@contextmanager
def running() -> Iterator[Server]:
    """Start a server and stop it again; nothing of it stays."""
    binaries = programs()
    assert binaries is not None, "install postgresql"
    folder = Path(tempfile.mkdtemp(prefix="pinionbook-server-"))
    as_user = _other_user(folder)
    try:
        made = [binaries / "initdb", "-D", folder / "data", "-U", USER, "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8"]
        subprocess.run([*made, "--no-sync"], check=True, capture_output=True, cwd=folder, **as_user)
        orders = ["-c", "listen_addresses=", "-c", "fsync=off", "-c", "max_connections=60"]
        with (folder / "server.log").open("wb") as log:
            server = subprocess.Popen(
                [binaries / "postgres", "-D", folder / "data", "-k", folder, *orders],
                stdout=log, stderr=log, cwd=folder, **as_user,
            )  # fmt: skip
        try:
            _wait_for(folder, server)
            yield Server(folder)
        finally:
            # A fast shutdown: whoever is still connected is turned out.
            server.send_signal(2)
            server.wait(PATIENCE_S)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _other_user(folder: Path) -> dict[str, Any]:
    """Return how to start the server: it refuses to be run by root."""
    if os.geteuid() != 0:
        return {}
    user = pwd.getpwnam("postgres")
    os.chown(folder, user.pw_uid, user.pw_gid)
    return {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}


def _wait_for(folder: Path, server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            psycopg.connect(f"user={USER} host={folder} dbname=postgres").close()
            return
        except psycopg.OperationalError:
            if server.poll() is not None or time.monotonic() > until:
                raise RuntimeError((folder / "server.log").read_text(errors="replace")) from None
            time.sleep(0.05)
