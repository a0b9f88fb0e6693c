"""`witnessmark serve` answers, and leaves nobody behind when it is killed."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time

from tests.workshop.crashing import ask, free_port, group_lives


def answered(port: int) -> int:
    until = time.monotonic() + 60
    while time.monotonic() < until:
        try:
            return ask(port, "GET", "/api/jobs", None, "nobody")[0]
        except OSError:
            time.sleep(0.05)
    raise AssertionError("no answer")


def test_the_server_answers_and_its_worker_ends_when_the_parent_is_killed(tmp_path):
    port = free_port()
    command = [sys.executable, "-m", "witnessmark", "serve", "--data", str(tmp_path / "w")]
    environment = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"}
    server = subprocess.Popen(
        [*command, "--port", str(port)],
        env=environment,
        start_new_session=True,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert answered(port) == 401
        assert f"http://127.0.0.1:{port}" in server.stdout.readline()
        os.kill(server.pid, signal.SIGKILL)
        server.wait()
        until = time.monotonic() + 20
        while group_lives(server.pid) and time.monotonic() < until:
            time.sleep(0.05)
        assert not group_lives(server.pid)
    finally:
        if group_lives(server.pid):
            os.killpg(server.pid, signal.SIGKILL)
        server.stdout.close()
    assert (tmp_path / "w" / "workshop.sqlite3").is_file()
    assert (tmp_path / "w" / "secret").stat().st_mode & 0o077 == 0
