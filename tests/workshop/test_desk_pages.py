"""The desk's pages: a job from machine and works, what was typed stays, who may see what."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from witnessmark.workshop.library_taking import copy_library

ROOT = Path(__file__).parents[2]
PAGES = ROOT / "src" / "witnessmark" / "workshop"
BOOKED = {
    "title": "Drive belt <renewed>",
    "plate": "wm 1 abc",
    "called": "",
    "chassis": "xx123",
    "engine": "HP21",
    "mileage": "84,200 miles",
    "customer": "Dora Invented",
    "complaint": "Runs hot on hills",
    "contact": "Dora, by telephone",
    "promised": "Friday",
    "vehicle": "",
}


class Desk:
    """A browser at the desk with somebody sitting at it."""

    def __init__(self, member: str) -> None:
        from witnessmark.workshop import models

        self.client = Client(headers={"Host": "localhost"})
        self.client.force_login(models.Member.objects.get(id=member))

    def get(self, path, status=200):
        answer = self.client.get(path)
        assert answer.status_code == status, (path, answer.status_code, answer.content[-2000:])
        return answer.content.decode()

    def post(self, path, body, status=303):
        answer = self.client.post(path, body)
        assert answer.status_code == status, (answer.status_code, answer.content.decode()[:3000])
        return answer.headers.get("Location", ""), answer.content.decode()

    def form(self, path="/jobs/new/?machine=tarn-two-stage&work=drive-belt"):
        """Give what the page for a new job would send: its id and the plan that is ticked."""
        page = self.get(path)
        found = {"id": re.search(r'name="id" value="([^"]+)"', page)[1]}
        plan = re.search(r'name="plan" value="([^"]+)" checked', page)
        return found | BOOKED | ({"plan": plan[1]} if plan else {})


@pytest.fixture
def desk(workshop, place):
    copy_library(ROOT / "demo", place.folder)
    return Desk("ann")


CHOSEN = {"machine": "tarn-two-stage", "work": ["drive-belt"]}


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
    body = {"id": OWN, "name": "mine", "member": "ben"}
    assert workshop.owner.post("/api/devices", body).status_code == 409


def test_what_concerns_the_customer_stands_in_private_texts_alone(desk, place):
    from witnessmark.workshop import models, private

    desk.post("/jobs/new/", desk.form() | CHOSEN)
    kept = [bytes(row.data) for row in models.Event.objects.all()]
    kept += [bytes(row.data) for row in models.Pack.objects.all()]
    rows = str([*models.Job.objects.values(), *models.Vehicle.objects.values()])
    for said in ("WM 1 ABC", "XX123", "Dora", "hot on hills"):
        assert said not in rows
        assert not any(said.encode() in data for data in kept)
    customer = models.Customer.objects.get()
    private.delete_customer(customer.id)
    assert models.Private.objects.exclude(says=None).count() == 0
    for page in ("/", f"/jobs/{models.Job.objects.get(complaint__isnull=False).id}/", "/vehicles/"):
        assert "WM 1 ABC" not in desk.get(page)
    assert "Dora" not in desk.get("/customers/")


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


def test_a_plate_that_is_here_is_that_vehicle(desk):
    from witnessmark.workshop import models

    desk.post("/jobs/new/", desk.form() | CHOSEN)
    second = desk.form() | CHOSEN | {"plate": "WM1abc", "customer": ""}
    desk.post("/jobs/new/", second)
    assert models.Vehicle.objects.count() == 1
    assert models.Vehicle.objects.get().job_set.count() == 2
    assert "WM 1 ABC" in desk.get("/?q=wm1a")
    assert "WM 1 ABC" in desk.get("/vehicles/?q=Dora")
    assert 'class="row"' not in desk.get("/vehicles/?q=elsewhere")


def test_vehicles_and_customers_change_and_bad_input_stays_typed(desk):
    from witnessmark.workshop import models, private

    _, page = desk.post("/vehicles/new/", BOOKED | {"plate": "", "machine": "gull-20"}, 422)
    assert "give a plate" in page
    assert "xx123" in page
    where, _ = desk.post("/vehicles/new/", BOOKED | {"machine": "gull-20"})
    row = models.Vehicle.objects.get()
    before = row.plate
    desk.post(where, BOOKED | {"plate": "wm 2", "machine": "", "customer": ""})
    row.refresh_from_db()
    assert private.texts_of([row.plate]) == {row.plate: "WM 2"}
    assert private.texts_of([before]) == {before: None}
    customer = models.Customer.objects.get().id
    desk.post(f"/customers/{customer}/", {"name": "Dora I", "rest": "1 Nowhere Lane"})
    assert "1 Nowhere Lane" in desk.get("/customers/?q=nowhere")
    _, page = desk.post("/customers/new/", {"name": "", "rest": "typed before"}, 422)
    assert "typed before" in page


def test_deleting_a_customer_is_for_the_owner_and_says_what_goes(desk):
    from witnessmark.workshop import models

    desk.post("/jobs/new/", desk.form() | CHOSEN)
    path = f"/customers/{models.Customer.objects.get().id}/delete/"
    assert Desk("ben").client.get(path).status_code == 403
    assert desk.client.get(path).status_code == 302  # the PIN is asked first
    unlocked(desk)
    page = desk.get(path)
    assert "2 texts said on 1 job" in page
    assert "Backups made before still hold it all" in page
    desk.post(path, {"sure": "yes"}, 422)
    assert models.Private.objects.exclude(says=None).exists()
    desk.post(path, {"sure": "delete"})
    assert not models.Private.objects.exclude(says=None).exists()


def unlocked(desk):
    from witnessmark.workshop.sessions import _UNLOCKED
    from witnessmark.workshop.writing import now

    session = desk.client.session
    session[_UNLOCKED] = ["ann", now() + 60_000]
    session.save()


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


def test_the_library_takes_a_file_says_what_is_wrong_and_gives_it_out(desk, place):
    bad = b"witnessmark: 1\nmachine: hut\n# mine\nworks: {w: {name: W, goals: [nothing off]}}\n"

    def brought(data, more=(), name="hut.yaml", who=desk, status=303):
        body = {"file": SimpleUploadedFile(name, data), "name": "", **dict(more)}
        return who.post("/library/", body, status)

    where, _ = brought(bad)
    assert "hut.yaml:4:" in desk.get(where)
    assert "1 complaint: no job can be planned on it" in desk.get("/library/")
    assert "Not on offer" in desk.get("/jobs/new/")
    _, page = brought(bad + b"\n", status=422)
    assert "Tick “replace”" in page
    _, page = brought(bad + b"\n", {"replace": "yes"}, who=Desk("ben"), status=422)
    assert "only the owner or a lead" in page
    brought(bad + b"# more\n", {"replace": "yes"})
    answer = desk.client.get("/library/file/hut")
    assert answer.content == bad + b"# more\n"
    assert "attachment" in answer["Content-Disposition"]
    _, page = brought(b"x", name="../up.yaml".replace("../", "%2e"), status=422)
    assert "Not kept" in page
    desk.get("/library/file/../workshop", 404)
    assert desk.client.get("/library/workshop.yaml").content.startswith(b"# The demonstration")
    body = {"file": SimpleUploadedFile("w.yaml", b"workshop: 1\nname: W\nrate: much\n")}
    _, page = desk.post("/library/workshop/", body, 422)
    assert "not taken" in page


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_an_upload_that_is_far_too_long_is_not_even_read(desk):
    long = SimpleUploadedFile("long.yaml", b"#" * (17 * 1024 * 1024))
    assert desk.client.post("/library/", {"file": long}).status_code == 400
    too_long = SimpleUploadedFile("long.yaml", b"#" * (13 * 1024 * 1024))
    _, page = desk.post("/library/", {"file": too_long}, 422)
    assert "at most 12,000,000 bytes" in page


@pytest.fixture
def counted():
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    def count(ask):
        with CaptureQueriesContext(connection) as queries:
            ask()
        return len(queries)

    return count


def many(first, last):
    from tests.workshop.test_desk_lists import kept_at_once, opened
    from witnessmark.workshop import models

    opened(first, last, folded=True)
    kept = kept_at_once("customer", [f"C {number}\nLane" for number in range(first, last)])
    models.Customer.objects.bulk_create(
        models.Customer(id=f"c-{n}", details=each) for n, each in enumerate(kept, first)
    )
    models.Vehicle.objects.filter(id__in=[f"v-{n}" for n in range(first, last)]).update(
        customer="c-0"
    )


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_lists_take_as_many_queries_for_a_thousand_jobs_as_for_ten(desk, counted):
    pages = ("/", "/wall/", "/?q=N", "/vehicles/", "/customers/", "/jobs/new/", "/vehicles/v-0/")
    many(0, 10)
    for page in pages:
        desk.get(page)
    few = [counted(lambda page=page: desk.get(page)) for page in pages]
    many(10, 1000)
    lots = [counted(lambda page=page: desk.get(page)) for page in pages]
    assert lots == few
    assert max(few) <= 14


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_a_job_s_page_takes_as_many_queries_however_long_its_record(desk, workshop, counted):
    ben = workshop.ben
    ben.write(type="stopped")
    ben.send()
    desk.get("/jobs/job-1/")
    few = counted(lambda: desk.get("/jobs/job-1/"))
    for number in range(60):
        ben.write(type="put", values={"kind": "rag", "what": f"rag {number}", "how": "in"})
    ben.send()
    assert counted(lambda: desk.get("/jobs/job-1/")) == few <= 24


TEMPLATES = sorted((PAGES / "templates").rglob("*.html"))


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda path: path.name)
def test_no_page_has_what_the_content_policy_would_break_or_let_through(template):
    """With eval off, filters of triggers let everything through and `hx-on` does nothing."""
    text = template.read_text("utf-8")
    assert "hx-on" not in text
    for trigger in re.findall(r'hx-trigger="([^"]*)"', text):
        assert "[" not in trigger, trigger
    assert not re.search(r"hx-(vals|headers|vars)=[\"']js:", text)
    assert not re.search(r"\son[a-z]+\s*=", text)
    assert not re.search(r"\sstyle\s*=", text)
    assert "<style" not in text
    assert all("src=" in tag for tag in re.findall(r"<script\b[^>]*>", text))
    for form in re.findall(r"<form\b.*?</form>", text, re.DOTALL):
        if 'method="post"' in form[: form.index(">")] and "data-sends" not in form:
            assert "csrf_token" in form or 'id="pair"' in form, form[:80]


def test_a_form_without_the_token_is_refused(desk, workshop):
    from witnessmark.workshop import models

    client = Client(enforce_csrf_checks=True, headers={"Host": "localhost"})
    client.force_login(models.Member.objects.get(id="ann"))
    for path in ("/jobs/new/", "/customers/new/", "/vehicles/new/", "/library/"):
        assert client.post(path, {"title": "x", "name": "x"}).status_code == 403
