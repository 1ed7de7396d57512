"""``foldstage pattern``: the pieces at true scale, to print or to cut by machine."""

from __future__ import annotations

import argparse
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from meshes.export import write_whole
from preview.errors import UseError
from preview.schemas import marked

from . import for_drafts
from .arguments import add_allowance, add_design, add_length, add_output, number, read_spread
from .for_machine import add_machine, register_of, run_of, where_marks_are
from .terminal import Terminal

if TYPE_CHECKING:
    from collections.abc import Mapping

    from meshes.spread import Spread
    from preview.pattern.layout import Options, Pattern, Side


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.description = (
        "Write the pieces at true scale: cut lines solid, valley folds dashed, mountain folds "
        "dash and dot, glue areas hatched and lettered."
    )
    add_design(parser)
    add_output(parser, "file (.pdf), or folder for SVG (default: renders/NAME-pattern…)")
    parser.add_argument(
        "--format",
        choices=("pdf", "svg", "machine", "draft"),
        default="pdf",
        help="pdf to print, svg one file per page, machine SVG, DXF and PDF of each sheet with "
        "layers pen, folds and cuts, draft a PDF that tells how to draw each piece with ruler and "
        "compass (default: pdf)",
    )
    parser.add_argument(
        "--screens",
        metavar="FOLDER",
        help="with --format draft: a picture of each drawing step as well, PNG for a video",
    )
    _add_sheet(parser)
    _add_printing(parser)
    _add_marks(parser)
    add_machine(parser)
    parser.add_argument("--json", action="store_true", help="print JSON for a script")


def _add_sheet(parser: argparse.ArgumentParser) -> None:
    sheet = parser.add_argument_group("sheet")
    sheet.add_argument(
        "--page", default="A4", metavar="SIZE", help="A4, A3, Letter … or WIDTHxHEIGHT in mm"
    )
    add_length(sheet, "--margin", (0, 50), 10.0, "free edge of the paper")
    add_length(sheet, "--gap", (0, 50), 4.0, "distance between pieces")
    sheet.add_argument(
        "--grain",
        choices=("long", "short"),
        help="the edge along which the paper's grain runs: pieces then keep their longest fold "
        "along it (default: pieces turn freely)",
    )
    sheet.add_argument(
        "--split", action="store_true", help="print pieces larger than the sheet on several sheets"
    )
    add_length(
        sheet, "--overlap", (2, 50), 10.0, "width by which the parts of a split piece overlap"
    )
    add_allowance(sheet)


def _add_printing(parser: argparse.ArgumentParser) -> None:
    printing = parser.add_argument_group("printing")
    printing.add_argument(
        "--marks",
        choices=("front", "back", "both"),
        help="marks on the printed side, mirrored on the back, or marks on the back and colours "
        "on the front (default: front; both with --colours, which keeps its front clean)",
    )
    printing.add_argument(
        "--duplex",
        choices=("long", "short"),
        default="long",
        help="edge about which the printer turns the paper over for --marks both (default: long)",
    )
    printing.add_argument(
        "--printer-scale",
        type=printer_scale,
        default=(1.0, 1.0),
        metavar="ACROSS,UPRIGHT",
        help="what your printer makes of 1 mm, measured on the check bars, such as 0.989,1.0; "
        "the pattern makes up for it",
    )
    printing.add_argument(
        "--colours", action="store_true", help="print the papers' colours, for white paper"
    )
    add_length(printing, "--bleed", (0, 10), 2.0, "colour beyond the cut with --colours")


def _add_marks(parser: argparse.ArgumentParser) -> None:
    which = parser.add_argument_group("marks")
    which.add_argument(
        "--fold-angles", action="store_true", help="angles of the folds at full opening"
    )
    which.add_argument(
        "--no-names", action="store_true", help="no names of pieces, sides and folds"
    )
    which.add_argument(
        "--no-placing-sheets", action="store_true", help="no sheets that show where tabs land"
    )


def printer_scale(text: str) -> tuple[float, float]:
    """Convert ``0.989,1.0``; one number stands for both axes."""
    parts = text.split(",")
    one = number(0.8, 1.25)
    if len(parts) > 2:
        raise argparse.ArgumentTypeError(f"expected ACROSS,UPRIGHT such as 0.989,1.0; got {text!r}")
    values = [one(part) for part in parts]
    return values[0], values[-1]


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write the pattern."""
    from meshes.building import proved
    from meshes.check.exact import careful, on_folds

    if args.format == "draft" or args.screens:
        return for_drafts.run(args, terminal)
    options = options_of(args)
    spread = read_spread(args, terminal)
    # What is printed can be put together, or nothing is printed.
    with terminal.busy("laying out"):
        steps = proved(spread)
        # A machine is exact.
        care = on_folds(careful(spread, steps)) if args.format != "machine" else {}
        pattern = lay_out_spread(spread, options, args.fold_angles, args.allowance, care)
    _warn_of_letters(pattern, terminal)
    files = _files(args, pattern, terminal)
    for path, data in files:
        write_whole(path, data)
    if args.json:
        report = as_json(pattern, [terminal.name(path) for path, _ in files])
        terminal.show(json.dumps(marked("pattern", report), indent=2))
    else:
        for path, _ in files:
            terminal.show(terminal.name(path))
        for line in as_lines(pattern):
            terminal.say(line)
    return 0


def options_of(args: argparse.Namespace) -> Options:
    """How the pattern is laid out; UseError for a sheet that does not exist."""
    from preview.pattern.layout import Options
    from preview.pattern.marks import Show
    from preview.pattern.stock import stock

    machine = args.format == "machine"
    side: Side = args.marks or ("both" if args.colours else "front")
    if args.colours and side != "both" and not machine:
        raise UseError(
            f"--colours with --marks {side} would draw lines over the colours; marks then go on "
            "the back: leave --marks, or give --marks both"
        )
    register = register_of(args)
    if machine and args.marks == "both":
        raise UseError("a machine cuts from one side; leave --marks both, or give --marks back")
    if machine and args.colours and register is None:
        raise UseError("a machine's lines have no colours; --register adds a PDF to print them")
    if machine:
        side = args.marks or "front"
    show = Show(
        names=not args.no_names,
        colours=args.colours,
        bleed=args.bleed,
    )
    return Options(
        stock=stock(args.page),
        margin=args.margin,
        gap=args.gap,
        side=side,
        flip=args.duplex,
        grain=args.grain,
        split=args.split,
        overlap=args.overlap,
        scale=args.printer_scale,
        pages=not args.no_placing_sheets and not machine,
        furnished=not machine,
        register=register,
        show=show,
    )


def lay_out_spread(
    spread: Spread,
    options: Options,
    angles_too: bool = False,
    allowance: bool = True,
    care: Mapping[str, float] | None = None,
) -> Pattern:
    """Nest and mark the sheets of a spread.

    Parameters
    ----------
    angles_too : with the angles of its folds at full opening.
    allowance : for the thickness of paper.
    care : of folds by name, mm that they forgive, where a hand must take care.
    """
    from preview.pattern.allowance import lay_out_cut, to_cut

    angles = _open_angles_deg(spread) if angles_too else {}
    return lay_out_cut(spread.design.title, to_cut(spread, allowance), options, angles, care)


def _open_angles_deg(spread: Spread) -> dict[str, float]:
    motion = spread.solve(np.radians([180.0]))
    angles = np.degrees(motion.angles[-1])
    return {
        hinge.name: float(angle)
        for hinge, angle in zip(spread.linkage.hinges, angles, strict=True)
        if np.isfinite(angle)
    }


def _files(
    args: argparse.Namespace, pattern: Pattern, terminal: Terminal
) -> list[tuple[Path, bytes]]:
    stem = Path(args.design).stem
    if args.format == "pdf":
        from preview.pattern.pdf import write_pattern

        path = terminal.path(args.output or f"renders/{stem}-pattern.pdf")
        if path.suffix.lower() != ".pdf":
            raise UseError(f"{terminal.name(path)}: a PDF's name ends in .pdf; or choose --format")
        return [(path, write_pattern(pattern))]
    folder = terminal.path(args.output or f"renders/{stem}-{args.format}")
    if folder.exists() and not folder.is_dir():
        raise UseError(f"{terminal.name(folder)} is a file; -o wants a folder for SVG")
    made = _machine(args, pattern) if args.format == "machine" else _pages(pattern)
    return [(folder / name, data) for name, data in made]


def _pages(pattern: Pattern) -> list[tuple[str, bytes]]:
    from preview.pattern.svg import page_svg

    return [
        (f"{number:02d}-{_plain(page.paper)}-{page.face}.svg", page_svg(pattern, page).encode())
        for number, page in enumerate(pattern.pages, 1)
    ]


def _machine(args: argparse.Namespace, pattern: Pattern) -> list[tuple[str, bytes]]:
    from preview.pattern.machine_files import machine_files
    from preview.pattern.pdf import write_print

    run = run_of(args)
    files = [
        (f"{number:02d}-{_plain(page.paper)}{ending}", data)
        for number, page in enumerate(pattern.pages, 1)
        for ending, data in machine_files(pattern, page, run).items()
    ]
    return files + ([("print.pdf", write_print(pattern))] if args.register else [])


def _plain(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "paper"


def _warn_of_letters(pattern: Pattern, terminal: Terminal) -> None:
    """Name the letters that the shipped typeface can't print."""
    from preview.pattern import font

    texts = {"the title": pattern.title}
    texts |= {t.title: t.title for t in pattern.templates if not t.is_page}
    texts |= {use.name: use.name for use in pattern.papers}
    for where, text in texts.items():
        letters = font.lacking(text)
        if letters:
            terminal.say(
                f"warning: the typeface lacks {' '.join(letters)} of {where!r}, printed as "
                f"{font.printable(text)!r}; try Latin, Greek or Cyrillic letters"
            )


def as_lines(pattern: Pattern) -> list[str]:
    """What a person wants to know: sheets and waste of each paper."""
    from preview.pattern.allowance import told
    from preview.roles import counted

    lines = []
    for use in pattern.papers:
        sheets = counted(use.sheets, "sheet")
        cut_outs = counted(use.cut_outs, "cut-out")
        lines.append(
            f"{use.name}: {cut_outs} on {sheets}, waste {100 * use.waste:z.0f} % "
            f"({100 * use.plain_waste:z.0f} % in plain rows)"
        )
    lines += [f"allowed for thickness: {told(change)}" for change in pattern.changes]
    if pattern.options.register is not None:
        lines.append(where_marks_are(pattern))
    kinds = {use.paper.name for use in pattern.papers}
    if len(pattern.papers) > 2 * len(kinds):
        lines.append("next: --colours prints the colours on white paper and needs fewer sheets")
    return lines


def as_json(pattern: Pattern, files: list[str]) -> dict[str, object]:
    """The same for a script; shares from 0 to 1, areas in mm²."""
    from preview.pattern.allowance import row

    return {
        "files": files,
        "pages": len(pattern.pages),
        "waste": round(pattern.waste, 4),
        "plain_waste": round(pattern.plain_waste, 4),
        "papers": [
            {
                "paper": use.name,
                "cut_outs": use.cut_outs,
                "area_mm2": round(use.area, 2),
                "sheets": use.sheets,
                "waste": round(use.waste, 4),
                "plain_sheets": use.plain_sheets,
                "plain_waste": round(use.plain_waste, 4),
            }
            for use in pattern.papers
        ],
        "allowances": [row(change) for change in pattern.changes],
    }
