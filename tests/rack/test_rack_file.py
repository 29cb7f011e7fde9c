"""The rack file: round trip, every fault at once, written whole or not at all, never over one that is broken."""

import json
import os
import threading

import pytest
from hypothesis import given, settings

from nesting.errors import BadInput
from nesting.rack.rack import Change, Rack, changed
from nesting.rack.rack_file import change_rack, rack_from_text, rack_to_text, read_rack
from tests.rack.pieces import piece, racks


@settings(max_examples=60, deadline=None)
@given(racks)
def test_a_rack_file_gives_back_what_was_written(pieces):
    rack = changed(Rack(), Change("all", given=tuple(pieces)), numbered=7)
    rack = changed(rack, Change("one less", taken=rack.pieces[:1], plan="p"))
    assert rack_from_text(rack_to_text(rack)) == rack


def test_every_fault_of_a_file_is_told_with_its_place():
    good = json.loads(rack_to_text(changed(Rack(), Change("", given=(piece(),)))))
    bad = {
        **good, "schema": "cleatwright/rack/9", "peices": [], "numbered": -1,
        "smallest": {"length": "none", "depth": 3},
        "pieces": [{**good["pieces"][0], "label": "a b", "colour": "red"}, 7],
        "history": [{"words": 1, "taken": {}, "why": ""}, []],
    }  # fmt: skip
    with pytest.raises(BadInput) as refused:
        rack_from_text(json.dumps(bad))
    assert [fault.path for fault in refused.value.faults] == [
        "peices", "schema", "pieces[1].colour", "pieces[1].label", "pieces[2]", "numbered", "smallest.length",
        "smallest.depth", "history[1].why", "history[1].words", "history[1].taken", "history[2]",
    ]  # fmt: skip
    twice = {**good, "pieces": good["pieces"] * 2}
    with pytest.raises(BadInput, match="R-1: is in the rack already"):
        rack_from_text(json.dumps(twice))


@pytest.mark.parametrize("broken", ["", "{", "[]", '{"schema": "cleatwright/rack/1", "pieces": [{"label": "R-1"}]}'])
def test_a_broken_file_is_never_written_over(tmp_path, broken):
    file = tmp_path / "rack.json"
    file.write_text(broken)
    with pytest.raises(BadInput):
        change_rack(file, lambda rack: (Rack(), None))
    assert file.read_text() == broken
    assert os.listdir(tmp_path) == ["rack.json"]


def test_a_refused_change_leaves_the_file_as_it_was_and_nothing_beside_it(tmp_path):
    file = tmp_path / "rack.json"
    change_rack(file, lambda rack: (changed(rack, Change("", given=(piece(),))), None))
    before = file.read_bytes()

    def refuse(rack):
        return changed(rack, Change("", given=(piece(),))), None

    with pytest.raises(BadInput, match="already"):
        change_rack(file, refuse)
    assert file.read_bytes() == before
    assert os.listdir(tmp_path) == ["rack.json"]


def test_a_disk_that_refuses_leaves_the_old_file(tmp_path, monkeypatch):
    file = tmp_path / "rack.json"
    change_rack(file, lambda rack: (changed(rack, Change("", given=(piece(),))), None))
    before = file.read_bytes()

    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left") as failed:
        change_rack(file, lambda rack: (Rack(), None))
    assert failed.value.filename == str(file)
    assert (file.read_bytes(), os.listdir(tmp_path)) == (before, ["rack.json"])


def test_many_who_change_one_file_at_once_lose_nothing(tmp_path):
    file = tmp_path / "rack.json"

    def add(first):
        for n in range(first, first + 8):
            change_rack(file, lambda rack, n=n: (changed(rack, Change("", given=(piece(f"R-{n}"),))), None))

    threads = [threading.Thread(target=add, args=(first,)) for first in (0, 8, 16)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [one.label for one in read_rack(file).pieces] == [f"R-{n}" for n in range(24)]


def test_a_link_stays_a_link_and_a_folder_that_is_not_there_is_told(tmp_path):
    (tmp_path / "real.json").write_text(rack_to_text(Rack()))
    (tmp_path / "rack.json").symlink_to("real.json")
    change_rack(tmp_path / "rack.json", lambda rack: (changed(rack, Change("", given=(piece(),))), None))
    assert (tmp_path / "rack.json").is_symlink()
    assert len(read_rack(tmp_path / "real.json").pieces) == 1
    with pytest.raises(BadInput, match="its folder is not there"):
        change_rack(tmp_path / "none" / "rack.json", lambda rack: (rack, None))
