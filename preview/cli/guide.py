"""``foldstage guide``: in which order a spread is built, with a picture of every step."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from meshes.export import write_whole
from preview.errors import UseError
from preview.schemas import marked

from .arguments import add_allowance, add_design, add_jobs, add_output, read_spread, size
from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.allowance import Allowed
    from meshes.building import Step
    from meshes.spread import Spread
    from preview.guide.plan import Guide
    from preview.pattern.layout import Pattern
    from preview.pattern.stock import Stock

FORMATS = (".pdf", ".html")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.description = (
        "Work out an order in which the spread can be built and write it as PDF or HTML, with a "
        "picture for each step, materials, tools and time."
    )
    add_design(parser)
    add_output(parser, ".pdf or .html (default: both, renders/NAME-guide.pdf and .html)")
    parser.add_argument(
        "--page",
        default="A4",
        metavar="SIZE",
        help="paper size of the PDF, and of the pattern that it goes with (default: A4)",
    )
    parser.add_argument(
        "--size",
        metavar="WxH",
        type=size,
        default=(648, 432),
        help="size of each picture, in pixels (default: 648x432)",
    )
    add_allowance(parser)
    add_jobs(parser)
    parser.add_argument(
        "--json", action="store_true", help="print JSON for a script and draw nothing"
    )


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write the guide."""
    from meshes.building import proved
    from preview.guide.sheets import printed_on
    from preview.pattern.allowance import to_cut
    from preview.pattern.stock import stock

    paper = stock(args.page)
    paths = _paths(args, terminal)
    spread = read_spread(args, terminal)
    with terminal.busy("looking for an order"):
        steps = proved(spread)
    cut = to_cut(spread, args.allowance)
    if args.json:
        terminal.show(json.dumps(marked("guide", as_json(spread, steps, cut)), indent=2))
        return 0
    pattern = printed_on(spread, paper, cut)
    _say_how_to_print(pattern, paper, terminal, args.allowance)
    with terminal.progress(len(steps) + 1, "drawing steps") as advance:
        guide = made(spread, cut, steps, pattern, args.size, args.jobs, advance)
    for path in paths:
        write_whole(path, _written(guide, path, paper))
        terminal.show(f"{terminal.name(path)}: {len(steps)} steps")
    return 0


def _paths(args: argparse.Namespace, terminal: Terminal) -> list[Path]:
    if args.output is None:
        return [terminal.path(f"renders/{Path(args.design).stem}-guide{e}") for e in FORMATS]
    path = terminal.path(args.output)
    if path.suffix.lower() not in FORMATS:
        raise UseError(f"a guide can't be saved as {path.name!r}; endings: {', '.join(FORMATS)}")
    return [path]


def _say_how_to_print(
    pattern: Pattern, paper: Stock, terminal: Terminal, allowance: bool = True
) -> None:
    """Name the options of `foldstage pattern` without which it would not be what the guide says."""
    from preview.guide.sheets import in_parts

    printed = pattern.options.stock
    options = [] if printed.name == "A4" else [f"--page {printed.option}"]
    options += ["--split"] if in_parts(pattern) else []
    options += [] if allowance else ["--no-allowance"]
    if printed != paper:
        terminal.say(f"a piece is too large for {paper.name}; the guide counts on {printed.name}")
    if options:
        terminal.say(f"the guide goes with: foldstage pattern … {' '.join(options)}")


def made(
    spread: Spread,
    cut: Allowed,
    steps: tuple[Step, ...],
    pattern: Pattern,
    pixels: tuple[int, int],
    jobs: int,
    advance: Callable[[], None],
) -> Guide:
    """Draw the pictures and put the guide together, for a pattern that is printed and cut so."""
    from preview.guide.pictures import pictures
    from preview.guide.plan import compose
    from preview.guide.studio import GuideStudio

    studio = GuideStudio.of(spread, pixels, cut=cut)
    drawn = []
    for picture in pictures(studio, steps, jobs):
        drawn.append(picture)
        advance()
    return compose(spread, pattern, steps, drawn[0], drawn[1:])


def _written(guide: Guide, path: Path, paper: object) -> bytes:
    from preview.guide import html, pdf
    from preview.pattern.stock import Stock

    assert isinstance(paper, Stock)
    if path.suffix.lower() == ".pdf":
        return pdf.write_guide(guide, paper)
    return html.write_guide(guide).encode()


def as_json(spread: Spread, steps: tuple[Step, ...], cut: Allowed) -> dict[str, object]:
    """The steps for a script, and what was allowed for thick paper, mm."""
    from preview.guide.care import with_care
    from preview.guide.words import told
    from preview.pattern.allowance import row
    from preview.pattern.glue import letter

    rows = []
    texts = with_care(told(steps, spread.sheets, spread.joins), spread, steps)
    for number, (step, words) in enumerate(zip(steps, texts, strict=True), 1):
        rows.append(
            {
                "step": number,
                "task": step.action,
                "piece": step.piece,
                "host": step.host,
                "letters": [letter(j) for j in step.joins],
                "title": words.title,
                "text": list(words.sentences),
            }
        )
    return {
        "title": spread.design.title,
        "steps": rows,
        "allowances": [row(change) for change in cut.changes],
    }
