"""The JSON Schema (draft 2020-12) of a project, generated from the models and shipped beside them.

It accepts what the reader accepts key by key; what only the whole document can tell (names given twice,
thicknesses that match no stock, fractions such as ``1/0``) the reader alone refuses.
``python -m nesting.project.schema`` prints it, to be kept in ``project.schema.json``.
"""

from __future__ import annotations

import json
import sys
from fractions import Fraction
from importlib.resources import files
from typing import Any, Final

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from nesting.project.fields import Usual, as_number
from nesting.project.model import Project

SCHEMA_ID: Final = "urn:cleatwright:schema:project:1"
_DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"


class _Generator(GenerateJsonSchema):
    """States the defaults that one JSON value can say.

    A default that depends on the document's unit, or means that a key is left out, is in the description.
    """

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        default = schema.get("default")
        if default is None or isinstance(default, Usual):
            return self.generate_inner(schema["schema"])
        if isinstance(default, Fraction):
            return self.generate_inner(schema["schema"]) | {"default": as_number(default)}
        return super().default_schema(schema)


def project_schema() -> dict[str, Any]:
    """Return the JSON Schema of a project, from the models.

    >>> project_schema()["$id"], project_schema()["required"]
    ('urn:cleatwright:schema:project:1', ['project', 'saw'])
    """
    schema = Project.model_json_schema(schema_generator=_Generator, mode="validation")
    stocks, made = (
        [{"required": [name], "properties": {name: {"minItems": 1}}} for name in names]
        for names in (("sheet", "board", "offcut"), ("part", "cleat", "holder"))
    )
    wanted = [{"anyOf": stocks}, {"anyOf": [*made, {"required": ["wall"]}]}]
    return {"$schema": _DIALECT, "$id": SCHEMA_ID, **schema, "allOf": wanted}


def shipped_schema() -> dict[str, Any]:
    """Return the JSON Schema as it is shipped in the package."""
    text = files("nesting.project").joinpath("project.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def as_text(schema: dict[str, Any]) -> str:
    """Return a schema as it is written to a file."""
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    sys.stdout.write(as_text(project_schema()))
