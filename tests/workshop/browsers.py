"""A browser without a screen: keeps cookies, sends the token that forms carry."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

from django.test import Client

HERE, ELSEWHERE = "127.0.0.1", "192.168.7.20"


class SafeClient(Client):
    """Asks over TLS, as far as Django can tell."""

    def generic(self, method: str, path: str, *args: Any, **more: Any) -> Any:
        return super().generic(method, path, *args, **more | {"secure": True})


class Browser:
    """A browser at an address; `on` is who serves it: `localhost`, or a name on the network."""

    def __init__(self, address: str = HERE, on: str = "localhost", *, secure: bool = False) -> None:
        self.client = (SafeClient if secure else Client)(
            enforce_csrf_checks=True,
            raise_request_exception=False,
            headers={"Host": on},
            REMOTE_ADDR=address,
        )
        self.origin = f"{'https' if secure else 'http'}://{on}"

    def get(self, path: str, **headers: str) -> Any:
        return self.client.get(path, headers=headers)

    def post(self, path: str, *, page: str | None = None, **fields: Any) -> Any:
        """Send the form of a page, as it is served: with its token."""
        shown = self.get(page or path).content.decode()
        found = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', shown)
        token = {"csrfmiddlewaretoken": found[1]} if found else {}
        return self.client.post(path, token | fields, headers={"Origin": self.origin})

    def is_who(self, member: str) -> Browser:
        assert self.post("/who/", member=member).status_code == 302
        return self

    def with_settings_open(self, pin: str) -> Browser:
        assert self.post("/settings/open/", pin=pin).status_code == 302
        return self


def words(answer: Any) -> str:
    """Give the text of a page, without its markup."""
    text = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return " ".join(unescape(text).split())
