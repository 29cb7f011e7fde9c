"""The rack over HTTP: pieces, tables, labels, undo; plans draw on it, and ticking one off takes and gives."""

import io
import json

import cairosvg
import zxingcpp
from PIL import Image

from nesting.rack.draw_on import project_on
from tests.api.test_progress import planned, two_cuts
from tests.malformed import BASE

PIECE = {"length": "31", "width": "9 1/4", "thickness": "23/32", "place": "left"}


def labels(service):
    return [one["label"] for one in service.client.get("/v1/rack").json()["pieces"]]


def test_a_life_of_a_piece(service):
    answer = service.client.post("/v1/rack", json=PIECE)
    assert answer.status_code == 201, answer.text
    assert (answer.headers["location"], answer.json()["label"]) == ("/v1/rack/R-1", "R-1")
    assert service.client.get("/v1/rack/R-1").json() == answer.json()
    assert answer.json()["nominal"] == "23/32"
    changed = service.client.put("/v1/rack/R-1", json={**PIECE, "place": "right", "grain": False})
    assert (changed.json()["label"], changed.json()["place"], changed.json()["grain"]) == ("R-1", "right", False)
    renamed = service.client.put("/v1/rack/R-1", json={**PIECE, "label": "Ö-1"})
    assert renamed.json()["label"] == "Ö-1"
    assert service.client.get("/v1/rack/%C3%96-1").json() == renamed.json()
    assert service.client.get("/v1/rack/R-1").status_code == 404
    assert service.client.delete("/v1/rack/%C3%96-1").status_code == 204
    assert service.client.delete("/v1/rack/%C3%96-1").status_code == 404
    assert service.client.post("/v1/rack", json=PIECE).json()["label"] == "R-2"  # a label is not given twice


def test_every_change_can_be_taken_back_one_after_the_other(service):
    for _ in range(3):
        service.client.post("/v1/rack", json=PIECE)
    service.client.put("/v1/rack/R-2", json={**PIECE, "note": "warped"})
    service.client.delete("/v1/rack/R-3")
    changes = service.client.get("/v1/rack").json()["changes"]
    assert [one["words"] for one in changes] == ["took R-3", "changed R-2", "added R-3", "added R-2", "added R-1"]
    assert service.client.post("/v1/rack/undo").json()["pieces"][2]["label"] == "R-3"
    assert service.client.post("/v1/rack/undo").json()["pieces"][1]["note"] == ""
    for _ in range(3):
        assert service.client.post("/v1/rack/undo").status_code == 200
    nothing = service.client.post("/v1/rack/undo")
    assert (nothing.status_code, nothing.json()["type"], labels(service)) == (409, "/problems/rack", [])


def test_every_fault_of_a_piece_is_told(service):
    answer = service.client.post("/v1/rack", json={"label": "a b", "length": 0, "width": "w", "colour": 1})
    assert answer.status_code == 422
    assert sorted(one["pointer"] for one in answer.json()["errors"]) == [
        "/colour", "/label", "/length", "/thickness", "/width",
    ]  # fmt: skip
    assert service.client.post("/v1/rack", json=[]).status_code == 422
    twice = (
        service.client.post("/v1/rack", json={**PIECE, "label": "A"}).status_code,
        service.client.post("/v1/rack", json={**PIECE, "label": "A"}),
    )
    assert (twice[0], twice[1].status_code, twice[1].json()["type"]) == (201, 409, "/problems/rack")


def test_what_is_worth_keeping_can_be_set(service):
    assert service.client.get("/v1/rack").json()["smallest"] == {"unit": "in", "length": "12", "width": "3"}
    answer = service.client.put("/v1/rack", json={"smallest": {"unit": "mm", "length": 200, "width": 50}})
    assert answer.json() == {"unit": "mm", "length": "200", "width": "50"}
    assert service.client.get("/v1/rack").json()["smallest"] == answer.json()
    assert service.client.put("/v1/rack", json={"smalest": 1}).status_code == 422


def test_the_rack_as_a_table_goes_out_and_comes_in_again(service):
    for note in ("=1+1", "'x", "a,b"):
        service.client.post("/v1/rack", json={**PIECE, "note": note})
    table = service.client.get("/v1/rack.csv")
    assert table.headers["content-type"] == "text/csv; charset=utf-8"
    assert "'=1+1" in table.text
    before = service.client.get("/v1/rack").json()["pieces"]
    headers = {"content-type": "text/csv"}
    assert service.client.post("/v1/rack.csv", content=table.content, headers=headers).status_code == 409
    answer = service.client.post("/v1/rack.csv?replace=true", content=table.content, headers=headers)
    assert answer.json() == {"pieces": ["R-1", "R-2", "R-3"], "removed": ["R-1", "R-2", "R-3"]}
    assert service.client.get("/v1/rack").json()["pieces"] == before
    more = service.client.post("/v1/rack.csv", content=b"length,width,thickness\n20,8,1/2\n", headers=headers)
    assert more.json() == {"pieces": ["R-4"], "removed": []}
    bad = service.client.post("/v1/rack.csv", content=b"length,width,thickness\n20,x,1/2\n,8,1/2\n", headers=headers)
    assert bad.status_code == 422
    assert [one["path"] for one in bad.json()["errors"]] == ["line 2, width", "line 3, length"]
    assert service.client.post("/v1/rack.csv", content=b"\xff", headers=headers).status_code == 422
    assert service.client.post("/v1/rack.csv", json=[]).status_code == 415
    assert service.client.delete("/v1/rack").status_code == 204
    assert service.client.get("/v1/rack").json()["changes"] == []


def test_a_label_opens_the_pieces_page(service):
    service.client.post("/v1/rack", json=PIECE)
    answer = service.client.get("/v1/rack/R-1/label.svg")
    assert answer.headers["content-type"] == "image/svg+xml"
    (code,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(cairosvg.svg2png(answer.content, scale=4))))
    assert code.text == "http://localhost/rack/R-1"
    assert service.client.get("/v1/rack.pdf").content.startswith(b"%PDF")
    assert service.client.get("/v1/rack.pdf?piece=R-1&piece=R-9").json()["errors"][0]["path"] == "'R-9'"
    assert service.client.get("/v1/rack/R-9/label.svg").status_code == 404


def test_a_plan_draws_on_the_rack_where_it_is_asked_to(service):
    service.client.post("/v1/rack", json=PIECE)
    service.client.post("/v1/rack", json={**PIECE, "thickness": "2"})  # no use for this job
    project = service.project()
    for draws in (True, False):
        answer = service.client.post(f"{project}/plans", json={"rack": draws})
        assert answer.status_code == 202, answer.text
        service.running(answer.headers["location"])
    drawing, plain = (json.loads(order["document"]) for order in service.engine.orders)
    assert ([one["name"] for one in drawing["offcut"]], plain == BASE) == (["rack R-1"], True)
    pieces = [service.client.get("/v1/rack/R-1").json()]
    assert project_on(BASE, []) != project_on(drawing, [])
    assert pieces[0]["width"] == drawing["offcut"][0]["width"]
    wrong = service.client.post(f"{project}/plans", json={"rack": "yes"})
    assert [one["pointer"] for one in wrong.json()["errors"]] == ["/rack"]


def test_the_same_key_with_and_without_the_rack_is_another_request(service):
    project = service.project()
    headers = {"idempotency-key": "k"}
    assert service.client.post(f"{project}/plans", json={"rack": True}, headers=headers).status_code == 202
    assert service.client.post(f"{project}/plans", json={"rack": True}, headers=headers).status_code == 202
    assert service.client.post(f"{project}/plans", json={}, headers=headers).json()["type"] == "/problems/key-used"


def on_the_rack():
    """A plan of two cuts out of a piece of the rack; what is left is 17 7/8 x 5."""
    document = two_cuts()
    for layout in document["layouts"]:
        layout["stock"] = "rack R-1"
    return document


def whole(service):
    return service.client.post("/v1/rack", json={"length": 30, "width": "10 1/8", "thickness": "0.71875"}).json()


def test_ticking_a_plan_off_takes_what_it_used_and_gives_what_it_leaves(service):
    whole(service)
    plan = planned(service, on_the_rack())
    service.client.put(f"{plan}/steps/1/done")
    assert labels(service) == ["R-1"]
    assert service.client.put(f"{plan}/steps/2/done").status_code == 204
    (left,) = service.client.get("/v1/rack").json()["pieces"]
    assert (left["label"], left["length"], left["width"], left["origin"]) == ("R-2", "17 7/8", "5", "repair bay")
    change = service.client.get("/v1/rack").json()["changes"][0]
    assert (change["taken"], change["given"], change["plan"]) == (["R-1"], ["R-2"], plan.rpartition("/")[2])
    assert service.client.delete(f"{plan}/steps/2/done").status_code == 204  # ticked by mistake
    assert labels(service) == ["R-1"]
    service.client.put(f"{plan}/steps/2/done")
    assert labels(service) == ["R-3"]


def test_a_leftover_that_was_used_since_keeps_the_plan_ticked_off(service):
    whole(service)
    plan = planned(service, on_the_rack())
    for step in (1, 2):
        service.client.put(f"{plan}/steps/{step}/done")
    service.client.delete("/v1/rack/R-2")
    refused = service.client.delete(f"{plan}/steps/2/done")
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/not-in-turn")
    assert "R-2: is not in the rack any more" in refused.json()["errors"][0]["detail"]
    assert service.client.get(f"{plan}/progress").json()["done"] == [1, 2]


def test_losing_a_part_of_a_finished_job_takes_its_leftovers_back_out_of_the_rack(service):
    whole(service)
    plan = planned(service, on_the_rack())
    for step in (1, 2):
        service.client.put(f"{plan}/steps/{step}/done")
    assert service.client.post(f"{plan}/spoiled", json={"piece": "A1.2.1"}).status_code == 200
    assert labels(service) == ["R-1"]
    assert service.client.delete(f"{plan}/marks/A1.2.1").status_code == 200
    assert labels(service) == ["R-3"]


def test_a_full_rack_is_no_reason_not_to_tick(service):
    table = "length,width,thickness\n" + "20,8,1/2\n" * 1_000
    service.client.post("/v1/rack.csv", content=table.encode(), headers={"content-type": "text/csv"})
    plan = planned(service, two_cuts())
    for step in (1, 2):
        assert service.client.put(f"{plan}/steps/{step}/done").status_code == 204
    assert len(labels(service)) == 1_000
    full = service.client.post("/v1/rack", json=PIECE)
    assert (full.status_code, full.json()["type"]) == (409, "/problems/rack")


def test_each_keys_rack_is_its_own(serving):
    from api.keys import new_key

    service = serving()
    keys = [new_key(service.parts.store, name) for name in ("Ada", "Bo")]
    service.parts.keyring.read()
    ada, bo = ({"authorization": f"Bearer {key}"} for key in keys)
    assert service.client.post("/v1/rack", json=PIECE, headers=ada).json()["label"] == "R-1"
    assert service.client.get("/v1/rack", headers=bo).json()["pieces"] == []
    assert service.client.get("/v1/rack/R-1", headers=bo).status_code == 404
    assert service.client.post("/v1/rack", json=PIECE, headers=bo).json()["label"] == "R-1"
    service.client.delete("/v1/rack", headers=bo)
    assert len(service.client.get("/v1/rack", headers=ada).json()["pieces"]) == 1
