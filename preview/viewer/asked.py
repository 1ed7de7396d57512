"""What a page has asked, read by the model of such a request."""

from __future__ import annotations

from typing import Annotated, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from preview.errors import UseError

# Names of pieces and places, and coordinates, mm, as a page gives them. Our choice.
Name = Annotated[str, Field(max_length=200)]
Finite = Annotated[float, Field(allow_inf_nan=False, ge=-1e5, le=1e5)]
_Mark = Annotated[str, Field(max_length=100)]

_Model = TypeVar("_Model", bound=BaseModel)


class Request(BaseModel):
    """What every change is asked with.

    Parameters
    ----------
    made : the text that the page shows, by its name; see :func:`~preview.viewer.watch.name_of`.
    page : which page asks, so that the others can be told.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    made: _Mark
    page: _Mark = ""


def understood(model: type[_Model], data: bytes) -> _Model:
    """A request; UseError with the first thing that is wrong in it."""
    try:
        return model.model_validate_json(data)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise UseError(f"this is no request that the page makes: {where}: {first['msg']}") from None
