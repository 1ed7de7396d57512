"""``foldstage pack``: all that goes with a design that is sold or given away, in one folder."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from preview.errors import UseError
from preview.schemas import marked

from .arguments import (
    add_design,
    add_jobs,
    add_output,
    aspects,
    design_path,
    file_size,
    opening_deg,
    read_spread,
    size,
    whole,
)
from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.spread import Spread
    from preview.pack.folder import Folder
    from preview.pack.parts import Wishes


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    from preview.pack.parts import PARTS, Wishes

    usual = Wishes()
    parser.description = (
        "Put everything that goes with a design into one folder and one zip: sheets to print, "
        "files for a cutting machine, drafting sheets, the guide, pictures for a shop's page, the "
        "film, a film of how it is built, a page to open by hand and a list of contents. A second "
        "run makes anew only what has changed."
    )
    add_design(parser)
    add_output(parser, "folder; the zip gets its name (default: renders/NAME-pack)")
    parser.add_argument(
        "--skip",
        metavar="PART",
        choices=tuple(PARTS),
        action="append",
        default=[],
        help=f"leave this out: {', '.join(PARTS)}; may be given several times",
    )
    parser.add_argument(
        "--page",
        metavar="SIZE,SIZE,…",
        type=_words,
        default=usual.pages,
        help=f"sizes of paper to print on (default: {','.join(usual.pages)})",
    )
    _add_pictures(parser, usual)
    parser.add_argument(
        "--film-size",
        metavar="WxH",
        type=size,
        default=usual.film,
        help=f"size of the films in pixels (default: {usual.film[0]}x{usual.film[1]})",
    )
    parser.add_argument("--terms", metavar="FILE", help="a text of your own to put in, as it is")
    parser.add_argument(
        "--with-problems",
        action="store_true",
        help="pack a design in which the check finds problems all the same",
    )
    add_jobs(parser)
    parser.add_argument("--json", action="store_true", help="print JSON for a script")


def _add_pictures(parser: argparse.ArgumentParser, usual: Wishes) -> None:
    from preview.shot.mood import MOODS

    pictures = parser.add_argument_group("pictures and films")
    usually = ",".join(f"{s.numerator}:{s.denominator}" for s in usual.aspects)
    pictures.add_argument(
        "--aspects",
        metavar="W:H,W:H,…",
        type=aspects,
        default=usual.aspects,
        help=f"a picture of each of these shapes (default: {usually})",
    )
    pictures.add_argument(
        "--longer-side",
        metavar="PIXELS",
        type=whole(160, 8192),
        default=usual.side,
        help=f"of each picture (default: {usual.side})",
    )
    pictures.add_argument(
        "--heaviest",
        metavar="KB",
        type=whole(10, 50_000),
        default=usual.heaviest // 1000,
        help=f"most kilobytes of a picture (default: {usual.heaviest // 1000})",
    )
    pictures.add_argument(
        "--opening",
        metavar="DEG",
        type=opening_deg,
        default=usual.opening,
        help=f"how far the spread is open in them (default: {usual.opening:g})",
    )
    pictures.add_argument(
        "--mood", choices=MOODS, default=usual.mood, help=f"light and table (default: {usual.mood})"
    )


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Make the pack."""
    from preview.pack.folder import Folder
    from preview.pack.parts import PARTS

    path = terminal.path(args.output or f"renders/{Path(args.design).stem}-pack")
    if path.exists() and not path.is_dir():
        raise UseError(f"{terminal.name(path)} is a file; -o wants a folder")
    if set(args.skip) >= set(PARTS) - {"terms"}:
        raise UseError("nothing is left to pack; skip less")
    wishes = _wishes(args, terminal)
    spread = read_spread(args, terminal)
    if not _may_be_packed(spread, args, terminal):
        return 1
    folder = Folder(path)
    fresh = _make(args, spread, folder, wishes, terminal)
    archive = path.with_name(f"{path.name}.zip")
    _finish(spread, folder, archive)
    if args.json:
        _show_json(folder, fresh, archive, terminal)
        return 0
    for name in folder.files():
        terminal.show(terminal.name(path / name))
    terminal.show(f"{terminal.name(archive)}: {file_size(archive)}")
    terminal.say(f"made: {', '.join(fresh) or 'nothing, all was as it is'}")
    return 0


def _wishes(args: argparse.Namespace, terminal: Terminal) -> Wishes:
    """What was asked for; UseError for a paper that does not exist, OSError for no terms."""
    from preview.pack.parts import Wishes
    from preview.pattern.stock import stock

    for page in args.page:
        stock(page)
    terms = ""
    if args.terms:
        try:
            terms = terminal.path(args.terms).read_text(encoding="utf-8")
        except UnicodeDecodeError:
            raise UseError(f"{args.terms} is not a text in UTF-8; save it as UTF-8") from None
    return Wishes(
        args.page,
        tuple(dict.fromkeys(args.aspects)),
        args.longer_side,
        1000 * args.heaviest,
        args.film_size,
        args.opening,
        args.mood,
        terms,
    )


def _may_be_packed(spread: Spread, args: argparse.Namespace, terminal: Terminal) -> bool:
    """Whether the check finds no problem, or that does not matter."""
    from meshes.answers import Answers

    answers = Answers(design_path(args.design, terminal), dict(args.values))
    problems = answers.get("problems")
    if problems is None:
        from meshes.check import case_of, report, with_order

        with terminal.busy("checking"):
            case = case_of(spread)
            found = with_order(report(case, spread.design.check), spread, case)
        problems = [finding.text for finding in found.findings if finding.fails]
        answers.put(problems, "problems")
    for problem in problems:
        terminal.say(f"problem: {problem}")
    if problems and not args.with_problems:
        terminal.say("nothing is packed; see: foldstage check, or add --with-problems")
        return False
    return True


def _make(
    args: argparse.Namespace, spread: Spread, folder: Folder, wishes: Wishes, terminal: Terminal
) -> list[str]:
    """Make every part that is wanted and not there as it should be; the names of these."""
    from meshes.source import source
    from preview.films import frames
    from preview.pack.key import part_key
    from preview.pack.parts import PARTS, Bench
    from preview.parallel import crew

    path = design_path(args.design, terminal)
    about = source(path, dict(args.values))
    wanted = [name for name in PARTS if name not in args.skip]
    wanted = [name for name in wanted if name != "terms" or wishes.terms]
    for name in [name for name in folder.made if name not in wanted]:
        folder.drop(name)
    keys = {name: part_key(about or "", name, PARTS[name].wished(wishes)) for name in wanted}
    # What is too large to be looked over again is made anew.
    fresh = [name for name in wanted if about is None or not folder.good(name, keys[name])]
    total = sum(PARTS[name].weight for name in fresh)
    with (
        crew(args.jobs if fresh else 1, frames.prepare) as workers,
        terminal.progress(total, "packing") as advance,
    ):
        bench = Bench(spread, path.stem, folder.path, wishes, workers)
        for name in fresh:
            names, facts = PARTS[name].make(bench)
            folder.keep(name, keys[name], names, facts)
            advance(PARTS[name].weight)
    return fresh


def _finish(spread: Spread, folder: Folder, archive: Path) -> None:
    from preview.pack.words import contents

    settings, title = spread.design.spread, spread.design.title
    text = contents(title, (settings.width, settings.height), folder.made)
    folder.finish(text, archive)


def _show_json(folder: Folder, fresh: list[str], archive: Path, terminal: Terminal) -> None:
    rows = [
        {
            "name": name,
            "files": [terminal.name(folder.path / file) for file in sorted(made.files)],
            "made_anew": name in fresh,
        }
        for name, made in folder.made.items()
    ]
    found = {"contents": rows, "zip": terminal.name(archive)}
    terminal.show(json.dumps(marked("pack", found), indent=2))


def _words(text: str) -> tuple[str, ...]:
    words = tuple(dict.fromkeys(word.strip() for word in text.split(",")))
    if not all(words):
        raise argparse.ArgumentTypeError(f"expected words with commas between, got {text!r}")
    return words
