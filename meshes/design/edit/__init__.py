"""Edits of a design file: text in, text out, and every byte that is not meant stays as it is."""

from .accept import Accepted, Edit, accepted, edits_from_json
from .edits import Append, Clear, NameValue, PartKey, SetValue
from .names import a_free_name, name_like, standing_on
from .numbers import difference, patched, value_at
from .pieces import AddPaper, AddPiece, Double, GiveHost, Mirror, Rename, TakeAway
from .splice import EditError

__all__ = [
    "Accepted",
    "AddPaper",
    "AddPiece",
    "Append",
    "Clear",
    "Double",
    "Edit",
    "EditError",
    "GiveHost",
    "Mirror",
    "NameValue",
    "PartKey",
    "Rename",
    "SetValue",
    "TakeAway",
    "a_free_name",
    "accepted",
    "difference",
    "edits_from_json",
    "name_like",
    "patched",
    "standing_on",
    "value_at",
]
