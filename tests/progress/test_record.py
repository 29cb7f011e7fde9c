"""The progress file: read strictly, every fault at once; its schema is the one that is shipped."""

import json
from importlib.resources import files

import jsonschema
import pytest

from nesting.errors import BadInput
from nesting.progress.record import Progress, Spoiled, progress_from_json, progress_schema_text, progress_to_json


def test_there_and_back():
    progress = Progress(done=(1, 2, 5), spoiled=(Spoiled(piece="A1.7", left=((31.0, 9.0),), note="knot"),))
    text = progress_to_json(progress)
    assert progress_from_json(text) == progress
    jsonschema.validate(json.loads(text), json.loads(progress_schema_text()))
    assert progress.begun
    assert not Progress().begun


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        ("", 1),
        ("[]", 1),
        ("{", 1),
        ('{"done": [1]}', 1),
        ('{"schema": "cleatwright/plan/1", "done": [0, "2", 1.5], "spoilt": []}', 5),
        ('{"schema": "cleatwright/progress/1", "spoiled": [{"piece": "", "left": [[1]]}, {"left": 3}]}', 4),
        ('{"schema": "cleatwright/progress/1", "measured": [{"piece": "A1", "length": -1, "width": true}]}', 2),
        ('{"schema": "cleatwright/progress/1", "done": [1], "done": [2]}', 1),
        (" " * 4_000_001, 1),
    ],
)
def test_a_malformed_file_tells_every_fault(text, faults):
    with pytest.raises(BadInput) as caught:
        progress_from_json(text)
    assert len(caught.value.faults) == faults, [str(fault) for fault in caught.value.faults]


def test_the_shipped_schema_is_the_one_of_the_models():
    """After a change of the models: python -m nesting.progress.schema > nesting/progress/progress.schema.json."""
    shipped = files("nesting.progress").joinpath("progress.schema.json").read_text(encoding="utf-8")
    assert shipped == progress_schema_text()
    jsonschema.Draft202012Validator.check_schema(json.loads(shipped))
