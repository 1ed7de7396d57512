"""Edits of a design file: text in, text out, and every byte that is not meant stays as it is."""

from .accept import Accepted, Edit, accepted, edits_from_json
from .edits import Append, Clear, PartKey, SetValue
from .numbers import difference, patched, value_at
from .splice import EditError

__all__ = [
    "Accepted",
    "Append",
    "Clear",
    "Edit",
    "EditError",
    "PartKey",
    "SetValue",
    "accepted",
    "difference",
    "edits_from_json",
    "patched",
    "value_at",
]
