"""The rack's pages: pieces put in, changed, taken and brought back; tables in and out."""

from __future__ import annotations

import pytest

from api.pages.rack_view import change_words, drawn_piece, sent, typed_of
from nesting.rack.piece import piece_from
from nesting.rack.rack import Change
from tests.pages.walking import HTML, Page, seen
from tests.pages.walking import sent as posted

SIZE = {"length": "31", "width": "9 1/4", "thickness": "23/32"}
NASTY = "<script>alert(1)</script>"


def post(service, path: str, fields: dict[str, str], page: str = "/rack", **more):
    token = seen(service.client, page).values["token"]
    return posted(service.client, path, {"token": token} | fields, **more)


def labels(service) -> list[str]:
    return [piece["label"] for piece in service.client.get("/v1/rack").json()["pieces"]]


def test_a_piece_is_put_in_and_has_a_page(service):
    answer = post(service, "/rack/add", SIZE | {"place": NASTY, "unit": "in", "grain": "no"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/rack/R-1")
    page = seen(service.client, "/rack/R-1")
    assert "31 × 9\xa01/4 × 23/32 in" in page.words
    assert "no face grain" in page.words
    assert NASTY in page.words
    assert NASTY not in page.text
    label = next(one["href"] for one in page.of("a") if one.get("href", "").endswith("label.svg"))
    assert service.client.get(label).headers["content-type"] == "image/svg+xml"
    assert NASTY not in seen(service.client, "/rack").text


def test_faults_stand_beside_their_fields_and_what_was_typed_stays(service):
    answer = post(service, "/rack/add", {"length": "three", "width": "-2", "thickness": "1/2", "label": "R 1"})
    assert answer.status_code == 422
    page = Page(answer.text)
    assert page.values["length"] == "three"
    invalid = {one["name"] for one in page.of("input") if one.get("aria-invalid") == "true"}
    assert invalid == {"length", "width", "label"}
    assert {"fault-length", "fault-width", "fault-label"} <= set(page.ids)
    assert labels(service) == []


def test_a_piece_is_described_anew_under_its_own_label_or_another(service):
    post(service, "/rack/add", SIZE)
    page = seen(service.client, "/rack/R-1")
    fields = {name: page.values[name] for name in ("length", "width", "thickness", "nominal", "label", "unit", "grain")}
    assert fields["width"] == "9 1/4"
    answer = post(service, "/rack/R-1/change", fields | {"width": "8", "label": "left-2"}, "/rack/R-1")
    assert answer.headers["location"] == "/rack/left-2"
    assert labels(service) == ["left-2"]
    answer = post(service, "/rack/left-2/change", fields | {"width": "wide"}, "/rack/left-2")
    assert answer.status_code == 422
    assert Page(answer.text).values["width"] == "wide"


def test_a_piece_taken_comes_back(service):
    post(service, "/rack/add", SIZE)
    assert post(service, "/rack/R-1/take", {}, "/rack/R-1").headers["location"] == "/rack"
    assert labels(service) == []
    page = seen(service.client, "/rack")
    assert "Latest change: took R-1" in page.words
    assert post(service, "/rack/undo", {}).status_code == 303
    assert labels(service) == ["R-1"]
    post(service, "/rack/undo", {})
    answer = post(service, "/rack/undo", {})
    assert answer.status_code == 422
    assert "nothing to take back" in Page(answer.text).words


def test_a_table_comes_in_and_goes_out(service):
    post(service, "/rack/add", SIZE)
    table = service.client.get("/v1/rack.csv").content
    answer = post(service, "/rack/table", {"replace": "yes"}, files={"table": ("rack.csv", table, "text/csv")})
    assert answer.status_code == 303
    assert labels(service) == ["R-1"]
    more = b"length,width,thickness\n20,5,1/2\n"
    post(service, "/rack/table", {}, files={"table": ("rack.csv", more, "text/csv")})
    assert labels(service) == ["R-1", "R-2"]


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"length,width\n3,x\n", "the column thickness is missing"), (b"\xff\xfe", "is not UTF-8"), (b"", "is empty")],
)
def test_a_faulty_table_is_told_line_by_line(service, content, words):
    answer = post(service, "/rack/table", {}, files={"table": ("rack.csv", content, "text/csv")})
    assert answer.status_code == 422
    assert words in Page(answer.text).words


def test_a_form_without_its_file_is_told(service):
    assert post(service, "/rack/table", {}).status_code == 422


def test_the_smallest_size_is_kept(service):
    page = seen(service.client, "/rack")
    assert (page.values["smallest.length"], page.values["smallest.width"]) == ("12", "3")
    size = {"smallest.length": "250", "smallest.width": "60.5", "smallest.unit": "mm"}
    assert post(service, "/rack/smallest", size).status_code == 303
    assert "250 × 60.5 mm" in seen(service.client, "/rack").words
    answer = post(service, "/rack/smallest", size | {"smallest.width": "-1"})
    assert answer.status_code == 422
    assert Page(answer.text).values["smallest.width"] == "-1"


@pytest.mark.parametrize("label", ["R-9", "..", "%00", "a b"])
def test_a_label_that_is_none_is_told_on_a_page(service, label):
    assert service.client.get(f"/rack/{label}", headers=HTML).status_code == (200 if label == ".." else 404)


def test_a_form_holds_all_of_a_piece():
    piece = piece_from(SIZE | {"label": "R-1", "grain": False, "note": "edge worn", "nominal": "3/4"})
    assert piece_from(sent(typed_of(piece))) == piece


def test_long_changes_are_told_in_short():
    pieces = tuple(piece_from(SIZE | {"label": f"R-{n}"}) for n in range(1, 9))
    assert change_words(Change("carried out: bay", pieces[:1], pieces)).endswith(
        "(8 pieces came: R-1, R-2, R-3, R-4, R-5, R-6 and more; 1 piece left: R-1)"
    )


@pytest.mark.parametrize("size", [("96", "1/8"), ("1", "48"), ("10", "10")])
def test_thin_pieces_can_be_seen(size):
    piece = piece_from({"label": "R-1", "length": size[0], "width": size[1], "thickness": "1/2"})
    svg = drawn_piece(piece)
    assert 'stroke-dasharray="7 4"' in svg
    assert "face grain" in svg


def test_a_plan_asked_for_by_the_form_draws_on_the_rack_where_that_is_wished(service):
    place = service.project().removeprefix("/v1")
    page = seen(service.client, place)
    assert "order-rack" not in page.ids  # an empty rack is no choice
    post(service, "/rack/add", SIZE)
    for wish in ({}, {"order.rack": "yes"}):
        page = seen(service.client, place)
        answer = posted(service.client, place, page.values | {"do": "plan"} | wish)
        assert answer.status_code == 303, answer.text
        service.running(f"/v1{answer.headers['location']}")
        drawn_on = "rack R-1" in service.engine.orders[-1]["document"]
        assert drawn_on == bool(wish)
