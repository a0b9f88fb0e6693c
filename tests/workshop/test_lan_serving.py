"""`witnessmark serve --lan`: who is let in, and a phone that was taught to trust the machine.

The browser trusts by an NSS database of its own and finds the name by a rule; it is never told to
overlook an error.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path

import pytest
from click.testing import CliRunner
from playwright.sync_api import Error, sync_playwright

from tests.workshop.crashing import free_port
from witnessmark.cli.root import command
from witnessmark.workshop.places import Place
from witnessmark.workshop.starting import start

HOST, ADDRESS = "bay-1.local", "192.168.7.20"

pytestmark = pytest.mark.xdist_group("bench")


class LanServer:
    """The command itself on a workshop with an owner."""

    def __init__(self, folder):
        self.folder, self.port = folder, free_port()
        self.origin = f"https://{HOST}:{self.port}"
        self.trust = ssl.create_default_context(cafile=None)
        words = ["serve", "--lan", "--data", folder, "--port", self.port]
        words += ["--name", HOST, "--address", ADDRESS]
        self.process = subprocess.Popen(
            [sys.executable, "-u", "-m", "witnessmark", *map(str, words)],
            env={key: value for key, value in os.environ.items() if key != "DATABASE_URL"},
            stdout=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
        self.said = ""
        while "within 10 minutes" not in self.said:
            line = self.process.stdout.readline()
            assert line, f"the server ended: {self.said}"
            self.said += line
        self.trust = ssl.create_default_context(cafile=folder / "trust" / "authority.crt")
        self._wait()

    def _wait(self):
        until = time.monotonic() + 60
        while True:
            try:
                return self.ask("/pair/")
            except OSError:
                assert time.monotonic() < until
                time.sleep(0.05)

    def ask(self, path, method="GET", name=HOST, **headers):
        """Ask over TLS, trusting the authority alone; give status, headers and body."""
        with (
            socket.create_connection(("127.0.0.1", self.port), timeout=10) as plain,
            self.trust.wrap_socket(plain, server_hostname=name) as safe,
        ):
            wanted = {"Host": f"{HOST}:{self.port}", "Connection": "close", **headers}
            head = "".join(f"{key}: {value}\r\n" for key, value in wanted.items())
            safe.sendall(f"{method} {path} HTTP/1.1\r\n{head}\r\n".encode())
            answer = b""
            while chunk := safe.recv(65_536):
                answer += chunk
        head, _, body = answer.partition(b"\r\n\r\n")
        lines = head.decode().split("\r\n")
        told = {line.split(":")[0].lower(): line for line in lines[1:]}
        told.pop("date", None)
        return int(lines[0].split()[1]), told, body

    def stop(self):
        os.killpg(self.process.pid, signal.SIGTERM)
        self.process.wait(30)
        self.process.stdout.close()


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    folder = tmp_path_factory.mktemp("lan") / "workshop"
    start(Place(folder))
    from django.db import connections

    from witnessmark.workshop.taking_in import first_owner

    first_owner("Ola Tern", "135790")
    connections.close_all()
    server = LanServer(folder)
    yield server
    server.stop()


def shut_out(server, phone):
    """Revoke a phone in the served workshop's own tables, beside the server."""
    from django.db import connections

    start(Place(server.folder), tables_are_ready=True)
    from witnessmark.workshop import models, people

    assert people.revoke(models.Device.objects.get(name=phone).id)
    connections.close_all()


@pytest.fixture
def browser(tmp_path, request):
    """Debian's Chromium with a home of its own; it trusts what the test puts into it."""
    home = tmp_path / "home"
    database = home / ".pki" / "nssdb"
    database.mkdir(parents=True)
    certutil = ["certutil", "-d", f"sql:{database}"]
    subprocess.run([*certutil, "-N", "--empty-password"], check=True)

    def trusting(authority):
        named = ["-A", "-t", "C,,", "-n", "workshop", "-i", str(authority)]
        subprocess.run([*certutil, *named], check=True)

    rules = f"--host-resolver-rules=MAP {HOST} 127.0.0.1, MAP bay-2.local 127.0.0.1"
    with ThreadPoolExecutor(max_workers=1) as thread:

        def opened():
            playwright = sync_playwright().start()
            browser = playwright.chromium.launch(
                executable_path=shutil.which("chromium"),
                args=["--no-sandbox", rules],
                env={**os.environ, "HOME": str(home)},
            )
            return playwright, browser

        started = []

        def on_a_page(doing):
            """Do something with a page of a new profile, in the browser's own thread."""

            def done():
                if not started:
                    started.extend(opened())
                context = started[1].new_context(viewport={"width": 410, "height": 860})
                try:
                    return doing(context.new_page())
                finally:
                    context.close()

            return thread.submit(done).result(timeout=120)

        on_a_page.trusting = trusting
        yield on_a_page
        if started:
            thread.submit(started[1].close).result(timeout=60)
            thread.submit(started[0].stop).result(timeout=60)


# What the command says, and to whom the server answers


def test_the_terminal_says_where_by_what_and_a_code(served):
    assert f"The workshop is at {served.origin}\n" in served.said
    assert f"https://{ADDRESS}:{served.port}" in served.said
    fingerprint = subprocess.run(
        ["openssl", "x509", "-noout", "-fingerprint", "-sha256", "-in", "trust/authority.crt"],
        cwd=served.folder,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    assert fingerprint.strip().split("=")[1] in served.said


def test_an_unpaired_device_gets_the_pairing_pages_and_one_answer_for_all_else(served):
    alike = [
        served.ask(path, method)
        for path in (
            "/",
            "/jobs/new/",
            "/nothing/",
            "/api/jobs",
            "/api/no",
            "/people",
            "/who/",
            "/first-day/",
            "/static/no.css",
            "/bench/no.js",
            "/pair/no/no/",
        )
        for method in ("GET", "POST", "OPTIONS")
    ]
    assert alike[0][0] == 401
    assert all(each == alike[0] for each in alike)
    opens = ("/pair/", "/pair/abcd2345/", "/pair/trust/", "/bench/", "/static/look/people.css")
    assert [served.ask(path)[0] for path in opens] == [200] * 5


def test_this_machine_itself_is_no_exception_on_the_network(served):
    assert served.ask("/people/", **{"X-Forwarded-For": "127.0.0.1"})[0] == 401


def test_the_authority_is_given_to_whoever_asks(served):
    status, head, body = served.ask("/pair/trust/workshop.crt")
    assert status == 200
    assert "application/x-x509-ca-cert" in head["content-type"]
    pem = (served.folder / "trust" / "authority.crt").read_text()
    assert ssl.PEM_cert_to_DER_cert(pem) == body


def test_the_address_is_trusted_as_well_and_other_names_are_not(served):
    assert served.ask("/pair/", name=ADDRESS)[0] == 200
    with pytest.raises(ssl.SSLCertVerificationError):
        served.ask("/pair/", name="bay-2.local")


def test_a_host_that_is_not_ours_is_refused(served):
    assert served.ask("/pair/", Host="elsewhere.example")[0] == 400
    assert served.ask("/nothing", Host="elsewhere.example")[0] == 400


# Phones


def test_a_browser_that_was_taught_nothing_refuses(served, browser):
    def refused(page):
        with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
            page.goto(f"{served.origin}/pair/")

    browser(refused)


def test_a_phone_that_trusts_the_machine_is_paired_and_keeps_the_bench(served, browser):
    browser.trusting(served.folder / "trust" / "authority.crt")
    address = re.search(rf"{served.origin}/pair/[0-9a-z]{{8}}/", served.said)[0]

    def paired(page):
        page.goto(address)
        page.wait_for_selector("html[data-ready]")
        page.get_by_label("What this phone is called").fill("Ola's phone")
        page.get_by_role("button", name="Pair").click()
        page.wait_for_url(f"{served.origin}/bench/**")
        page.wait_for_function(SERVICE_WORKER_IS_ACTIVE)
        assert page.goto(f"{served.origin}/people/").status == 200
        assert page.get_by_text("Ola Tern: somebody else?").is_visible()
        with ThreadPoolExecutor(max_workers=1) as elsewhere:  # no tables in the browser's thread
            elsewhere.submit(shut_out, served, "Ola's phone").result(timeout=60)
        assert page.goto(f"{served.origin}/people/").status == 401
        with pytest.raises(Error, match="ERR_CERT_COMMON_NAME_INVALID"):
            page.goto(f"https://bay-2.local:{served.port}/pair/")

    browser(paired)


SERVICE_WORKER_IS_ACTIVE = """
async () => (await navigator.serviceWorker.getRegistration("/bench/"))?.active != null
"""


# What is too long


def test_a_flood_is_not_taken_into_memory(served):
    """From a stranger and from a paired device; the limit was set before looking."""
    with ThreadPoolExecutor(max_workers=1) as elsewhere:
        secret = elsewhere.submit(paired_secret, served).result(timeout=60)
    before = most_memory(served.process.pid)
    for headers in ({}, {"Authorization": f"Bearer {secret}"}):
        for path in ("/nothing", f"/api/jobs/job-1/photos/{'0' * 64}", "/api/events"):
            flood(served, path, headers)
    assert served.ask("/pair/")[0] == 200
    assert most_memory(served.process.pid) - before < FLOOD / 2


FLOOD = 128 * 1024 * 1024


def paired_secret(server):
    from django.db import connections

    start(Place(server.folder), tables_are_ready=True)
    from witnessmark.workshop import models, people

    owner = models.Member.objects.get(role="owner").id
    secret = people.pair("flooding", "Flooding", owner)
    connections.close_all()
    return secret


def flood(server, path, headers):
    """Send far more than is taken, until the server has enough of it."""
    with (
        socket.create_connection(("127.0.0.1", server.port), timeout=30) as plain,
        server.trust.wrap_socket(plain, server_hostname=HOST) as safe,
    ):
        wanted = {"Host": f"{HOST}:{server.port}", "Content-Length": str(FLOOD), **headers}
        head = "".join(f"{key}: {value}\r\n" for key, value in wanted.items())
        safe.sendall(f"PUT {path} HTTP/1.1\r\n{head}\r\n".encode())
        some = bytes(1024 * 1024)
        with suppress(OSError):
            for _ in range(FLOOD // len(some)):
                safe.sendall(some)


def most_memory(group):
    """Add up the most each process of a group ever had resident: proc(5), VmHWM in kB."""
    most = 0
    for status in Path("/proc").glob("[0-9]*/status"):
        with suppress(OSError):
            if os.getpgid(int(status.parent.name)) == group:
                found = re.search(r"VmHWM:\s+(\d+) kB", status.read_text())
                most += int(found[1]) * 1024 if found else 0
    return most


# The command's refusals


def refusal(*words, folder):
    run = CliRunner().invoke(command, ["serve", "--data", str(folder), *words])
    assert run.exit_code == 2
    return run.stderr


def test_on_the_network_a_workshop_without_an_owner_is_not_opened(tmp_path):
    says = refusal("--lan", "--name", HOST, folder=tmp_path)
    assert "Start it once without --lan" in says


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--name", HOST], "belong to --lan"),
        (["--lan", "--name", "bay"], "one word and .local"),
        (["--lan", "--address", "8.8.8.8"], "not a private address"),
        (["--demo"], "leave --data away"),
    ],
)
def test_what_cannot_be_served_is_said(tmp_path, words, says):
    assert says in refusal(*words, folder=tmp_path)
