"""A phone at a machine that nobody has described: what hands do there, counted."""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from typing import Any

from PIL import Image, ImageDraw

from tests.bench.phones import Phone


def photo(words: str) -> bytes:
    """A small JPEG, another for other words."""
    image = Image.new("RGB", (320, 240), (190, 186, 176))
    draw = ImageDraw.Draw(image)
    draw.rectangle((40, 40, 280, 200), fill=(120, 122, 126), outline=(30, 30, 30), width=6)
    draw.text((60, 100), words, fill=(250, 250, 245))
    made = io.BytesIO()
    image.save(made, "JPEG")
    return made.getvalue()


@dataclass
class Hands:
    """Taps, photos and lines, each counted where it happens."""

    phone: Phone
    taps: int = 0
    photos: int = 0
    typed: int = 0
    log: list[str] = field(default_factory=list)

    def tap(self, selector: str) -> None:
        """Tap something that can be seen."""
        self.taps += 1
        self.log.append(selector)
        self.phone.page.locator(selector).first.tap()

    def shoot(self, button: str, words: str) -> None:
        """Tap a button that opens the camera, and take the photo."""
        self.taps += 1
        self.photos += 1
        self.log.append(button)
        picture = {"name": "photo.jpg", "mimeType": "image/jpeg", "buffer": photo(words)}
        self.phone.page.locator(f"{button} input").set_input_files(picture)

    def say(self, line: str) -> None:
        """Type or dictate a line for the last thing, and write it."""
        self.typed += 1
        self.phone.page.locator("input.line").fill(line)
        self.tap("[data-tap='name']")
        self.phone.page.locator("[data-tap='more']").wait_for()

    def fill(self, key: str, words: str) -> None:
        """Type into a field by its key."""
        self.typed += 1
        self.phone.page.locator(f"[data-key='{key}']").fill(words)

    def begin(self) -> str:
        """Begin a job from the photo of its plate; give its id."""
        self.tap("[data-tap='take']")
        self.shoot("[data-tap='plate']", "plate")
        self.phone.page.locator("[data-things='0']").wait_for()
        return str(self.phone.page.url).rpartition("#/take/")[2]

    def off(self, number: int, words: str = "") -> None:
        """Take one thing off: a photo, and nothing else."""
        self.shoot("[data-tap='shutter']", words or f"thing {number}")
        self.phone.page.locator(f"[data-things='{number}']").wait_for()

    def to(self, address: str) -> None:
        """Go to a screen by its address."""
        self.phone.run("window.location.hash = args[0]", address)

    def standing(self, job: str) -> dict[str, Any]:
        """Fold the job as the phone holds it."""
        return dict(self.phone.run(STANDING, job))


STANDING = """
const { openStore } = await import("/static/bench/store.js");
const { openRecord } = await import("/static/bench/records.js");
const { thingsOf } = await import("/static/bench/capture/things.js");
const store = await openStore();
const record = await openRecord(store, args[0]);
const registers = record.registers();
const found = {
  title: record.title,
  outstanding: record.outstanding().map(({ kind, says }) => [kind, says]),
  flags: record.state.rows.flags.map(({ says }) => says),
  registers: Object.fromEntries(
    Object.entries(registers).map(([name, rows]) => [name, rows.map(({ says }) => says)])),
  figures: registers.figures.map(({ says, how }) => [says, how]),
  closings: record.state.rows.closings.map(({ what }) => what),
  handing: record.gate("handing-back").open.map(({ says }) => says),
  waiting: record.waiting,
  things: thingsOf(record.state).map((each) => ({
    id: each.id, name: each.name, kind: each.kind, state: each.state, of: each.of,
    holds: each.holds, photos: each.photos.length, lies: each.values["where it lies"] ?? null,
    lengths: each.values.lengths ?? null, thread: each.values.thread ?? null,
  })),
};
record.close();
store.close();
return found;
"""
