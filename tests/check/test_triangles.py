"""Every collision of random designs against triangles: none missed, none made up."""

from __future__ import annotations

import pytest

from meshes import spread
from tests.designs import by_day

from .random_spreads import random_design
from .triangles import compare

# More of them: `python -m tests.bench.bench_collisions`.
DESIGNS = 20


@pytest.mark.parametrize("start", by_day(range(0, DESIGNS, 10), [0]))
def test_collisions_are_those_of_the_triangles(start, tmp_path):
    deep = 0
    for seed in range(start, start + 10):
        file = tmp_path / "design.toml"
        file.write_text(random_design(seed, most=3))
        found = compare(spread.read(file), every=10)
        assert not found.missed, f"design {seed}"
        assert not found.made_up, f"design {seed}"
        deep += found.deep
    assert deep > 5
