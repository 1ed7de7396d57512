"""Every cure that is told, put into the file as `tune` does it, makes its finding go away."""

import dataclasses
import tomllib

import pytest

from meshes import check, spread
from meshes.check import cures
from meshes.check.finding import QUESTIONS
from meshes.design.edit import patched
from tests.designs import by_day
from tests.pieces.blossoms import STRAIGHT, flower

from .gallery import CARRIER, art, cosd, design, sind, tent, v_fold
from .random_spreads import random_design


def cured(folder, text, overrides=None):
    """The report with its cures; what the camera sees is left out, since it can't fail."""
    file = folder / "ill.toml"
    file.write_text(text)
    made = spread.read(file, overrides or {})
    case = check.case_of(made)
    limits = made.design.check.model_copy(update={"looks": False})
    return check.cured(made, case, check.report(case, limits), limits, overrides or {})


def about(finding):
    """What a finding is about, whatever its figures; a spread closes, or is too thick, as one."""
    if finding.question in ("flat", "thickness"):
        return finding.question, finding.kind, frozenset()
    pieces = {finding.piece, *(part.partition(".")[0] for part in finding.parts)}
    return finding.question, finding.kind, frozenset(pieces)


def failures(report):
    return {about(one) for one in report.findings if one.severity != "note"}


def held(text, path):
    """What a key of the file holds: a number, or a list of them."""
    node = tomllib.loads(text)
    for key in path.split(".") if "." in path else ("values", path):
        named = isinstance(node, list)
        node = next(one for one in node if one.get("name") == key) if named else node[key]
    if isinstance(node, str):
        return float(node.removesuffix(" mm"))
    return tuple(node) if isinstance(node, list) else node


def assert_cures_hold(folder, text):
    """Put each cure into the text, read it and ask everything again; the report and its cures."""
    found = cured(folder, text)
    tried = set()
    for finding in found.findings:
        for cure in finding.cures:
            assert held(text, cure.key) == cure.now
            if (about(finding), cure) in tried:
                continue
            tried.add((about(finding), cure))
            file = folder / "well.toml"
            file.write_text(patched(text, {cure.key: cure.value}))
            made = spread.read(file)
            limits = made.design.check.model_copy(update={"looks": False})
            after = failures(check.report(check.case_of(made), limits))
            assert about(finding) not in after, f"{finding.text}: {cure}"
            assert after <= failures(found), f"{finding.text}: {cure}"
    return found, {cure for _, cure in tried}


@pytest.mark.parametrize(
    ("text", "kind", "key", "value"),
    [
        # The closed ridge reaches L sin(45 + 60) from the gutter of a page 148 mm wide.
        (v_fold("v", 45, 60, 160, 60), "sticks out", "pieces.v.ridge", 148 / sind(105)),
        # A V that leans back reaches L cos 30 towards the foot, from 40 mm.
        (v_fold("v", 60, 90, 60, 40), "sticks out", "pieces.v.ridge", 40 / cosd(30)),
        # A tent reaches the sum of foot and panel.
        (tent("t", 70, 90, 40, 105), "sticks out", "pieces.t.panel", 148 - 70),
        # And half its width to either side of the place where it stands.
        (tent("t", 30, 50, 60, 190), "sticks out", "pieces.t.at", 210 - 30),
        (tent("t", 30, 50, 60, 20), "sticks out", "pieces.t.at", 30),
        # What reaches past its hinge by 5 mm must move by so much.
        (CARRIER + art("leaf", "t.left", [[-45, -10], [-5, -10], [-5, 10], [-45, 10]]),
         "clashes", "pieces.leaf.x", 5),
        (tent("t", 30, 50, 60, 100, extra="tab = 4"), "narrow glue", "pieces.t.tab", 6),
    ],
)  # fmt: skip
def test_a_cure_is_the_nearest_value_that_serves(tmp_path, text, kind, key, value):
    """By trigonometry; values are told to a tenth of a millimetre."""
    found = cured(tmp_path, design(text))
    cures = [cure for one in found.findings if one.kind == kind for cure in one.cures]
    (best,) = [cure for cure in cures if cure.key == key][:1]
    assert abs(best.value - value) < 0.2
    assert f"{key} = {best.value:g} (now" in found.findings[0].advice


@pytest.mark.parametrize("seed", by_day([3008, 3010, 3013], [3008]))
def test_cures_of_random_designs_hold(tmp_path, seed):
    """More of them: `python -m tests.bench.bench_cures`."""
    assert_cures_hold(tmp_path, random_design(seed, most=2))


def test_a_number_in_a_list_is_cured_too(tmp_path):
    """A tent closes flat if foot and panel are as long on both sides: 20 + 55 = 35 + 40.

    The feet are worked out from several numbers, which stay as they are.
    """
    feet = ["2 * 10 mm", "30 + 5 mm"]
    _, cures = assert_cures_hold(tmp_path, design(tent("t", feet, [30, 40], 40, 105)))
    assert check.Cure("pieces.t.panel", (55, 40), (30, 40)) in cures


def test_a_step_from_copy_to_copy_is_cured_too(tmp_path):
    """The second tent reaches 150 + 40 + 30 mm up a page of 210: each of the three may give way."""
    text = design(tent("t", 30, 50, 60, 150, extra="repeat = { count = 2, add = { at = 40 } }"))
    _, cures = assert_cures_hold(tmp_path, text)
    assert check.Cure("pieces.t.repeat.add.at", 30, 40) in cures


@pytest.mark.parametrize(
    ("at", "values", "key", "value"),
    [
        ("high", "high = 190", "high", 180),
        ("high - 5 mm", 'high = "195 mm"', "high", 185),
        ("2 * middle", 'middle = "(high - step) / 2"\nhigh = 200\nstep = "1 * 10"', "high", 190),
        ("190 mm", "", "pieces.t.at", 180),
    ],
)
def test_a_number_that_the_file_gives_a_name_is_cured_by_its_name(tmp_path, at, values, key, value):
    """A tent 60 mm wide stands 30 mm from the head of a page of 210 mm at most. What is worked out
    from several numbers stays; what it is worked out from may change.
    """  # fmt: skip
    text = design(tent("t", *(f'"{k} * 10"' for k in (3, 5, 6)), f'"{at}"'))
    found, cures = assert_cures_hold(tmp_path, f"{text}[values]\n{values}\n")
    (cure,) = cures
    assert (cure.key, cure.value) == (key, pytest.approx(value, abs=0.11))
    (told,) = [one.advice for one in found.findings if one.kind == "sticks out"]
    assert told.startswith(f"{key} = {cure.value:g}{' in [values]' if values else ''} (now ")


def test_a_cure_starts_from_what_was_set_on_the_command_line(tmp_path):
    text = design(tent("t", 30, 50, 60, '"high"')) + "[values]\nhigh = 100\n"
    for overrides in ({"high": 190.0}, {"pieces.t.at": 190.0}):
        found = cured(tmp_path, text, overrides)
        (key,) = overrides
        cures = {one.key: one for f in found.findings for one in f.cures}
        assert (cures[key].now, cures[key].value) == (190, pytest.approx(180, abs=0.11))


@pytest.mark.night
def test_a_flower_that_jams_gets_longer_legs(tmp_path):
    """Its layers are tables in a list; legs of 7.5 mm open this one, and 6.8 mm do not."""
    outer = 'name = "outer"\nangle = "2 * 26"\nlength = "2 * 21.5"\nparting = "2 * 14.5"\n'
    legs = 'hang_at = "2 * 7", distance = "2 * 4.75", length = 6.8, width = "2 * 4.5"'
    cup = f"{outer}legs = {{ {legs} }}"
    base = 'name = "base"\nstand = "flat"\nlength = "2 * 29"'
    found, cures = assert_cures_hold(tmp_path, flower(STRAIGHT, base, cup))
    assert "jams" in {one.kind for one in found.findings}
    (cure,) = cures
    assert cure.key == "pieces.bloom.layers.outer.legs.length"
    assert 6.8 < cure.value < 7.5


def test_a_finding_without_a_cure_that_serves_gives_no_advice(tmp_path):
    """No number of the file leads a V with unlike angles from its jam: they are worked out."""
    keys = 'page_angle = ["5 * 10", "6 * 10"]\npanel_angle = ["3 * 25", "4 * 10"]\n'
    keys += "base = 40\nridge = 60\n"
    found = cured(tmp_path, design(f'[pieces.v]\nkind = "v-fold"\nat = 60\n{keys}'))
    assert not found.passes
    assert [one.advice for one in found.findings if one.kind == "jams"] == [""]


def test_cures_change_nothing_else_of_a_report(tmp_path):
    found = cured(tmp_path, design(v_fold("v", 45, 60, 160, 60)))
    plain = [dataclasses.replace(one, cures=()) for one in found.findings]
    made = spread.read(tmp_path / "ill.toml")
    limits = made.design.check.model_copy(update={"looks": False})
    assert plain == list(check.report(check.case_of(made), limits).findings)
    assert [a.verdict for a in found.answers if a.question in QUESTIONS].count("no") == 1


def test_what_cannot_be_assembled_at_all_is_not_tried_for_long(tmp_path, monkeypatch):
    """To find that out takes the solver longest, and each value beside it takes as long again."""
    motions = []
    solve = spread.Spread.solve

    def counted(self, *arguments, **names):
        # One real search tells: the others would take as long and find as little.
        motions.append(motions[0] if motions else solve(self, *arguments, **names))
        return motions[-1]

    monkeypatch.setattr(spread.Spread, "solve", counted)
    # Feet 51 mm from the gutter, and panels of 9 mm between them.
    fern = 'outline = { shape = "fern", length = 69, width = 30 }'
    cured(tmp_path, design(tent("t", 51, [9, 9.001], 7, 60, fern)))
    assert not motions[0].solved.any()
    assert len(motions) == 4


@pytest.mark.parametrize(("bound", "most"), [("_LOOKS", 0), ("_RESTS", -1)])
def test_what_is_spent_on_cures_is_bounded_by_work(tmp_path, monkeypatch, bound, most):
    """Pairs looked at and rests sought are counted, so every computer gives up at the same try."""
    asked = []
    report = cures.report
    monkeypatch.setattr(cures, "report", lambda *a, **k: asked.append(a) or report(*a, **k))
    text = design(CARRIER + art("leaf", "t.left", [[-45, -10], [-5, -10], [-5, 10], [-45, 10]]))
    cured(tmp_path, text)
    enough = len(asked)
    asked.clear()
    monkeypatch.setattr(cures, bound, most)
    found = cured(tmp_path, text)
    assert len(asked) < enough
    assert not any(one.cures for one in found.findings)


def test_the_same_work_is_counted_each_time(tmp_path):
    """A carrier whose leaf strikes it: the pairs that were looked at are more than none."""
    file = tmp_path / "ill.toml"
    file.write_text(
        design(CARRIER + art("leaf", "t.left", [[-45, -10], [-5, -10], [-5, 10], [-45, 10]]))
    )
    counts = []
    for _ in range(2):
        made = spread.read(file)
        case = check.case_of(made)
        check.report(case, made.design.check.model_copy(update={"looks": False}))
        counts.append(case.looks)
    assert counts[0] == counts[1] > 0
