"""Paper that a pattern would lose, over 2,000 random pieces of all kinds and every format.

Run ``python -m tests.bench.bench_whole [COUNT [FIRST]]``; it prints each piece that loses any. SVG
is written and measured for every piece, PDF and a machine's three files for every tenth.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from meshes.errors import DesignError
from preview.pattern.machine import Run
from preview.pattern.machine_files import machine_files
from preview.pattern.pdf import write_pattern
from preview.pattern.proof import prove_templates
from preview.pattern.svg import page_svg
from preview.pattern.template import templates
from tests.outside.test_pattern_whole import WITHIN, alone, area_of
from tests.pattern.whole import KINDS, random_piece


def main(count: int, first: int) -> None:
    lost, sheets = 0, 0
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(first, first + count):
            found = random_piece(seed, Path(folder))
            made = templates(found.sheets, found.joins, None, found.linkage.drives)
            pattern = alone([t for t in made if not t.is_page])
            try:
                prove_templates(made)
                for template, page in zip(pattern.templates, pattern.pages, strict=True):
                    paper = sum(facet.polygon.area for facet in template.sheet.facets)
                    if abs(area_of(page_svg(pattern, page)) / paper - 1) > WITHIN:
                        raise DesignError(())
                    sheets += 1
                if seed % 10 == 0:
                    write_pattern(pattern)
                    for page in pattern.pages:
                        machine_files(pattern, page, Run())
            except DesignError as error:
                lost += 1
                sys.stdout.write(f"{seed} {KINDS[seed % len(KINDS)]}: {error}\n")
                sys.stdout.flush()
    sys.stdout.write(f"{count} pieces, {sheets} sheets whole, {lost} pieces refused\n")


if __name__ == "__main__":
    numbers = [int(text) for text in sys.argv[1:]]
    main(*[*numbers, *(2000, 0)[len(numbers) :]])
