"""What is said of a pack: the list that lies in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from preview.guide.cautions import CAUTIONS, TOOLS
from preview.roles import counted

from .folder import Made
from .parts import PARTS


def contents(title: str, page_mm: tuple[float, float], made: Mapping[str, Made]) -> str:
    """The list of contents: files, papers, tools, and what to take care of.

    Parameters
    ----------
    page_mm : width and height of one page of the notebook, mm.
    """
    wide, high = page_mm
    lines = [title, "=" * len(title), ""]
    lines += [f"For a notebook whose pages are {wide:g} × {high:g} mm.", ""]
    guide = made["guide"].facts if "guide" in made else {}
    if guide:
        cut_outs, steps = counted(guide["cut_outs"], "cut-out"), counted(guide["steps"], "step")
        lines += [f"{cut_outs}, {steps}, {guide['time']}.", ""]
    for name, part in PARTS.items():
        if name in made and made[name].files:
            lines += [f"{part.title[0].upper()}{part.title[1:]}", *_listed(made[name].files), ""]
    if "pattern" in made:
        lines += _papers(made["pattern"].facts["papers"])
    if "machine" in made:
        lines += _by_machine(made["machine"].facts)
    lines += ["Tools", *(f"  {tool}" for tool in TOOLS), ""]
    lines += ["Take care", *(f"  {caution}" for caution in CAUTIONS)]
    return "\n".join(lines) + "\n"


def _listed(names: Mapping[str, str]) -> list[str]:
    return [f"  {name}" for name in sorted(names)]


def _papers(papers: Mapping[str, Sequence[Mapping[str, Any]]]) -> list[str]:
    lines = []
    for size, uses in papers.items():
        lines.append(f"Paper, printed on {size}")
        lines += [
            f"  {use['name']}: {counted(use['sheets'], 'sheet')} for "
            f"{counted(use['cut_outs'], 'cut-out')}"
            for use in uses
        ]
        lines.append("")
    return lines


def _by_machine(facts: Mapping[str, Any]) -> list[str]:
    """What paper to lay under the knife for each of the files."""
    rows = [
        f"  {row['files']}: {row['name']}, {row['grammage']:g} g/m², {row['colour'] or 'clear'}"
        for row in facts["papers"]
    ]
    return [f"Paper for the cutting machine, {facts['size']}, and its colour", *rows, ""]
