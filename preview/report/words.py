"""Words of the check that the command line and the page share."""

from __future__ import annotations

from collections.abc import Mapping

from meshes.check import Answer, Report

VERDICTS: Mapping[str, str] = {
    "holds": "yes",
    "warns": "yes, but",
    "fails": "no",
    "skipped": "not asked",
    "unknown": "cannot be told",
}


def summary(report: Report) -> str:
    """The whole report in one line."""
    fails = sum(finding.severity == "fail" for finding in report.findings)
    warns = sum(finding.severity == "warn" for finding in report.findings)
    minded = f"{warns} thing{'s' * (warns != 1)} to mind"
    if fails:
        return f"{fails} thing{'s' * (fails != 1)} to mend before cutting" + (
            f", {minded}" if warns else ""
        )
    return f"Ready to cut, with {minded}" if warns else "Ready to cut"


def figures(answer: Answer) -> str:
    """The measures of an answer, for one line; empty if there are none."""
    wanted, words = _FIGURES[answer.question]
    return words.format_map(answer.measures) if wanted in answer.measures else _other(answer)


_FIGURES: Mapping[str, tuple[str, str]] = {
    "flat": ("largest_angle_deg", "largest angle to the page {largest_angle_deg:.2f}°"),
    "inside": ("room_left_mm", "nearest to the margin: {room_left_mm:.1f} mm"),
    "moves": ("largest_gap_mm", "{solved_stages:.0f} stages, largest gap {largest_gap_mm:.1e} mm"),
    "clash": ("deepest_push_mm", "deepest {deepest_push_mm:.2f} mm"),
    "thickness": ("peak_mm", "{peak_mm:.2f} mm at {layers} layers, mean {mean_mm:.2f} mm"),
    "makeable": ("narrowest_glue_mm", "narrowest glue {narrowest_glue_mm:.1f} mm"),
    "looks": ("", ""),
}


def _other(answer: Answer) -> str:
    if "closes_to_deg" in answer.measures:
        return f"closes to {answer.measures['closes_to_deg']:.1f}° only"
    shares = answer.measures.get("hidden_percent", {})
    most = max(((s, name) for at in shares.values() for name, s in at.items()), default=(0, ""))
    if most[0]:
        return f"most hidden: {most[1]}, {most[0]} % at times"
    return "nothing is hidden" if shares else ""
