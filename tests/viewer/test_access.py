"""The page can be used by everybody: axe-core finds nothing to mend.

axe-core (Deque Systems, MPL-2.0) checks pages against WCAG 2.2; the version is pinned in
preview/viewer/package.json.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.required import NODE_MODULES, need

DESK: dict[str, Any] = {"width": 1000, "height": 700}
PHONE = {"width": 390, "height": 844, "has_touch": True}


def violations(page: Any) -> list[str]:
    script = NODE_MODULES / "axe-core" / "axe.min.js"
    need(script.exists(), "axe-core (npm ci in preview/viewer)")
    page.evaluate(script.read_text())
    found = page.evaluate("axe.run({ resultTypes: ['violations'] })")["violations"]
    return [f"{finding['id']}: {node['html']}" for finding in found for node in finding["nodes"]]


@pytest.mark.parametrize(
    ("size", "scheme"),
    [
        pytest.param(DESK, "light", id="desk-light"),
        pytest.param(DESK, "dark", id="desk-dark", marks=pytest.mark.night),
        pytest.param(PHONE, "light", id="phone-light", marks=pytest.mark.night),
        pytest.param(PHONE, "dark", id="phone-dark", marks=pytest.mark.night),
    ],
)
def test_no_violation_in_any_card(open_page: Any, scheme: str, size: dict[str, Any]) -> None:
    page = open_page(color_scheme=scheme, **size)
    found = violations(page)
    if page.is_visible("#drawer"):
        page.click("#drawer")
        assert page.get_attribute("#drawer", "aria-expanded") == "true"
    for tab in ("pieces", "check", "build", "photo", "look"):
        page.click(f"#tab-{tab}")
        found += violations(page)
    assert found == []


def test_no_violation_in_the_list_of_keys(open_page: Any) -> None:
    page = open_page()
    page.focus("#dial")
    page.keyboard.press("?")
    assert page.is_visible("#help")
    assert violations(page) == []
    page.keyboard.press("Escape")
    assert page.is_hidden("#help")


def test_axe_sees_a_planted_fault(open_page: Any) -> None:
    page = open_page()
    page.evaluate("document.getElementById('play').removeAttribute('aria-label')")
    assert any(text.startswith("button-name") for text in violations(page))


def test_everything_can_be_reached_by_tab(open_page: Any) -> None:
    page = open_page(width=1000, height=700)
    reached = []
    for _ in range(24):
        page.keyboard.press("Tab")
        reached.append(
            page.evaluate(
                "document.activeElement.id || document.activeElement.getAttribute('aria-label')"
                " || document.activeElement.textContent"
            )
        )
    for name in ("picture", "dial", "play", "tab-pieces", "reader", "low", "tulip", "Show tulip"):
        assert name in reached
