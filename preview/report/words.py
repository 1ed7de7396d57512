"""Words of the check that the command line and the page share."""

from __future__ import annotations

from collections.abc import Mapping

from meshes.check import QUESTIONS, Answer, Report


def summary(report: Report) -> str:
    """The whole report in one line; it says "ready" only if every question has its answer."""
    problems = _counted("problem", report)
    warnings = _counted("warning", report)
    if problems:
        return f"{problems} to solve before cutting" + (f", {warnings}" if warnings else "")
    if report.whole:
        return f"Ready to cut, with {warnings}" if warnings else "Ready to cut"
    answered = [QUESTIONS[answer.question] for answer in report.answers if answer.answered]
    if not answered:
        return "Nothing was asked that could be answered"
    found = f"No problems, but {warnings}," if warnings else "No problems"
    count = f"the one question of {len(report.answers)} that was asked and answered"
    if len(answered) > 1:
        count = (
            f"the {len(answered)} questions of {len(report.answers)} that were asked and answered"
        )
    return f"{found} in {count}: {', '.join(answered)}"


def _counted(severity: str, report: Report) -> str:
    """``2 warnings``; empty for none."""
    count = sum(finding.severity == severity for finding in report.findings)
    return f"{count} {severity}{'s' * (count != 1)}" if count else ""


def figures(answer: Answer) -> str:
    """The measures of an answer, for one line; empty if there are none."""
    wanted, words = _FIGURES[answer.question]
    if wanted not in answer.measures:
        return _other(answer)
    return words.format_map(
        {**answer.measures, "meet": _meet(answer), "others": _others(answer), "best": _best(answer)}
    )


def _meet(answer: Answer) -> str:
    """How well folds and glue meet: nobody cuts to less than a thousandth of a millimetre."""
    gap = float(answer.measures.get("largest_gap_mm", 0.0))
    return f"{max(gap, 0.001):.3f}"


def _best(answer: Answer) -> str:
    """Which single place would help most."""
    best = answer.measures.get("best")
    return f", {best['closing']:,} if {best['part']} were exact" if best else ""


def _others(answer: Answer) -> str:
    """What the places forgive that the findings do not name."""
    from meshes.check.exact import forgiven

    keys = "others_within_mm", "others_within_deg"
    told = forgiven(*(answer.measures.get(key) for key in keys))
    what = "all else" if answer.findings else "every place"
    return f"; {what} forgives {told}" if told else ""


_FIGURES: Mapping[str, tuple[str, str]] = {
    "flat": ("largest_angle_deg", "largest angle to the page {largest_angle_deg:z.2f}°"),
    "inside": ("room_left_mm", "{room_left_mm:z.1f} mm from the margin at the nearest"),
    "moves": ("largest_gap_mm", "{solved_stages:.0f} openings tried, all meets within {meet} mm"),
    "clash": ("deepest_push_mm", "deepest push {deepest_push_mm:z.2f} mm"),
    "thickness": ("peak_mm", "{peak_mm:z.2f} mm where {layers} layers lie, mean {mean_mm:z.2f} mm"),
    "makeable": ("narrowest_glue_mm", "narrowest glue area {narrowest_glue_mm:z.1f} mm"),
    "looks": ("", ""),
    "exact": (
        "closing",
        "{closing:,} of {builds:,} builds by hand close, {closing_by_marks:,} if all is glued to "
        "marks{best}{others}",
    ),
}


def _other(answer: Answer) -> str:
    if "closes_to_deg" in answer.measures:
        return f"closes only to {answer.measures['closes_to_deg']:z.1f}°"
    shares = answer.measures.get("hidden_percent", {})
    most = max(((s, name) for at in shares.values() for name, s in at.items()), default=(0, ""))
    if most[0]:
        return f"most hidden: {most[1]}, {most[0]} % at times"
    return "nothing is hidden" if shares else ""
