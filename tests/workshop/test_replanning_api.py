"""Asking for a new plan over the network: from where the job stands by what came in."""

from __future__ import annotations

import shutil

import pytest

from tests.workshop.half_way import DEMO, follow, pack_of
from witnessmark.ledger.canonical import canonical_bytes
from witnessmark.ledger.pack import empty_pack, pack_digest

JOB = "/api/jobs/job-1"


@pytest.fixture
def begun(workshop, place):
    """Ben has done a third of a shaft seal on the compressor, and sent it."""
    from witnessmark.workshop import models

    shutil.copytree(DEMO / "machines", place.folder / "machines")
    shutil.copy(DEMO / "workshop.yaml", place.folder)
    models.Job.objects.filter(id="job-1").update(machine="tarn-two-stage")
    pack = pack_of("tarn-two-stage", "shaft-seal")
    workshop.ben.put(f"{JOB}/packs/{pack_digest(pack)}", canonical_bytes(pack))
    workshop.ben.write(type="begin", pack=pack_digest(pack), values={"works": pack["works"]})
    follow(workshop.ben.writes, pack, len(pack["plan"]["steps"]) // 3)
    workshop.ben.send()
    return workshop, pack


def asked(phone, **body):
    answer = phone.post(f"{JOB}/replan", body)
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_the_new_pack_is_kept_and_the_job_stays_on_its_own_until_the_phone_moves_it(begun):
    workshop, pack = begun
    found = asked(workshop.ben, added=["cooler-clean"])
    assert found["none"] is None
    assert found["minutes_after"] > found["minutes_before"] > 0
    assert found["steps"]["new"]
    fetched = workshop.ben.get(f"{JOB}/packs/{found['pack']}")
    assert fetched.status_code == 200
    new = fetched.json()
    assert [row["id"] for row in new["works"]] == ["shaft-seal", "cooler-clean"]
    assert workshop.ben.get(f"{JOB}/bench").json()["pack"] == pack_digest(pack)
    workshop.ben.write(type="rebase", pack=found["pack"], values={"changed": found["changed"]})
    workshop.ben.send()
    assert workshop.ben.get(f"{JOB}/bench").json()["pack"] == found["pack"]


def test_asked_for_a_proof_it_takes_the_time_and_is_no_worse(begun):
    workshop, _ = begun
    first, second = asked(workshop.ben), asked(workshop.ben, proof=True)
    assert second["minutes_after"] <= first["minutes_after"]
    assert second["proven"]
    assert second["may_be_shorter_by"] == 0
    assert first["proven"] is (first["may_be_shorter_by"] == 0)


def test_where_nothing_reaches_the_works_it_is_said_why(begun):
    workshop, pack = begun
    steps = pack["plan"]["steps"]
    next_ = next(s for s in steps[len(steps) // 3 :] if s["kind"] == "strip")
    found = asked(workshop.ben, struck=[[next_["object"], None]])
    assert found["pack"] is None
    assert "impossible" in found["none"]
    assert found["causes"]
    assert any("cannot be got at" in line for line in found["causes"])


def test_what_cannot_be_planned_is_answered_with_words(begun):
    from witnessmark.workshop import models

    workshop, _ = begun
    assert "no way" in asked(workshop.ben, struck=[["nothing", None]])["none"]
    assert "no work" in asked(workshop.ben, added=["paint-it"])["none"]
    models.Job.objects.filter(id="job-1").update(machine="gone-away")
    assert "no machine 'gone-away'" in asked(workshop.ben)["none"]


def test_a_machine_nobody_has_described_has_nothing_to_plan_from(workshop):
    pack = empty_pack("unknown", "unknown")
    workshop.ben.put(f"{JOB}/packs/{pack_digest(pack)}", canonical_bytes(pack))
    workshop.ben.write(type="begin", pack=pack_digest(pack), values={"works": []})
    workshop.ben.send()
    assert "nothing to plan from" in asked(workshop.ben)["none"]


def test_entries_of_a_newer_edition_are_not_planned_over(begun):
    workshop, _ = begun
    workshop.ben.write(type="hologram")
    workshop.ben.send()
    assert "newer edition" in asked(workshop.ben)["none"]


def test_only_who_is_on_the_job_may_ask(begun):
    workshop, _ = begun
    assert workshop.cal.post(f"{JOB}/replan", {}).status_code == 404
    assert workshop.stranger.post(f"{JOB}/replan", {}).status_code in {401, 404}
    assert workshop.owner.post(f"{JOB}/replan", {}).status_code == 200


@pytest.mark.parametrize(
    "body",
    [{"struck": [["a"]]}, {"struck": "all"}, {"added": ["A B"]}, {"added": ["x"] * 101}],
)
def test_a_malformed_wish_is_refused(workshop, body):
    assert workshop.ben.post(f"{JOB}/replan", body).status_code == 422


def test_while_one_proof_is_made_another_is_answered_at_once(begun):
    from witnessmark.workshop import api_replan

    workshop, _ = begun
    with api_replan._turn:
        found = asked(workshop.ben, proof=True)
    assert found["pack"]
    assert asked(workshop.ben, proof=True)["proven"]
