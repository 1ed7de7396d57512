"""Paper that a pattern would lose, over 2,000 random pieces of all kinds and every format.

Run ``python -m tests.bench.bench_whole [COUNT [FIRST]]``; it prints each piece that loses any. What
is done is kept in ``renders/whole.jsonl`` and not done again until the program changes, so that a
run may be stopped at any time. Every piece is written as SVG, and by turns as a PDF, or as a
machine's SVG, DXF or PDF; names are drawn on every third, since they take most of the time and are
no cuts. Half of them are cut with an allowance for the thickness of paper. All are measured by
readers that did not write them (``tests/pattern/measured.py``).

Last whole run, all as designed: 2,000 pieces, 2,802 sheets, none loses paper; 0.14 s of processor
time for each. With an allowance, in card of 0.1 to 1.5 mm: 149 boxes, platforms, slides, blossoms,
stairs, mouths and zigzags, none.
"""

from __future__ import annotations

import json
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np

from meshes import program
from meshes.errors import DesignError
from preview.pattern.allowance import to_cut
from preview.pattern.layout import Options, Pattern
from preview.pattern.machine import Run, job_of
from preview.pattern.machine_files import dxf_of, pdf_of, svg_of
from preview.pattern.marks import Show
from preview.pattern.pdf import write_pattern
from preview.pattern.proof import prove_templates
from preview.pattern.svg import page_svg
from preview.pattern.template import templates
from tests.pattern.measured import enclosed, rings_of_dxf, rings_of_pdf, rings_of_svg
from tests.pattern.whole import KINDS, alone, random_piece

KEPT = Path("renders/whole.jsonl")
RUN = Run(hole=0.0)
# svgelements takes an inch for 25.4 mm to the sixth figure only; PDF rounds to 0.01 point, so that
# an outline may be wrong by that along its length.
WITHIN, POINT_MM = 2e-6, 0.01 * 25.4 / 72
FORMATS = ("pdf", "machine svg", "machine dxf", "machine pdf")


def measured(pattern: Pattern, form: str) -> list[list[np.ndarray]]:
    """The rings of each page in a format."""
    if form == "svg":
        return [rings_of_svg(page_svg(pattern, page)) for page in pattern.pages]
    if form == "pdf":
        return [rings for rings in rings_of_pdf(write_pattern(pattern)) if rings]
    jobs = [job_of(pattern.title, page, RUN) for page in pattern.pages]
    if form == "machine svg":
        return [rings_of_svg(svg_of(job)) for job in jobs]
    if form == "machine dxf":
        return [rings_of_dxf(dxf_of(job)) for job in jobs]
    return [rings for job in jobs for rings in rings_of_pdf(pdf_of(job))]


def lost(seed: int, folder: Path) -> tuple[int, str]:
    """How many sheets the piece has, and what of it is lost where; empty if nothing is."""
    one = random_piece(seed, folder)
    try:
        cut = to_cut(one, seed // (len(KINDS) * len(FORMATS)) % 2 == 0)
    except DesignError as error:
        return len(one.sheets) - 1, str(error)
    made = templates(cut.sheets, cut.joins, None, cut.drives)
    show = Show(names=seed % 3 == 0)
    pattern = alone([t for t in made if not t.is_page], replace(Options(), show=show))
    try:
        prove_templates(made)
        for form in ("svg", FORMATS[seed // len(KINDS) % len(FORMATS)]):
            found = measured(pattern, form)
            for template, rings in zip(pattern.templates, found, strict=True):
                paper = sum(facet.polygon.area for facet in template.sheet.facets)
                slack = POINT_MM * template.outline.length if "pdf" in form else WITHIN * paper
                off = enclosed(rings) - paper
                if abs(off) > slack:
                    return len(pattern.pages), f"{template.title}: {off:+.4f} mm² in {form}"
    except DesignError as error:
        return len(pattern.pages), str(error)
    return len(pattern.pages), ""


def main(count: int, first: int) -> None:
    """Measure and report."""
    KEPT.parent.mkdir(exist_ok=True)
    KEPT.touch()
    rows = [json.loads(line) for line in KEPT.read_text().splitlines()]
    done = {row["seed"]: row for row in rows if row["program"] == program.digest()}
    with tempfile.TemporaryDirectory() as folder, KEPT.open("a") as kept:
        for seed in range(first, first + count):
            if seed not in done:
                sheets, what = lost(seed, Path(folder))
                row = {"seed": seed, "program": program.digest(), "sheets": sheets, "lost": what}
                kept.write(json.dumps(row) + "\n")
                kept.flush()
                done[seed] = row
            if done[seed]["lost"]:
                sys.stdout.write(f"{seed} {KINDS[seed % len(KINDS)]}: {done[seed]['lost']}\n")
                sys.stdout.flush()
    asked = [done[seed] for seed in range(first, first + count)]
    sys.stdout.write(
        f"{count} pieces, {sum(row['sheets'] for row in asked)} sheets, "
        f"{sum(bool(row['lost']) for row in asked)} pieces lose paper or are refused\n"
    )


if __name__ == "__main__":
    numbers = [int(text) for text in sys.argv[1:]]
    main(*[*numbers, *(2000, 0)[len(numbers) :]])
