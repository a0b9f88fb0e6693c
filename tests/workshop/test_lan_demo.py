"""`witnessmark serve --demo`: invented jobs in a folder that is gone, however the command ends."""

from __future__ import annotations

import http.client
import os
import signal
import subprocess
import sys
import time

from tests.workshop.crashing import free_port, group_lives


class Server:
    """The command in a process group of its own; temporary folders lie where the test looks."""

    def __init__(self, folder, *words, **environment):
        self.port = free_port()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "witnessmark", "serve", "--port", str(self.port), *words],
            env={k: v for k, v in os.environ.items() if k != "DATABASE_URL"}
            | {"TMPDIR": str(folder)}
            | environment,
            stdout=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
        until = time.monotonic() + 120
        while True:
            try:
                self.get("/who/")
            except OSError:
                assert time.monotonic() < until, "the server never answered"
                time.sleep(0.1)
            else:
                return

    def get(self, path):
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        try:
            connection.request("GET", path)
            answer = connection.getresponse()
            return answer.status, answer.read().decode()
        finally:
            connection.close()

    def end(self, by):
        os.kill(self.process.pid, by)
        said = self.process.communicate(timeout=60)[0]
        until = time.monotonic() + 30
        while group_lives(self.process.pid) and time.monotonic() < until:
            time.sleep(0.05)
        assert not group_lives(self.process.pid)
        return said


def test_the_demonstration_is_there_at_once_and_gone_at_the_end(tmp_path):
    server = Server(tmp_path, "--demo")
    assert [each.name.startswith("witnessmark-demo-") for each in tmp_path.iterdir()] == [True]
    status, shown = server.get("/who/")
    assert status == 200
    assert "Ola Tern" in shown
    said = server.end(signal.SIGTERM)
    assert f"http://127.0.0.1:{server.port}" in said
    assert "PIN in the demonstration is 135790" in said
    assert list(tmp_path.iterdir()) == []


def test_a_passing_folder_is_gone_also_when_the_command_is_killed(tmp_path):
    """What the worker of a demonstration does, tried on a folder that takes less time to fill."""
    folder = tmp_path / "passing"
    server = Server(tmp_path, "--data", str(folder), WITNESSMARK_PASSING="1")
    assert folder.is_dir()
    server.end(signal.SIGKILL)
    assert not folder.exists()


def test_a_kept_folder_stays_when_the_command_is_killed(tmp_path):
    folder = tmp_path / "kept"
    server = Server(tmp_path, "--data", str(folder))
    server.end(signal.SIGKILL)
    assert (folder / "workshop.sqlite3").is_file()
