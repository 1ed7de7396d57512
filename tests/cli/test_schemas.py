"""Every JSON that a command writes names its schema and keeps it.

The validator is the library jsonschema, which follows JSON Schema 2020-12.
"""

import json

import jsonschema
import pytest

from preview import schemas
from tests.drawn.hostile import SQUARE, svg

# What each command is asked for, so that it writes as many of its keys as a small design has.
CALLS = {
    "angles": ["fresh.toml", "--every", "60"],
    "check": ["fresh.toml"],
    "drawing": ["card.svg"],
    "engines": [],
    "guide": ["fresh.toml"],
    "pattern": ["fresh.toml", "-o", "out.pdf"],
    "pack": [
        *("fresh.toml", "-o", "own", "--page", "A4", "--jobs", "1"),
        *(
            word
            for part in ("draft", "guide", "still", "film", "build", "view")
            for word in ("--skip", part)
        ),
    ],
    "plan": ["fresh.toml", "--f-number", "2"],
    "thumbnail": ["fresh.toml", "--count", "1", "--size", "64x48", "--quality", "draft"],
    "tune": ["fresh.toml", "--vary", "leaf.base=20..30", "--tries", "10", "--want", "thickness<=9"],
}


@pytest.mark.parametrize("command", CALLS)
def test_json_keeps_its_shipped_schema(call, leaf, command, tmp_path):
    (tmp_path / "card.svg").write_bytes(svg(SQUARE + "<text>by hand</text>"))
    data = json.loads(call(command, *CALLS[command], "--json").out)
    schema = schemas.schema(command)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(data)
    assert list(data)[:2] == ["schema", "version"]


def test_there_is_a_schema_for_every_command_that_writes_json():
    assert schemas.names() == sorted([*CALLS, "catalog"])


def test_a_key_that_the_schema_does_not_know_is_found(call, leaf):
    data = json.loads(call("angles", *CALLS["angles"], "--json").out)
    with pytest.raises(jsonschema.ValidationError, match="surprise"):
        jsonschema.validate({**data, "surprise": 1}, schemas.schema("angles"))
    with pytest.raises(jsonschema.ValidationError, match="version"):
        jsonschema.validate({**data, "version": 2}, schemas.schema("angles"))
