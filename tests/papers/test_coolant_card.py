"""The coolant card: litres, order, freezing point by named source, cautions."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from pathlib import Path

import pdfplumber
import pytest

from tests.papers.job_papers import printed, squeezed
from witnessmark.cli.plan import planned_job
from witnessmark.cli.session import open_session
from witnessmark.machine.circuit_filling import holds_coolant
from witnessmark.papers.coolant_card import coolant_card, opened_joints
from witnessmark.papers.rendering import render_pdf
from witnessmark.quantities.reading import read_quantity
from witnessmark.quantities.units import Dimension

MACHINES = Path(__file__).parents[2] / "demo/machines"


def job_on(machine: str, work: str):
    return planned_job(open_session(MACHINES / machine, [work]))


@pytest.fixture(scope="module")
def job():
    return job_on("gull-20.yaml", "thermostat")


@pytest.fixture(scope="module")
def pump_job():
    return job_on("gull-20.yaml", "water-pump")


@pytest.fixture(scope="module")
def card(job):
    return coolant_card(job)


def with_circuit(job, **changes):
    circuits = dict(job.machine.circuits)
    circuits["coolant"] = replace(circuits["coolant"], **changes)
    return replace(job, machine=replace(job.machine, circuits=circuits))


def test_what_is_due_out_is_the_charge_less_what_stays(card):
    rows = {row[0]: row[1:] for row in card["circuits"][0]["figures"]}
    assert rows["holds, full"] == ["8.6 L", "invented for the demonstration"]
    assert rows["so about this much is due out, and in again"][0] == "6.7 L"


def test_what_comes_out_below_the_lowest_joint_opened_stands_with_its_source(job, card):
    circuit = job.machine.circuits["coolant"]
    opened = opened_joints(job, circuit)
    height, out = circuit.heights["top-hose-engine-end"], circuit.comes_out["top-hose-engine-end"]
    told = with_circuit(
        job, heights=dict.fromkeys(opened, height), comes_out=dict.fromkeys(opened, out)
    )
    (only,) = coolant_card(told)["circuits"]
    name = job.machine.joints[opened[0]].name
    rows = {row[0]: row[1:] for row in only["figures"]}
    words = f"comes out when drained to below {name} only"
    assert rows[words] == ["1.2 L", "invented for the demonstration"]
    fill = next(row for row in only["order"] if "Fill slowly" in row["what"])
    assert "about 1.2 L when drained to below 690 mm only" in fill["not_before"]
    assert not any("only" in row[0] for row in card["circuits"][0]["figures"])
    text = printed("coolant-card", coolant_card(told))
    for each in ("comes out when drained to below", "1.2 L invented for the"):
        assert squeezed(each) in text


def test_a_figure_nobody_gives_is_missing_and_nothing_is_reckoned_from_it(job):
    card = coolant_card(with_circuit(job, stays_behind=None))
    rows = {row[0]: row[1:] for row in card["circuits"][0]["figures"]}
    assert rows["stays behind when drained"] == ["not given", "measure what comes out"]
    assert "so about this much is due out, and in again" not in rows


def test_the_strength_the_file_states_has_a_freezing_point_from_every_source(card):
    strength = card["circuits"][0]["strength"]
    assert strength["stated"] == "ethylene glycol, 50 % by volume"
    # ASHRAE Handbook Fundamentals 2001 (read, rows F037 and F038 of
    # tests/published/coolant/freezing_point.csv): 52 % by mass is 49.6 % by volume and freezes
    # at -36.4 °C, 53 % is 50.6 % and -37.9 °C; 50 % by volume lies four tenths of the way.
    figures = {source: figure for figure, source in strength["rows"]}
    assert len(figures) == 3
    ashrae = next(figure for source, figure in figures.items() if source.startswith("ASHRAE"))
    assert ashrae == "\N{MINUS SIGN}37.0 °C"
    assert strength["rely"].startswith(f"Rely on {ashrae}, the warmest")
    assert "52.4 % by mass is 50.0 % by volume" in strength["rely"]


@pytest.mark.parametrize(
    ("specification", "stated", "why"),
    [
        ("HP-C4", "", "The file states no strength"),
        (None, "", "The file states no strength"),
        ("ethylene glycol, 90 % by mass", "ethylene glycol, 90 % by mass", "outside the sources"),
    ],
)
def test_no_freezing_point_is_made_up(job, specification, stated, why):
    strength = coolant_card(with_circuit(job, specification=specification))["circuits"][0][
        "strength"
    ]
    assert strength["rows"] == []
    assert strength["rely"] == ""
    assert strength["stated"] == stated
    assert why in strength["why"]


def test_the_order_drains_caps_fills_bleeds_compares_and_checks_cold(card):
    said = [row["what"] for row in card["circuits"][0]["order"]]
    keys = ["cap slowly", "radiator tap", "Cap both", "counted", "Fill slowly", "bleed screw"]
    keys += ["Compare litres", "Run up", "when cold"]
    places = [next(i for i, words in enumerate(said) if key in words) for key in keys]
    assert places == sorted(places)
    assert len(set(places)) == len(places)


def test_waits_come_from_the_file_or_a_named_source(card):
    waits = {row["what"]: row["not_before"] for row in card["circuits"][0]["order"]}
    release = next(wait for what, wait in waits.items() if "cap slowly under a rag" in what)
    assert "30 min after stopping (automotive teaching task sheet" in release
    assert any("6 min of draining" in wait for wait in waits.values())
    assert any("the file allows 20 min" in wait for wait in waits.values())


def test_what_must_not_run_dry_is_primed_before_anything_runs(job):
    card = coolant_card(with_circuit(job, prime="heater pump, by its own switch"))
    said = [row["what"] for row in card["circuits"][0]["order"]]
    primed = next(i for i, words in enumerate(said) if "heater pump" in words)
    assert "bleed screw" in said[primed - 1]
    assert primed < next(i for i, words in enumerate(said) if "Run up" in words)


@pytest.mark.parametrize(
    ("level", "words"),
    [
        # The joint lies 690 mm above the drain.
        ("780 mm", "drain below it first"),
        ("690 mm", "above the level once released"),
        ("100 mm", "above the level once released"),
    ],
)
def test_joints_say_how_they_lie_to_the_level(pump_job, level, words):
    written = pump_job.machine.circuits["coolant"].level
    quantity = read_quantity(level, Dimension.LENGTH)
    card = coolant_card(with_circuit(pump_job, level=replace(written, quantity=quantity)))
    rows = {row[0]: row[1:] for row in card["circuits"][0]["joints"]}
    assert rows["top hose, engine end"] == ["690 mm", words]
    assert rows["water pump bolts"] == ["height not given", "drain first"]


def test_a_radiator_comes_off_with_its_hoses_off_and_the_coolant_out():
    radiator = job_on("gull-20.yaml", "radiator")
    (circuit,) = coolant_card(radiator)["circuits"]
    assert circuit["drained"]
    assert {row[0] for row in circuit["joints"]} == {
        "top hose, radiator end",
        "bottom hose, radiator end",
    }


def test_only_coolant_gets_the_card(job):
    assert holds_coolant(job.machine.circuits["coolant"])
    assert not holds_coolant(job.machine.circuits["gearbox-oil"])
    assert coolant_card(job_on("gull-20.yaml", "alternator")) is None


def test_the_page_has_room_for_litres_and_the_cautions(card):
    pages = pdfplumber.open(io.BytesIO(render_pdf("coolant-card", card))).pages
    words = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))
    for each in ("scalds", "poisonous", "out: caught in the container", "in: poured", "37.0 °C"):
        assert each in words
    assert "could not be printed" not in words
