"""A PostgreSQL of our own for the tests: on a socket in a temporary folder, gone afterwards."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from pathlib import Path

import psycopg

BIN = max(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda path: int(path.parent.name))


class PostgresServer:
    """Started once; hands out empty databases, or copies of one that is ready."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="wm-pg-"))
        self.user = "postgres" if os.geteuid() == 0 else pwd.getpwuid(os.geteuid()).pw_name
        if os.geteuid() == 0:
            shutil.chown(self.folder, self.user)
        self.made = 0
        self._run(
            "initdb", "-D", "data", "-U", "workshop", "-A", "trust", "--no-sync", "-E", "UTF8"
        )
        said = f"-c listen_addresses='' -c unix_socket_directories='{self.folder}' -c fsync=off"
        self._run("pg_ctl", "-D", "data", "-w", "-o", said, "-l", "log", "start")

    def _run(self, *command: str) -> None:
        root = os.geteuid() == 0
        subprocess.run(
            [BIN / command[0], *command[1:]],
            cwd=self.folder,
            user=self.user if root else None,
            group=self.user if root else None,
            extra_groups=[] if root else None,
            env={"PATH": os.defpath, "LC_ALL": "C.UTF-8"},
            stdout=subprocess.DEVNULL,
            check=True,
        )

    def database(self) -> str:
        """Make a database without tables and give its name."""
        self.made += 1
        name = f"workshop{self.made}"
        host = str(self.folder)
        self._run("createdb", "-h", host, "-U", "workshop", "-T", "template0", name)
        return name

    def empty(self, database: str) -> None:
        """Empty the tables of a database: much quicker than another database."""
        with psycopg.connect(self.address(database)) as connection:
            rows = connection.execute(
                "SELECT quote_ident(tablename) FROM pg_tables WHERE schemaname = 'public'"
                " AND (tablename LIKE 'workshop%' OR tablename = 'django_session')"
            ).fetchall()
            connection.execute(f"TRUNCATE {', '.join(row[0] for row in rows)} CASCADE")

    def address(self, database: str) -> str:
        return f"postgresql://workshop@/{database}?host={self.folder}"

    def stop(self) -> None:
        self._run("pg_ctl", "-D", "data", "-m", "immediate", "-w", "stop")
        shutil.rmtree(self.folder)
