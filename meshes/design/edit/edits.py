"""Edits of a design as data: what a page, a script or a search can ask to have changed.

Every edit turns a text into a text and touches no other byte than it must. As JSON it is an object
whose key ``edit`` says which it is, such as ``{"edit": "set", "path": "pieces.fern.at", "value":
96}``. Paths are lists of keys, or one text with dots; in a list they go on by the `name` of a table
or by a number from 1.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, JsonValue

from meshes.measure import Units, evaluate

from .spans import loaded, spans
from .splice import EditError, dotted, find, value_of, with_entry, with_value, without, written

_LONGEST_KEY = 100  # our choice
_DEEPEST = 12  # keys of a path: our choice
# What an expression may leave behind the point when it becomes a number, in the file's unit or
# degrees: our choice, a tenth of what a plotter places.
_DECIMALS = 4


def _split(value: object) -> object:
    """A path in one text, as people write it, as its keys; JSON has lists, not tuples."""
    if isinstance(value, str):
        return tuple(value.split("."))
    return tuple(value) if isinstance(value, list) else value


Key = Annotated[str, Field(min_length=1, max_length=_LONGEST_KEY)]
Keys = Annotated[tuple[Key, ...], BeforeValidator(_split), Field(min_length=1, max_length=_DEEPEST)]


class EditBase(BaseModel):
    """What all edits are."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)

    def apply(self, text: str) -> str:
        """The text with this edit made.

        Raises
        ------
        EditError
            If the text has no place for it; a sentence for a person.
        """
        raise NotImplementedError

    def summary(self) -> str:
        """What it does, in a few words."""
        raise NotImplementedError

    def places(self) -> tuple[tuple[str, ...], ...]:
        """What must still be there for it to mean what it meant."""
        raise NotImplementedError


class OnKey(EditBase):
    """An edit at one key."""

    path: Keys

    def places(self) -> tuple[tuple[str, ...], ...]:
        """See :class:`EditBase`."""
        return (self.path[:2], self.path)


class SetValue(OnKey):
    """Set a key to a number, text, truth, list or table; it is added where it is missing."""

    edit: Literal["set"] = "set"
    value: JsonValue

    def summary(self) -> str:
        """See :class:`EditBase`."""
        return f"{dotted(self.path)} = {written(self.value)}"

    def apply(self, text: str) -> str:
        """See :class:`EditBase`."""
        return with_value(text, self.path, self.value)


class Clear(OnKey):
    """Take a key, or an entry of a list, out of the file, so that its default holds."""

    edit: Literal["clear"] = "clear"

    def summary(self) -> str:
        """See :class:`EditBase`."""
        return f"{dotted(self.path)} left to its default"

    def apply(self, text: str) -> str:
        """See :class:`EditBase`."""
        if self.path[0] == "pieces" and len(self.path) == 2:
            raise EditError(f"{self.path[1]} is a piece: take it away with all that stands on it")
        return without(text, self.path)


class Append(OnKey):
    """Add an entry to a list, such as a line of lettering or a picture of a piece."""

    edit: Literal["append"] = "append"
    value: JsonValue

    def summary(self) -> str:
        """See :class:`EditBase`."""
        return f"{dotted(self.path)} has one more"

    def apply(self, text: str) -> str:
        """See :class:`EditBase`."""
        return with_entry(text, self.path, self.value)


class PartKey(OnKey):
    """Put the present number in place of an expression, so that a key goes its own way."""

    edit: Literal["part"] = "part"

    def summary(self) -> str:
        """See :class:`EditBase`."""
        return f"{dotted(self.path)} parted from its name"

    def apply(self, text: str) -> str:
        """See :class:`EditBase`."""
        root = spans(text)
        node = find(text, root, self.path)
        expression = value_of(text, node) if node is not None else None
        if not isinstance(expression, str):
            raise EditError(f"{dotted(self.path)} is no expression that it could be parted from")
        units = units_of(text)
        for angle in (False, True):
            try:
                number = evaluate(expression, units, angle=angle)
            except ValueError as error:
                reason = error
            else:
                return with_value(text, self.path, round(number, _DECIMALS))
        raise EditError(f"{dotted(self.path)}: {reason}")


class NameValue(OnKey):
    """Give the number at a key a name in ``[values]`` and use that, so that others can share it."""

    edit: Literal["name"] = "name"
    name: Key

    def summary(self) -> str:
        """See :class:`EditBase`."""
        return f"{dotted(self.path)} has a name"

    def apply(self, text: str) -> str:
        """See :class:`EditBase`."""
        root = spans(text)
        node = find(text, root, self.path)
        number = value_of(text, node) if node is not None else None
        if isinstance(number, bool | dict | list) or number is None:
            raise EditError(f"{dotted(self.path)} is no number that could have a name")
        if find(text, root, ("values", self.name)) is not None:
            raise EditError(f"there is a value {self.name} already")
        text = with_value(text, ("values", self.name), number)
        return with_value(text, self.path, self.name)


def units_of(text: str) -> Units:
    """Unit and named values of a text, as far as they are sound."""
    from meshes.design.values import resolve

    tables = loaded(text)
    unit = tables.get("units", "mm")
    numbers, _ = resolve(tables.get("values", {}), unit if unit in ("cm", "in") else "mm", "", {})
    return Units(unit if unit in ("cm", "in") else "mm", numbers)
