"""What a page goes on with can be packed for another process meanwhile.

A dictionary that gets another key while it is packed ends the packing. So what works out values
once and keeps them hands out a copy of all that it holds.
"""

from __future__ import annotations

import io
import pickle
from functools import cached_property
from typing import Any

import numpy as np
import pytest

from meshes import designs, spread
from tests.designs import by_day


def remembers(kind: type) -> bool:
    """Whether what is worked out of it is kept in it."""
    return any(
        isinstance(value, cached_property) for base in kind.__mro__ for value in vars(base).values()
    )


class Looking(pickle.Pickler):
    """Packs, and notes which kinds that remember hand out the very dictionary that they keep."""

    def __init__(self) -> None:
        super().__init__(io.BytesIO())
        self.met: set[str] = set()
        self.open: set[str] = set()

    def reducer_override(self, value: Any) -> Any:
        kind = type(value)
        if not isinstance(value, type) and remembers(kind):
            state = value.__reduce_ex__(pickle.HIGHEST_PROTOCOL)[2]
            parts = [state, *(state.values() if isinstance(state, dict) else state)]
            self.met.add(kind.__name__)
            if any(part is vars(value) for part in parts):
                self.open.add(kind.__name__)
        return NotImplemented


@pytest.mark.parametrize("name", by_day(designs.names(), ["kite-day", "winter-market"]))
def test_no_dictionary_that_grows_is_packed(name: str) -> None:
    made = spread.read(designs.path(name))
    motion = made.solve(np.radians([20.0, 90.0, 180.0]))
    packer = Looking()
    packer.dump((made, motion))
    assert {"Spread", "Part"} < packer.met
    assert packer.open == set()


def test_a_dictionary_that_grows_is_found() -> None:
    class Open:
        @cached_property
        def kept(self) -> int:
            return 1

    one, packer = Open(), Looking()
    one.kept  # noqa: B018  (it is kept by asking)
    with pytest.raises(Exception, match="local object"):
        packer.dump(one)
    assert packer.open == {"Open"}


def test_what_was_packed_is_what_it_was() -> None:
    made = spread.read(designs.path("kite-day"))
    again = pickle.loads(pickle.dumps(made))
    assert again.design == made.design
    assert [part.id for body in again.linkage.bodies for part in body.parts] == [
        part.id for body in made.linkage.bodies for part in body.parts
    ]
    assert all(
        one.polygon.equals_exact(other.polygon, 0.0)
        for mine, its in zip(made.linkage.bodies, again.linkage.bodies, strict=True)
        for one, other in zip(mine.parts, its.parts, strict=True)
    )
