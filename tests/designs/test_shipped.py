"""Every shipped design is ready to cut, without a warning."""

from __future__ import annotations

from typing import Any

import pytest

from preview.cli import ExitCode
from tests.designs import each


@pytest.mark.night  # the spreads are solved, checked and put in order whole
@pytest.mark.parametrize("name", each())
def test_it_passes_the_strict_check(call: Any, name: str) -> None:
    outcome = call("check", name, "--strict")
    assert (outcome.code, outcome.out.splitlines()[-1]) == (ExitCode.DONE, "Ready to cut")
