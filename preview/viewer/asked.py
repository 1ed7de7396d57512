"""What a page has asked, read by the model of such a request."""

from __future__ import annotations

from typing import TypeVar

from pydantic import BaseModel, ValidationError

from preview.errors import UseError

_Model = TypeVar("_Model", bound=BaseModel)


def understood(model: type[_Model], data: bytes) -> _Model:
    """A request; UseError with the first thing that is wrong in it."""
    try:
        return model.model_validate_json(data)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise UseError(f"this is no request that the page makes: {where}: {first['msg']}") from None
