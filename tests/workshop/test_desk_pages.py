"""The desk's pages: a job from machine and works, what was typed stays, who may see what."""

from __future__ import annotations

import re

import pytest

from tests.workshop.desk_visitor import CHOSEN, Desk


def test_a_job_from_machine_and_works_is_planned_packed_and_begun(desk, place):
    from witnessmark.workshop import models
    from witnessmark.workshop.job_planning import plan_job
    from witnessmark.workshop.standing import history, pack_of
    from witnessmark.workshop.verifying import verify

    form = desk.form() | CHOSEN | {"member": ["ben"]}
    where, _ = desk.post("/jobs/new/", form)
    job = models.Job.objects.get(title="Drive belt <renewed>")
    assert where == f"/jobs/{job.id}/"
    graph = history(job.id)
    [begin] = graph.events.values()
    assert (begin["type"], begin["device"], begin["person"]) == ("begin", "workshop", "ann")
    assert begin["values"]["works"] == [{"id": "drive-belt", "name": "Renew the drive belt"}]
    planned = plan_job(place.folder, "tarn-two-stage", ["drive-belt"], 3)
    assert pack_of(graph)["plan"] in [each.pack["plan"] for each in planned]
    assert set(job.onjob_set.values_list("member_id", flat=True)) == {"ann", "ben"}
    assert verify().word == "intact"
    page = desk.get(where)
    assert "Drive belt &lt;renewed&gt;" in page
    assert "Runs hot on hills" in page
    again, _ = desk.post("/jobs/new/", form)
    assert again == where
    assert models.Vehicle.objects.count() == models.Customer.objects.count() == 1


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_the_workshop_s_own_entries_stay_in_whoever_leaves(desk, workshop):
    from witnessmark.workshop import models, people
    from witnessmark.workshop.own_chain import OWN, write_own

    ann, ben = (models.Member.objects.get(id=id_) for id_ in ("ann", "ben"))
    first = write_own("job-1", ann, "stopped")
    assert people.revoke(OWN)  # as when all that stands under somebody's name is shut out
    second = write_own("job-1", ben, "returned")
    assert models.Event.objects.filter(id__in=[first, second], held=False).count() == 2
    listed = {each["id"] for each in workshop.owner.get("/api/devices").json()}
    assert OWN not in listed
    with pytest.raises(ValueError, match="give this one another id"):
        people.pair(OWN, "mine", "ben")


def test_a_refused_job_keeps_what_was_typed_and_nothing_else(desk):
    from witnessmark.workshop import models

    form = desk.form() | CHOSEN | {"title": " "}
    _, page = desk.post("/jobs/new/", form, 422)
    assert "say in a few words what the job is" in page
    for typed in ("wm 1 abc", "xx123", "HP21", "84,200 miles", "Dora Invented", "Runs hot"):
        assert typed in page
    assert re.search(r'id="work-drive-belt"[^>]* checked', page)
    assert models.Vehicle.objects.count() == models.Customer.objects.count() == 0
    _, page = desk.post("/jobs/new/", form | {"title": "T", "plan": "none"}, 422)
    assert "take one of the plans" in page
    _, page = desk.post("/jobs/new/", form | {"title": "T", "mileage": "9" * 50}, 422)
    assert "at most 40 characters" in page
    assert models.Job.objects.count() == 2


def test_looking_at_plans_opens_nothing(desk):
    from witnessmark.workshop import models

    form = desk.form() | CHOSEN | {"look": "1"}
    _, page = desk.post("/jobs/new/", form, 200)
    assert 'name="plan"' in page
    assert "why:" in page
    assert "Missing here" in page
    assert "Runs hot on hills" in page
    assert models.Job.objects.count() == 2


def test_each_further_work_has_its_price_and_it_is_the_planner_s(desk, place):
    from witnessmark.quantities.duration import minutes_text
    from witnessmark.workshop.job_planning import plan_job

    _, page = desk.post("/jobs/new/extras/", CHOSEN, 200)
    said = dict(re.findall(r'id="extra-([a-z-]+)"[^>]*>([^<]*)<', page))

    def total(*works):
        return plan_job(place.folder, "tarn-two-stage", works)[0].job.cost.total

    alone = total("drive-belt")
    assert said["drive-belt"] == f"+ {minutes_text(alone)}"
    more = total("drive-belt", "shaft-seal") - alone
    assert said["shaft-seal"] == f"+ {minutes_text(more)}"
    assert more < total("shaft-seal")


def test_an_offer_is_answered_and_the_answer_is_in_the_record(desk):
    from witnessmark.workshop.standing import history

    def answers(works, **answered):
        form = desk.form(
            "".join(["/jobs/new/?machine=tarn-two-stage", *(f"&work={w}" for w in works)])
        )
        where, _ = desk.post(
            "/jobs/new/", form | {"machine": "tarn-two-stage", "work": works} | answered
        )
        [begin] = history(where.split("/")[2]).events.values()
        return begin["values"].get("offers")

    assert answers(["shaft-seal"], **{"offer-drive-belt": "no"}) == [
        {"answer": "no", "work": "drive-belt"}
    ]
    assert answers(["shaft-seal", "drive-belt"]) == [{"answer": "yes", "work": "drive-belt"}]
    assert answers(["shaft-seal"]) is None


def test_what_blocks_an_impossible_request_is_named_with_its_place(desk, place):
    from witnessmark.workshop.job_planning import plan_job

    planned = plan_job(place.folder, "tarn-two-stage", ["drive-belt"])[0]
    struck = [
        f"{planned.compiled.problem.openings[index].id}|{way.id}"
        for index in planned.result.plan.ways
        for way in planned.compiled.openings[index].ways
    ]
    look = desk.form() | CHOSEN | {"look": "1", "struck": struck}
    _, page = desk.post("/jobs/new/", look, 200)
    assert "cannot be got at on this machine" in page
    assert 'name="plan"' not in page
    assert page.count('name="struck"') == len(struck)


def test_a_machine_nobody_has_described_needs_a_title_and_no_more(desk):
    from witnessmark.workshop import models

    form = {"id": desk.form("/jobs/new/")["id"], "title": "Noise under the bonnet"}
    where, _ = desk.post("/jobs/new/", form)
    page = desk.get(where)
    assert "a machine nobody has described" in page
    assert models.Job.objects.get(title="Noise under the bonnet").vehicle is None


def test_a_job_is_there_for_those_who_may_see_it(desk, workshop):
    ben, cal = Desk("ben"), Desk("cal")
    assert "Job 1" in ben.get("/")
    assert "Job 2" not in ben.get("/")
    for path in ("/jobs/job-2/", "/jobs/none/", "/jobs/job-2/booking/"):
        assert "no such page" in ben.get(path, 404)
    cal.post("/jobs/job-1/people/", {"member": ["cal"]}, 404)
    desk.post("/jobs/job-1/people/", {"member": ["ben", "cal"]})
    assert "Job 1" in cal.get("/")
    ben.post("/jobs/job-1/people/", {"member": []})  # nobody shuts themselves out
    assert "Job 1" in ben.get("/")
    assert "Job 1" not in cal.get("/")


def test_the_job_page_says_it_all_and_lets_late_entries_in(desk, workshop):
    from tests.workshop.small_workshop import named, pack_bytes

    ben, pack = workshop.ben, pack_bytes()
    ben.put(f"/api/jobs/job-1/packs/{named(pack)}", pack)
    ben.write(type="begin", pack=named(pack))
    ben.write(type="put", values={"kind": "rag", "what": "blue rag", "how": "in"})
    ben.write(type="stopped")
    ben.send()
    page = desk.get("/jobs/job-1/")
    for words in ("blue rag", "broken off", "before closing up", "Stopped", "Arrival book"):
        assert words in page, words
    workshop.owner.post("/api/devices/phone-ben/revoke")
    late = ben.write(type="put", values={"kind": "tool", "what": "long pry bar", "how": "in"})
    ben.send()
    page = desk.get("/jobs/job-1/")
    assert "Late entries" in page
    assert late in page
    desk.post("/jobs/job-1/let-in/", {"event": late})
    page = desk.get("/jobs/job-1/")
    assert "Late entries" not in page
    assert "long pry bar" in page
    desk.post("/jobs/job-1/let-in/", {"event": "0" * 64}, 404)


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_no_gate_says_that_nothing_is_open_because_it_was_asked_of_nothing(desk, place):
    """A lock in holds a shaft: turning by hand looks at the shaft that would be turned."""
    from witnessmark.workshop import models
    from witnessmark.workshop.job_sheet import job_sheet
    from witnessmark.workshop.own_chain import write_own

    form = desk.form("/jobs/new/?machine=gull-20&work=timing-belt")
    where, _ = desk.post("/jobs/new/", form | {"machine": "gull-20", "work": ["timing-belt"]})
    job, ann = models.Job.objects.get(id=where.split("/")[2]), models.Member.objects.get(id="ann")

    def turning():
        gates = {each.name: each.open for each in job_sheet(job).gates}
        return [says for says in gates["before turning by hand"] if "crank pin" in says]

    assert turning() == []
    write_own(job.id, ann, "done", action="put-in", object="crank-pin")
    assert turning() != []
    assert "before turning by hand: nothing open" not in desk.get(where)


def test_the_booking_changes_and_what_was_said_before_is_gone(desk):
    from witnessmark.workshop import models, private

    where, _ = desk.post("/jobs/new/", desk.form() | CHOSEN)
    before = models.Job.objects.get(machine="tarn-two-stage").complaint
    changed = {"title": "T", "complaint": "Drips", "contact": "", "promised": "", "mileage": ""}
    _, page = desk.post(f"{where}booking/", changed | {"plate": "nobody's"}, 422)
    assert "no vehicle has this plate" in page
    assert "Drips" in page
    desk.post(f"{where}booking/", changed)
    assert private.texts_of([before]) == {before: None}
    assert "Drips" in desk.get(where)
