"""The tables of the README say what a key holds; judge: the JSON schema that pydantic writes."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic.json_schema import GenerateJsonSchema

from meshes import outline
from meshes.design import reference
from meshes.measure import Pair
from preview.pictures import outlines

ROWS = [
    (title, model, name)
    for title, model, shared in reference._tables()
    for name in model.model_fields
    if name not in ("kind", "shape") and not (shared and name in shared.model_fields)
]


class Judge(GenerateJsonSchema):
    """Knows of our numbers only that they are numbers, and of pairs that they may be lists."""

    def function_plain_schema(self, schema: Any) -> Any:
        number = {"type": "number"}
        pair = isinstance(schema["function"]["function"].__self__, Pair)
        return {"anyOf": [number, {"type": "array"}]} if pair else number


def types_of(schema: Any, definitions: Any) -> set[str]:
    """The types of JSON that a schema allows, through references and choices."""
    if "$ref" in schema:
        return types_of(definitions[schema["$ref"].rpartition("/")[2]], definitions)
    parts = [*schema.get("anyOf", ()), *schema.get("oneOf", ())]
    if parts:
        return set().union(*(types_of(part, definitions) for part in parts)) - {"null"}
    return {schema["type"]} if "type" in schema else {"string"} if "enum" in schema else set()


@pytest.mark.parametrize("model", dict.fromkeys(model for _, model, _ in ROWS))
def test_what_a_key_holds_is_what_it_holds(model):
    schema = model.model_json_schema(schema_generator=Judge)
    definitions = schema.get("$defs", {})
    schema = definitions[schema["$ref"].rpartition("/")[2]] if "$ref" in schema else schema
    for _, owner, name in ROWS:
        if owner is not model:
            continue
        found = types_of(schema["properties"][name], definitions)
        said = reference._holds(model, name, model.model_fields[name])
        many = any(word in said for word in ("list", "pair", "[left, right]"))
        assert many == ("array" in found) or found == {"object"}, (name, said, found)
        if found == {"object"}:
            assert any(word in said for word in ("table", "outline", "by name")), (name, said)
        if found == {"integer"}:
            assert said.startswith("whole number"), (name, said)
        if found == {"boolean"}:
            assert said == "true or false", (name, said)
        if "text" in said:
            assert "string" in found or "object" in found, (name, said)
        if said == "table":
            assert found == {"object"}, (name, said)


def test_values_are_in_the_tables():
    assert "#### `[values]`" in reference.reference_markdown()


def test_every_outline_stands_on_its_origin_as_the_readme_says():
    found = outlines.shapes()
    assert set(found) == set(outline.SHAPES) - {"traced"}
    for name, shape in found.items():
        left, foot, right, _ = shape.bounds
        if name == "polygon":
            continue
        assert -0.01 < foot < (6 if name == "star" else 0.1), name
        if name != "moon":
            assert left == pytest.approx(-right, abs=0.05), name
