"""``foldstage check``: what goes wrong, before the paper is cut."""

from __future__ import annotations

import argparse
import io
import json
from typing import TYPE_CHECKING

from preview.errors import UseError
from preview.schemas import marked

from .arguments import add_design, add_jobs, add_view, design_path, read_spread, setting, warnings
from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.answers import Answers
    from meshes.check import Case, Finding, Hands, Limits, Report
    from meshes.spread import Spread

_QUESTIONS = ("flat", "inside", "moves", "clash", "thickness", "makeable", "looks", "exact")
# Questions are shared by two at most.
_MOST_JOBS = 2
_STYLE = {"problem": "bold red", "warning": "yellow", "note": "dim"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_design(parser)

    which = parser.add_mutually_exclusive_group()
    which.add_argument(
        "--only",
        metavar="QUESTION",
        choices=_QUESTIONS,
        action="append",
        help=f"ask only this; may be given several times ({', '.join(_QUESTIONS)})",
    )
    which.add_argument(
        "--skip",
        metavar="QUESTION",
        choices=_QUESTIONS,
        action="append",
        default=[],
        help="leave this out; may be given several times",
    )
    parser.add_argument(
        "--limit",
        dest="limits",
        metavar="NAME=VALUE",
        type=setting,
        action="append",
        default=[],
        help="another value for one key of the [check] table, such as thickest=2.5; lengths in "
        "mm, angles in degrees",
    )
    _add_exactness(parser)
    parser.add_argument(
        "--strict", action="store_true", help="count warnings as problems: exit with 1"
    )
    parser.add_argument("--json", action="store_true", help="print JSON for a script")
    parser.add_argument("--schema", action=_ShowSchema, help="print the JSON schema and stop")
    add_view(parser, "place to look from when judging what is hidden")
    add_jobs(parser, "answer", "answers are")
    parser.add_argument("--html", metavar="FILE", help="write a page with pictures as well")


def _add_exactness(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--exact",
        action="store_true",
        help="ask as well how exact it must be made, which takes some seconds more",
    )
    parser.add_argument(
        "--accuracy",
        metavar="MM,DEG",
        type=_accuracy,
        help="how exactly you cut, fold and glue, as standard deviations; asks for --exact "
        "(default: 0.3,0.3)",
    )


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Check a design."""
    from meshes import check
    from meshes.answers import Answers

    answers = Answers(design_path(args.design, terminal), dict(args.values))
    report = None if args.html else _found_before(args, answers, terminal)
    if report is None:
        report = _report(args, answers, terminal)
    if args.json:
        terminal.show(
            json.dumps(marked("check", check.as_json(report)), indent=2, ensure_ascii=False)
        )
    else:
        _show(report, terminal)
    warned = any(finding.severity == "warning" for finding in report.findings)
    return 0 if report.passes and not (args.strict and warned) else 1


def _asked_of(args: argparse.Namespace) -> tuple[object, ...]:
    """What decides a report beside the design."""
    return "report", args.only, args.skip, args.limits, args.view, args.exact, args.accuracy


def _found_before(args: argparse.Namespace, answers: Answers, terminal: Terminal) -> Report | None:
    """The report on the same design that was kept, if there is one."""
    from meshes.check.kept import unpacked

    found = answers.get(*_asked_of(args))
    if found is None:
        return None
    for warning in found["warnings"]:
        terminal.say(warning)
    return unpacked(found["report"])


def _report(args: argparse.Namespace, answers: Answers, terminal: Terminal) -> Report:
    """Ask the questions, keep the report, and write the page if one is wanted."""
    from preview.parallel import crew

    with crew(min(args.jobs, _MOST_JOBS), prepare) as workers:
        from meshes import check
        from meshes.check.kept import packed
        from preview.report.page import film_eye, write

        spread = read_spread(args, terminal)
        limits = _asked(args, spread.design.check)
        with terminal.busy("checking"):
            case = check.case_of(spread, beside=workers)
            hands, told = _hands(args, spread, case)
            eye = film_eye(spread, case.motion, args.view)
            report = check.report(case, limits, eye, hands=hands, beside=workers)
    for line in told:
        terminal.say(line)
    if any(finding.severity != "note" for finding in report.findings):
        with terminal.busy("trying cures"):
            report = check.cured(spread, case, report, limits, dict(args.values))
    with terminal.busy("looking for an order of building"):
        report = check.with_order(report, spread, case)
    kept = {"warnings": [*warnings(spread), *told], "report": packed(report)}
    answers.put(kept, *_asked_of(args))
    if args.html:
        target = terminal.path(args.html)
        write(target, spread, case, report, limits)
        terminal.say(f"wrote {terminal.name(target)}")
    return report


def prepare() -> None:
    """Import what another process takes to answer."""
    from meshes.check import questions  # noqa: F401
    from meshes.motion import beside  # noqa: F401
    from preview.report import page  # noqa: F401


def _accuracy(text: str) -> tuple[float, float]:
    """Standard deviations in mm and degrees, as given."""
    parts = text.split(",")
    try:
        shift, turn = (
            float(part.strip().removesuffix(unit))
            for part, unit in zip(parts, ("mm", "°"), strict=True)
        )
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{text!r}: give millimetres and degrees, such as 0.3,0.3"
        ) from None
    if not (0 <= shift <= 10 and 0 <= turn <= 10):
        raise argparse.ArgumentTypeError(f"{text!r}: allowed are 0 to 10 mm and 0 to 10°")
    return shift, turn


def _hands(args: argparse.Namespace, spread: Spread, case: Case) -> tuple[Hands | None, list[str]]:
    """How it is built, if that is asked, and what must be said of it.

    It is built as the guide tells, if there is a guide.
    """
    if not (args.exact or args.accuracy or "exact" in (args.only or [])):
        return None, []
    if "exact" in args.skip or (args.only and "exact" not in args.only):
        return None, []
    import numpy as np

    from meshes.building import proved
    from meshes.check import Hands
    from meshes.errors import DesignError
    from meshes.exact import HandAccuracy

    hand = HandAccuracy()
    if args.accuracy:
        hand = HandAccuracy(args.accuracy[0], float(np.radians(args.accuracy[1])))
    if not case.closes:
        return Hands(hand), []
    try:
        return Hands.of(proved(spread), hand), []
    except DesignError as error:
        return Hands(hand), [f"{error}; every side is taken as glued to its mark"]


class _ShowSchema(argparse.Action):
    """Needs no design, so it acts before the arguments are complete."""

    def __init__(self, option_strings: list[str], dest: str, help: str) -> None:
        super().__init__(option_strings, dest, nargs=0, help=help)

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        import sys

        from preview.schemas import schema

        sys.stdout.write(json.dumps(schema("check"), indent=2, ensure_ascii=False) + "\n")
        parser.exit()


def _asked(args: argparse.Namespace, limits: Limits) -> Limits:
    """The limits of the design with what the command line changes.

    Raises
    ------
    UseError
        For a name or a value that the [check] table does not know.
    """
    from meshes.check import USUAL
    from meshes.check.limits import changed

    only = set(args.only or USUAL) - set(args.skip)
    try:
        limits = changed(limits, dict(args.limits))
    except ValueError as error:
        raise UseError(f"--limit {error}") from None
    return limits.model_copy(update={q: getattr(limits, q) and q in only for q in USUAL})


def _show(report: Report, terminal: Terminal) -> None:
    """The report as tables: the questions, then the findings, worst first."""
    from rich.console import Console

    from preview.report.words import summary

    # Written by us: where nobody reads on, the library would leave with the exit code 1.
    text = io.StringIO()
    console = Console(
        file=text,
        no_color=not terminal.colour,
        force_terminal=terminal.colour,
        width=None if terminal.live else 110,
        highlight=False,
        soft_wrap=False,
    )
    console.print(_questions_table(report))
    if report.findings:
        console.print(_findings_table(report))
    console.print(summary(report))
    terminal.show(text.getvalue().removesuffix("\n"))


def _questions_table(report: Report) -> object:
    from rich.table import Table

    from meshes.check import QUESTIONS, VERDICTS
    from preview.report.words import figures

    table = Table(title=report.title, title_justify="left", box=None, pad_edge=False)
    for head in ("question", "answer", "figures"):
        table.add_column(head, overflow="fold")
    for answer in report.answers:
        style = {"no": "bold red", "yes-with-warnings": "yellow"}.get(answer.verdict, "")
        table.add_row(
            QUESTIONS[answer.question], VERDICTS[answer.verdict], figures(answer), style=style
        )
    return table


def _findings_table(report: Report) -> object:
    from rich.table import Table

    from meshes.check import SIGNS

    table = Table(box=None, pad_edge=False, title="worst first", title_justify="left")
    table.add_column("")
    table.add_column("what", no_wrap=True)
    table.add_column("finding and what to change", overflow="fold")
    for finding in report.findings:
        table.add_row(
            f"{SIGNS[finding.severity]} {finding.severity}",
            finding.kind,
            _two_lines(finding),
            style=_STYLE[finding.severity],
        )
    return table


def _two_lines(finding: Finding) -> str:
    advice = finding.advice
    return f"{finding.text}\n→ {advice}" if advice else finding.text
