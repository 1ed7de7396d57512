"""What a refusal advises is true: the sheet that it names takes the piece, no smaller one does."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace

import numpy as np
import pytest
import shapely

from meshes import designs, spread
from preview.errors import UseError
from preview.pattern.fitting import SIZES, in_parts, room_of, turns_that_fit
from preview.pattern.layout import Options, lay_out
from preview.pattern.stock import stock
from preview.pattern.template import templates

from .specimens import page_sheet
from .test_layout import banner, folded_banner


def laid(sheet, options):
    return lay_out("Specimen", templates([page_sheet(), sheet], []), options)


def refusal(sheet, options):
    with pytest.raises(UseError) as caught:
        laid(sheet, options)
    return str(caught.value)


@pytest.mark.parametrize(
    ("sheet", "split"),
    [
        (banner(300, 60), False),
        (banner(390, 200), False),
        pytest.param(banner(600, 60), False, marks=pytest.mark.night),
        (folded_banner(range(9, 300, 9)), True),
    ],
)
def test_the_sheet_that_a_refusal_names_takes_the_piece_and_no_smaller_one_does(sheet, split):
    options = Options(split=split)
    (named,) = re.findall(r"--page (\S+?)(?:,|$)", refusal(sheet, options))
    assert laid(sheet, replace(options, stock=stock(named))).pages
    # Sizes grow both ways but for the last two, which may lie across each other.
    for smaller in SIZES[: SIZES.index(named) if named in SIZES else None][-2:]:
        refusal(sheet, replace(options, stock=stock(smaller)))


def test_the_largest_shipped_design_can_be_printed_on_a4_in_parts_that_are_all_of_it():
    found = spread.read(designs.path("winter-market"))
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    options, letters = Options(split=True), map("overlap {}".format, itertools.count())
    parted = []
    for template in [template for template in made if not template.is_page]:
        parts = in_parts(template, options, letters)
        whole = shapely.union_all([part.outline for part in parts])
        assert whole.symmetric_difference(template.outline).area < 1e-3
        for part in parts:
            # A spike of 4 mm that is nowhere 0.3 mm wide was once left beside a seam.
            core = part.outline.buffer(-0.2).buffer(0.2 * np.sqrt(2))
            hairs = shapely.get_parts(part.outline.difference(core))
            assert max((hair.length for hair in hairs), default=0.0) < 2.0
            assert turns_that_fit(part.outline, part.lengthwise, room_of(options), options)
        parted += [template.title] if len(parts) > 1 else []
        hatched = [a.letter for p in parts for a in p.glue if a.facet == a.other and not a.lands]
        assert len(hatched) == len(parts) - 1, "an overlap for each seam"
    assert parted == ["houses"]


def test_splitting_is_advised_only_where_it_helps():
    every_9_mm = folded_banner(range(9, 300, 9))
    assert "--split" in refusal(banner(300, 60), Options())
    assert "--split" not in refusal(every_9_mm, Options())
    assert "try --page A3" in refusal(every_9_mm, Options(split=True))
