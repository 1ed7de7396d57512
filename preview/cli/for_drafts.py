"""What ``foldstage pattern --format draft`` does: drafting sheets instead of a pattern."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from meshes.export import write_whole
from preview.errors import UseError
from preview.roles import counted
from preview.schemas import marked

from .arguments import read_spread
from .flat import say_what_stays_flat
from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.allowance import Change
    from preview.draft.sheets import DraftSheet


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write the drafting sheets and, if they are wanted, the pictures of their steps."""
    from meshes.building import proved
    from preview.draft.pages import write_drafts
    from preview.draft.sheets import draft_sheets
    from preview.pattern.allowance import to_cut
    from preview.pattern.stock import stock
    from preview.pattern.template import templates

    _check(args, terminal)
    sheet = stock(args.page)
    spread = read_spread(args, terminal)
    with terminal.busy("drafting"):
        proved(spread)
        cut = to_cut(spread, args.allowance)
        sheets = draft_sheets(templates(cut.sheets, cut.joins, None, cut.drives))
        data = write_drafts(spread.design.title, sheets, sheet)
    stem = Path(args.design).stem
    path = terminal.path(args.output or f"renders/{stem}-drafts.pdf")
    write_whole(path, data)
    files = [path, *(_pictures(args, sheets, terminal) if args.screens else ())]
    if args.json:
        report = as_json(sheets, [terminal.name(file) for file in files], cut.changes)
        terminal.show(json.dumps(marked("pattern", report), indent=2))
        return 0
    for file in files:
        terminal.show(terminal.name(file))
    for line in as_lines(sheets):
        terminal.say(line)
    say_what_stays_flat(spread, "drafting sheets do not mark where", terminal)
    return 0


def _check(args: argparse.Namespace, terminal: Terminal) -> None:
    """Refuse what drafting sheets can't have."""
    if args.format != "draft":
        raise UseError(f"--screens shows how to draw; --format {args.format} prints: try draft")
    wished = [
        name
        for name, found in (
            ("--colours", args.colours),
            ("--marks", args.marks),
            ("--register", args.register),
            ("--split", args.split),
            ("--grain", args.grain),
        )
        if found
    ]
    if wished:
        raise UseError(f"drafting sheets are drawn by hand, without {', '.join(wished)}; leave it")
    if args.output and not args.output.lower().endswith(".pdf"):
        raise UseError(f"{args.output}: drafting sheets are a PDF, and its name ends in .pdf")
    if args.screens and terminal.path(args.screens).is_file():
        raise UseError(f"{args.screens} is a file; --screens wants a folder")


def _pictures(
    args: argparse.Namespace, sheets: Sequence[DraftSheet], terminal: Terminal
) -> list[Path]:
    from preview.draft.screens import screens

    folder = terminal.path(args.screens)
    total = sum(len(sheet.drawing.plan.steps) + 1 for sheet in sheets)
    files = []
    with terminal.progress(total, "drawing steps") as advance:
        for name, data in screens(sheets):
            write_whole(folder / name, data)
            files.append(folder / name)
            advance()
    return files


def as_lines(sheets: Sequence[DraftSheet]) -> list[str]:
    """What a person wants to know: how many pieces, and how near their dimensions are."""
    count = sum(len(sheet.numbers) for sheet in sheets)
    worst = max((sheet.missed for sheet in sheets), default=0.0)
    return [
        f"{counted(len(sheets), 'different piece')} for {counted(count, 'cut-out')}; drawn by the "
        f"written dimensions they miss by at most {worst:z.2f} mm"
    ]


def as_json(
    sheets: Sequence[DraftSheet], files: Sequence[str], changes: Sequence[Change]
) -> dict[str, object]:
    """The same for a script; lengths in mm."""
    from preview.pattern.allowance import row

    return {
        "files": list(files),
        "drafts": [
            {
                "number": sheet.number,
                "title": sheet.title,
                "pieces": list(sheet.numbers),
                "steps": len(sheet.drawing.plan.steps),
                "missed_mm": round(sheet.missed, 4),
            }
            for sheet in sheets
        ],
        "allowances": [row(change) for change in changes],
    }
