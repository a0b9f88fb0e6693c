"""How long a tap takes until it is on the phone's disk, and the bench until it is open."""

from __future__ import annotations

import json
import os
import statistics
import tempfile
from pathlib import Path
from typing import Any

from tests.bench.bare import PAGE, fetch, load
from tests.bench.phones import Phone, Phones
from tests.bench.servers import WorkshopServer, demo_workshop

TAPS = int(os.environ.get("TAPS", "300"))
OPENS = int(os.environ.get("OPENS", "20"))

JOB = "demo-stopped"
"""The demonstration's timing belt job."""

SLOWER = 4
"""How many times slower the processor is made, as a middling phone's is."""

TAP = """
const [job, taps] = args;
const record = await wm.openRecord(wm.store, job);
record.addEventListener("change", () => record.outstanding());
const took = [];
for (let tap = 0; tap < taps; tap += 1) {
  const begun = performance.now();
  await record.write("measured", { note: `tap ${tap}` });
  took.push(performance.now() - begun);
  await new Promise((resolve) => setTimeout(resolve, 100));
}
record.close();
return took;
"""

FOLD = """
const record = await wm.openRecord(wm.store, args[0]);
const begun = performance.now();
record.outstanding();
return [performance.now() - begun, record.graph.order.length];
"""

IS_KEPT = """
const kept = await navigator.serviceWorker.getRegistration("/bench/");
return kept?.active?.state === "activated";
"""

STAMP = """
new MutationObserver((_, watching) => {
  if (!document.querySelector("#bench[data-ready]")) return;
  watching.disconnect();
  document.documentElement.dataset.openedAfter = performance.now();
}).observe(document, { attributes: true, childList: true, subtree: true });
"""


def run(json_file: str | None = None) -> None:
    """Measure, with the processor as it is and slower, the workshop there, frozen and gone."""
    with tempfile.TemporaryDirectory() as folder:
        figures = _measured(Path(folder))
    for name, value in figures.items():
        print(f"{name}: {value}")
    if json_file is not None:
        Path(json_file).write_text(json.dumps(figures, indent=1), "utf-8")
    if figures["tap to stored"]["p95, ms"] >= 50 or figures["open offline"]["p95, ms"] >= 1000:
        raise SystemExit("slower than promised: 50 ms for a tap, 1 s to open offline")


def _measured(folder: Path) -> dict[str, Any]:
    demo_workshop(folder / "workshop")
    server = WorkshopServer(folder / "workshop").start()
    phones = Phones(folder / "profiles")
    figures: dict[str, Any] = {}
    try:
        phone = phones.phone("phone", server, lasting=True).open("/bench/").pair()
        phone.eventually(IS_KEPT)
        load(phone.open(PAGE))
        fetch(phone, JOB)
        _taps(phone, server, figures)
        took, entries = phone.run(FOLD, JOB)
        figures["folding the job whole"] = {"ms": round(took, 1), "entries": entries}
        server.kill()
        _opens(phone, figures)
    finally:
        phones.stop()
        server.stop()
    return figures


def _taps(phone: Phone, server: WorkshopServer, figures: dict[str, Any]) -> None:
    figures["tap to stored"] = _summed(phone.run(TAP, JOB, TAPS))
    _slow(phone, SLOWER)
    figures[f"tap to stored, {SLOWER} times slower"] = _summed(phone.run(TAP, JOB, TAPS // 3))
    _slow(phone, 1)
    server.freeze()
    figures["tap to stored, workshop frozen"] = _summed(phone.run(TAP, JOB, TAPS // 3))
    server.thaw()


def _opens(phone: Phone, figures: dict[str, Any]) -> None:
    phone.do(lambda page: page.context.add_init_script(STAMP))
    figures["open offline"] = _summed(_opened(phone, "#/", 1))
    figures["open a job offline"] = _summed(_opened(phone, f"#/job/{JOB}", 1))
    slower = _summed(_opened(phone, "#/", SLOWER))
    figures[f"open offline, {SLOWER} times slower"] = slower


def _opened(phone: Phone, address: str, slower: float) -> list[float]:
    took = []
    for _ in range(OPENS):
        phone.page.goto("about:blank")
        _slow(phone, slower)
        phone.page.goto(f"{phone.server.origin}/bench/{address}")
        phone.page.wait_for_selector("#bench[data-ready]")
        took.append(float(phone.run("return document.documentElement.dataset.openedAfter;")))
    return took


def _slow(phone: Phone, times: float) -> None:
    def throttle(page: Any) -> None:  # noqa: ANN401 - the driver's page
        session = page.context.new_cdp_session(page)
        session.send("Emulation.setCPUThrottlingRate", {"rate": times})

    phone.do(throttle)


def _summed(took: list[float]) -> dict[str, float]:
    cut = statistics.quantiles(took, n=20)
    return {
        "times": len(took),
        "median, ms": round(statistics.median(took), 1),
        "p95, ms": round(cut[-1], 1),
        "most, ms": round(max(took), 1),
    }
