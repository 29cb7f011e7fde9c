"""The project form, sent as a browser without JavaScript sends it, and as its script does."""

import re

import pytest

from api.keys import new_key
from api.limits import Limits
from tests.malformed import BASE
from tests.pages.walking import HTML, Page, seen, sent

NASTY = [
    "<script>alert(1)</script>",
    "\"quoted\" & 'more' </textarea>",
    "رف المضخة 🔧 pump",
    "x" * 10_000,
    "{{ 7 * 7 }}{% raw %}",
    "a\x00b",
]
WALL = {"wall.width": "8 ft", "wall.height": "5' 6 1/2\"", "wall.studs.first": "8"}
SHEET = {"sheet.0.name": "birch", "sheet.0.length": "8 ft", "sheet.0.width": "48", "sheet.0.thickness": "23/32"}
FILLED = {"project.name": "Pottery studio", "saw.kerf": "1/8", **WALL, **SHEET, "sheet.0.price": "86.50"}


@pytest.fixture
def blank(service):
    return _begun(service)


def _begun(service):
    token = seen(service.client, "/").values["token"]
    return sent(service.client, "/start/blank", {"token": token, "unit": "in"}).headers["location"]


def _sent(service, address, **more):
    """Send the form as it stands, with changes; the page shown after it."""
    page = seen(service.client, address)
    fields = page.values | {name: value for name, value in more.items() if value is not None}
    return sent(service.client, address.partition("?")[0], fields)


def _followed(service, address, changed, page=None, **more):
    """What the form's script gets after a field was changed."""
    page = page or seen(service.client, address)
    answer = sent(
        service.client, f"{address}/typed", page.values | more,
        headers={"hx-request": "true", "hx-trigger-name": changed},
    )  # fmt: skip
    return answer, Page(answer.text)


def test_from_blank_to_an_ordered_plan(service, blank):
    answer = _sent(service, blank, **FILLED, do="add holder")
    assert answer.status_code == 303
    assert answer.headers["location"] == f"{blank}#holder-0"
    page = seen(service.client, blank)
    assert "holder-0" in page.ids
    assert {name: page.values[name] for name in FILLED} == FILLED
    holder = {
        "holder.0.name": "glaze shelf",
        "holder.0.style": "shelf",
        "holder.0.width": "24",
        "holder.0.height": "10",
    }
    answer = _sent(service, blank, **holder, do="plan", **{"order.seconds": "30"})
    assert answer.status_code == 303
    plan = service.client.get(f"/v1{answer.headers['location']}").json()
    assert (plan["kind"], plan["seconds"], plan["project"]) == ("plan", 30.0, blank.rpartition("/")[2])
    document = service.client.get(f"/v1{blank}").json()
    assert document["wall"]["height"] == "5' 6 1/2\""
    assert document["sheet"] == [
        {"name": "birch", "length": "8 ft", "width": "48", "thickness": "23/32", "price": 86.5}
    ]
    assert "Plan is being looked for" in seen(service.client, blank).words


def test_faults_are_counted_at_the_top_and_stand_beside_their_fields(service, blank):
    slips = {"saw.kerf": "thin", "sheet.0.price": "$86.50", "wall.rows": "6, 7", "project.name": "Bay"}
    answer = _sent(service, blank, **(FILLED | slips), do="plan")
    assert (answer.status_code, answer.headers["location"]) == (303, f"{blank}?check=1#summary")
    page = seen(service.client, f"{blank}?check=1")
    for name, value in (FILLED | slips).items():
        assert page.values[name] == value
    assert "3 faults to mend" in page.words
    links = [one["href"][1:] for one in page.of("a") if one.get("href", "").startswith("#")]
    assert {"saw-kerf", "sheet-0-price", "wall-rows"} <= set(links)
    assert set(links) <= set(page.ids)
    faulty = {one["name"] for kind in ("input", "select") for one in page.of(kind) if one.get("aria-invalid")}
    assert faulty == {"saw.kerf", "sheet.0.price", "wall.rows"}
    fault = re.search(r'id="sheet-0-price-fault">([^<]+)<', page.text)[1].replace("&#39;", "'")
    document = {**BASE, "sheet": [BASE["sheet"][0] | {"price": "$86.50"}]}
    said = service.client.post("/v1/projects", json=document, headers={"x-csrf-token": page.values["token"]})
    assert said.json()["errors"][0]["detail"] == f"sheet[1].price: {fault}"


def test_what_is_missing_is_told_once_it_is_asked_for(service, blank):
    assert "is missing" not in seen(service.client, blank).words
    _sent(service, blank, do="keep")
    assert "is missing" not in seen(service.client, blank).words
    assert service.client.get(f"/v1{blank}").status_code == 404
    address = _sent(service, blank, do="plan").headers["location"].partition("#")[0]
    page = seen(service.client, address)
    assert "there is no stock to cut from" in page.words
    assert page.values["check"] == "1"
    kept = _sent(service, address, do="add part").headers["location"]
    assert kept == f"{blank}?check=1#part-0"


@pytest.mark.parametrize("place", ["wall.keepout", "offcut", "holder", "sheet"])
def test_rows_come_and_go_without_a_loss(service, blank, place):
    _sent(service, blank, **FILLED)
    before = len(re.findall(rf'id="{place.replace(".", "-")}-\d+"', seen(service.client, blank).text))
    for _ in range(2):
        answer = _sent(service, blank, do=f"add {place}")
        assert answer.headers["location"].partition("#")[2] in seen(service.client, blank).ids
    name = f"{place}.{before + 1}.name"
    _sent(service, blank, **{name: "the last"})
    answer = _sent(service, blank, do=f"remove {place}.{before}")
    page = seen(service.client, blank)
    assert answer.headers["location"].partition("#")[2] in page.ids
    assert page.values[f"{place}.{before}.name"] == "the last"
    assert name not in page.values
    assert page.values["wall.width"] == "8 ft"


def test_what_cannot_be_done_to_rows_changes_nothing(service, blank):
    before = seen(service.client, blank).values
    for do in ("add nothing", "remove sheet.9", "remove", "add", "fly", "add wall.keepout.0", "remove <script>"):
        assert _sent(service, blank, do=do).status_code == 303
    after = seen(service.client, blank).values
    changing = ("mark", "tab", "once")
    assert {k: v for k, v in after.items() if k not in changing} == {
        k: v for k, v in before.items() if k not in changing
    }


@pytest.mark.parametrize("name", NASTY, ids=lambda name: name[:12])
def test_names_are_data(service, blank, name):
    _sent(service, blank, **(FILLED | {"project.name": name, "sheet.0.name": name}), do="add wall.keepout")
    _sent(service, blank, **{"wall.keepout.0.name": name, "wall.keepout.0.x": "1", "wall.keepout.0.y": "1"})
    for address in (blank, f"{blank}?check=1", "/"):
        page = seen(service.client, address)
        assert "<script>alert" not in page.text
        assert "49" not in page.text.partition('id="main"')[2].partition("viewBox")[0].replace("&#", "")[:300]
        assert not [one for _, one in page.tags if any(key.startswith("on") for key in one)]
    page = seen(service.client, blank)
    assert page.values["sheet.0.name"] == name.replace("\x00", page.values["sheet.0.name"][1:2])
    answer, part = _followed(service, blank, "sheet.0.name")
    assert answer.status_code == 200
    assert "<script>alert" not in part.text


def test_a_lone_half_of_a_character_from_a_file_is_shown_and_refused(service):
    token = seen(service.client, "/").values["token"]
    text = '{"project": {"name": "a\\ud800b"}, "saw": {"kerf": 0}}'
    answer = service.client.post(
        "/start/file", data={"token": token}, files={"file": ("a.json", text)}, headers=HTML, follow_redirects=False
    )
    assert "no character" in seen(service.client, answer.headers["location"]).words


def test_every_field_has_its_label_and_every_id_is_one(service):
    token = seen(service.client, "/").values["token"]
    for demo in ("wall", "parts"):
        address = sent(service.client, "/start/demo", {"token": token, "demo": demo}).headers["location"]
        page = seen(service.client, address)
        assert len(page.ids) == len(set(page.ids))
        labelled = {one["for"] for one in page.of("label")}
        fields = [one for kind in ("input", "select") for one in page.of(kind) if one.get("type") != "hidden"]
        assert {one["id"] for one in fields} == labelled
        described = {name for one in fields for name in one["aria-describedby"].split()}
        assert described <= set(page.ids)


def test_two_windows_do_not_write_over_each_other(service, blank):
    first, second = seen(service.client, blank), seen(service.client, blank)
    assert sent(service.client, blank, first.values | {"project.name": "first"}).status_code == 303
    again = sent(service.client, blank, first.values | {"project.name": "first, again"})
    assert again.status_code == 303  # the same page may go on
    answer = sent(service.client, blank, second.values | {"project.name": "second", "do": "plan"})
    assert answer.status_code == 409
    page = Page(answer.text)
    assert "changed elsewhere" in page.words
    assert page.values["project.name"] == "second"
    assert seen(service.client, blank).values["project.name"] == "first, again"
    assert sent(service.client, blank, page.values | {"do": "mine"}).status_code == 303
    assert seen(service.client, blank).values["project.name"] == "second"


def test_what_an_earlier_page_sends_late_is_nobody_elses(service, blank):
    earlier = seen(service.client, blank)
    typed = earlier.values | {"project.name": "once"}
    assert sent(service.client, blank, typed).status_code == 303
    later = seen(service.client, blank)
    assert later.values["tab"] != earlier.values["tab"]
    _followed(service, blank, "project.name", earlier, **{"project.name": "once"})  # on its way as the page went
    assert sent(service.client, blank, later.values | {"project.name": "twice"}).status_code == 303
    assert seen(service.client, blank).values["project.name"] == "twice"


def test_a_window_that_follows_is_told_of_the_other(service, blank):
    first, second = seen(service.client, blank), seen(service.client, blank)
    _, part = _followed(service, blank, "project.name", first, **{"project.name": "first"})
    assert part.values["mark"] != first.values["mark"]
    _, part = _followed(service, blank, "project.name", second, **{"project.name": "second"})
    assert "changed elsewhere" in part.words
    assert "Not kept" in part.words
    assert "mark" not in part.values
    assert seen(service.client, blank).values["project.name"] == "first"


def test_a_change_through_the_api_wins_over_a_form_that_was_whole(service, blank):
    _sent(service, blank, **FILLED)
    stale = seen(service.client, blank)
    tag = service.client.get(f"/v1{blank}").headers["etag"]
    assert (
        service.client.put(
            f"/v1{blank}", json=BASE, headers={"if-match": tag, "x-csrf-token": stale.values["token"]}
        ).status_code
        == 200
    )
    assert sent(service.client, blank, stale.values).status_code == 409
    page = seen(service.client, blank)
    assert page.values["project.name"] == "Kiln room shelves"
    assert "through the API" in page.words
    assert seen(service.client, f"{blank}?before=1").values["project.name"] == "Pottery studio"
    assert _sent(service, blank, **{"project.name": "Both"}).status_code == 303
    assert service.client.get(f"/v1{blank}").json()["project"]["name"] == "Both"


def test_a_project_of_the_api_opens_as_a_form(service):
    address = service.project().removeprefix("/v1")
    page = seen(service.client, address)
    assert page.values["part.1.length"] == "14 1/2"
    assert "nothing is wrong with it" in page.words
    before = service.client.get(f"/v1{address}")
    assert _sent(service, address, **{"part.1.length": "15"}).status_code == 303
    after = service.client.get(f"/v1{address}")
    assert after.json()["part"][1]["length"] == "15"
    assert before.headers["etag"] != after.headers["etag"]
    _sent(service, address)
    assert service.client.get(f"/v1{address}").headers["etag"] == after.headers["etag"]  # nothing new, no new version


def test_a_fault_keeps_the_last_whole_project(service):
    address = service.project().removeprefix("/v1")
    _sent(service, address, **{"saw.kerf": "thin"})
    assert service.client.get(f"/v1{address}").json()["saw"]["kerf"] == "1/8"
    assert seen(service.client, address).values["saw.kerf"] == "thin"
    assert _sent(service, address, do="plan").headers["location"] == f"{address}?check=1#summary"


def test_following_draws_the_wall_and_tells_faults_of_what_is_typed(service, blank):
    answer, part = _followed(service, blank, "wall.height", **(FILLED | {"saw.kerf": "thin"}))
    assert answer.status_code == 200
    assert "Wall of" in part.text
    assert part.text.count("<svg") == 1
    assert "'thin' is not a length" in part.words
    assert "is missing" not in part.words
    slots = {one["id"] for one in part.of("p") if one.get("hx-swap-oob") == "true"}
    page = seen(service.client, blank)
    assert {
        f"{one['id']}-fault" for one in page.of("input") if "." in one.get("name", "") and "order" not in one["name"]
    } <= slots
    assert slots <= set(page.ids)
    assert page.values["wall.height"] == FILLED["wall.height"]


def test_another_unit_shows_the_form_anew(service, blank):
    answer, _ = _followed(service, blank, "project.unit", **{"project.unit": "mm", "project.name": "kept"})
    assert (answer.status_code, answer.headers["hx-refresh"]) == (204, "true")
    page = seen(service.client, blank)
    assert page.values["project.name"] == "kept"
    assert next(one for one in page.of("input") if one.get("name") == "saw.rip_capacity")["placeholder"] == "760"


def test_a_rack_is_asked_for_its_holes(service, blank):
    _sent(service, blank, do="add holder")
    page = seen(service.client, blank)
    assert "holder.0.holes.diameter" not in page.values
    _, part = _followed(service, blank, "holder.0.style", **{"holder.0.style": "rack"})
    assert {"holder.0.holes.diameter", "holder.0.slots.width", "holder.0.gussets"} <= set(part.values)
    assert "holder.0.cells" not in part.values
    assert "holder.0.holes.diameter" in seen(service.client, blank).values  # without JavaScript: after any sending


def test_rows_are_changed_in_place_by_script(service, blank):
    page = seen(service.client, blank)
    for do, count in (("add sheet", 2), ("remove sheet.0", 0)):
        answer = sent(service.client, blank, page.values | {"do": do}, headers={"hx-request": "true"})
        part = Page(answer.text)
        assert part.of("div")[0]["id"] == "rows-sheet"
        assert len(part.of("fieldset")) == count
        assert len([one for _, one in part.tags if "autofocus" in one]) == 1
        assert "wall-drawing" in part.ids


def test_without_its_session_a_form_is_held_and_goes_on(serving, store):
    key = new_key(store, "ada")
    service = serving(host="0.0.0.0", base="http://bench.example")  # noqa: S104
    sent(service.client, "/sign-in", {"key": key, "to": "/"})
    address = _begun(service)
    page = seen(service.client, address)
    service.client.cookies.clear()
    typed = page.values | {"project.name": '<b>Bay</b> "1"', "do": "add part"}
    held = Page(sent(service.client, address, typed).text)
    assert "held on this page" in held.words
    on = Page(sent(service.client, "/sign-in", held.values | {"key": key}).text)
    answer = sent(service.client, on.of("form")[-1]["action"], on.values)
    assert answer.headers["location"] == f"{address}#part-0"
    assert seen(service.client, address).values["project.name"] == '<b>Bay</b> "1"'


def test_nobody_elses_project_is_seen_or_changed(serving, store):
    keys = [new_key(store, name) for name in ("ada", "bo")]
    service = serving(host="0.0.0.0", base="http://bench.example")  # noqa: S104
    sent(service.client, "/sign-in", {"key": keys[0], "to": "/"})
    address = _begun(service)
    typed = seen(service.client, address).values
    service.client.cookies.clear()
    sent(service.client, "/sign-in", {"key": keys[1], "to": "/"})
    seen(service.client, address, 404)
    token = seen(service.client, "/").values["token"]
    answer = sent(service.client, address, typed | {"token": token, "project.name": "bo's own now"})
    assert answer.status_code == 303
    assert answer.headers["location"] not in (address, "/")
    service.client.cookies.clear()
    sent(service.client, "/sign-in", {"key": keys[0], "to": "/"})
    assert seen(service.client, address).values["project.name"] == ""


def test_what_was_deleted_meanwhile_comes_back_with_what_was_typed(service, blank):
    page = seen(service.client, blank)
    assert sent(service.client, blank, page.values | {"do": "delete"}).headers["location"] == "/"
    seen(service.client, blank, 404)
    answer = sent(service.client, blank, page.values | {"project.name": "not lost"})
    assert seen(service.client, answer.headers["location"]).values["project.name"] == "not lost"
    assert sent(service.client, "/projects/x", {"token": page.values["token"]}).status_code == 404


def test_a_project_is_deleted_with_its_plans(service):
    plan = service.plan()
    address = f"/projects/{service.client.get(plan).json()['project']}"
    assert _sent(service, address, do="delete").headers["location"] == "/"
    assert service.client.get(plan).status_code == 404
    seen(service.client, address, 404)


def test_a_form_too_large_is_refused_and_the_last_is_kept(serving):
    service = serving(limits=Limits(body_bytes=20_000))
    address = _begun(service)
    _sent(service, address, **{"project.name": "kept"})
    assert _sent(service, address, **{"project.name": "x" * 20_000}).status_code == 413
    assert seen(service.client, address).values["project.name"] == "kept"


def test_more_fields_than_any_form_has_are_refused(service, blank):
    token = seen(service.client, "/").values["token"]
    body = f"token={token}" + "&a=" * 60_001
    kind = {"content-type": "application/x-www-form-urlencoded"}
    answer = service.client.post(blank, content=body, headers=HTML | kind)
    assert answer.status_code == 413
    for other in ("text/plain", "application/json"):
        answer = service.client.post(blank, content="{}", headers=HTML | {"content-type": other})
        assert answer.status_code == 415


def test_a_plan_ordered_twice_by_one_page_is_one(service):
    address = service.project().removeprefix("/v1")
    page = seen(service.client, address)
    first, second = (sent(service.client, address, page.values | {"do": "plan"}) for _ in range(2))
    assert first.headers["location"] == second.headers["location"]
    third = sent(service.client, address, page.values | {"do": "plan", "part.0.quantity": "5"})
    assert third.headers["location"] != first.headers["location"]
    fourth = _sent(service, address, do="plan")
    assert fourth.headers["location"] not in (first.headers["location"], third.headers["location"])


def test_a_full_queue_refuses_politely_and_keeps_what_was_typed(serving):
    service = serving(limits=Limits(queued_per_key=1), jobs=1)
    address = service.project().removeprefix("/v1")
    statuses = [_sent(service, address, do="plan", **{"part.0.quantity": str(n)}).status_code for n in range(1, 6)]
    assert 429 in statuses
    assert seen(service.client, address).values["part.0.quantity"] == "5"


@pytest.mark.parametrize(
    ("typed", "compared"), [("", ["3", "3 1/2", "4"]), ("3; 85 mm", ["3", "85 mm"]), ("3 1/4", ["3 1/4"])]
)
def test_cleat_heights_are_compared(service, typed, compared):
    address = service.project().removeprefix("/v1")
    answer = _sent(service, address, do="compare", **{"order.heights": typed, "order.seconds": "5"})
    assert answer.status_code == 303
    plan = answer.headers["location"].replace("compare", "v1/plans")
    made = service.client.get(plan).json()
    assert (made["kind"], made["seconds"]) == ("comparison", 5.0 * len(compared))
    assert seen(service.client, address).values["order.heights"] == typed


@pytest.mark.parametrize("typed", ["tall", "3, 3,5", "0", ", ".join(map(str, range(3, 40)))])
def test_heights_that_cannot_be_compared_are_told_beside_their_field(service, typed):
    address = service.project().removeprefix("/v1")
    answer = _sent(service, address, do="compare", **{"order.heights": typed})
    assert answer.status_code == 422
    page = Page(answer.text)
    assert page.values["order.heights"] == typed
    assert re.search(r'id="order-heights-fault">[^<]', page.text)
    assert service.client.get(f"/v1{address}/plans").json()["plans"] == []


def test_a_short_limit_on_searches_holds_here_too(serving):
    service = serving(limits=Limits(seconds=7))
    address = service.project().removeprefix("/v1")
    page = seen(service.client, address)
    assert page.values["order.seconds"] == "5"
    answer = _sent(service, address, do="plan", **{"order.seconds": "1800"})
    assert service.client.get(f"/v1{answer.headers['location']}").json()["seconds"] == 7.0
    answer = _sent(service, address, do="compare")
    assert service.client.get(answer.headers["location"].replace("compare", "v1/plans")).json()["seconds"] == 7.0


def test_a_forms_page_may_be_kept_for_going_back(service, blank):
    headers = service.client.get(blank, headers=HTML).headers
    assert headers["cache-control"] == "private, no-cache"
    assert "unsafe" not in headers["content-security-policy"]
