"""The kind ``drawn`` in a design file: where its file may lie, and how mistakes are told."""

from __future__ import annotations

import numpy as np
import pytest

from meshes import spread
from meshes.errors import DesignError

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" viewBox="0 0 100 80">'
CARD = '<path class="cut" d="M 10 10 H 50 V 40 H 10 Z"/>'
GLUE = '<path class="glue" id="glue-A" d="M 12 12 H 30 V 20 H 12 Z"/>'
DESIGN = 'title = "t"\n[spread]\npage = "A5"\n[pieces.card]\nkind = "drawn"\n'


def read(folder, lines='file = "card.svg"\n', body=CARD + GLUE):
    (folder / "card.svg").write_text(f"{HEAD}{body}</svg>")
    (folder / "t.toml").write_text(DESIGN + lines)
    return spread.read(folder / "t.toml")


PLACED = '[pieces.card.places.A]\non = "page.right"\nx = 60\ny = 90\nturn = 30\n'


def test_a_letter_is_placed_by_the_design(tmp_path):
    found = read(tmp_path, f'file = "card.svg"\n{PLACED}')
    (join,) = found.joins
    assert join.host == "page.right"
    middle = join.placement.apply([(21.0, 64.0)])[0]
    assert middle == pytest.approx([60, 90])
    assert join.placement.angle == pytest.approx(0.5235987755982988)
    assert not join.placement.flipped


def test_a_sheet_that_only_the_design_places_uses_no_number_that_nobody_set(tmp_path, monkeypatch):
    """It hangs on no page of the drawing, and so once was closed with whatever memory held."""

    def soiled(shape, dtype=float, **rest):
        return np.full(shape, 1e200 if np.dtype(dtype).kind == "f" else 1, dtype, **rest)

    monkeypatch.setattr(np, "empty", soiled)
    folds = "".join(f'<path class="valley" d="M 10 {y} H 50"/>' for y in (24, 28, 32))
    with np.errstate(over="raise", invalid="raise", divide="raise"):
        found = read(tmp_path, f'file = "card.svg"\n{PLACED}', CARD + GLUE + folds)
        found.solve(np.radians([90.0]))
    assert len(found.sheets[-1].facets) == 4


def test_an_area_may_lie_face_down(tmp_path):
    found = read(tmp_path, f'file = "card.svg"\n{PLACED}face = "down"\n')
    assert found.joins[0].placement.flipped
    assert found.joins[0].placement.apply([(21.0, 64.0)])[0] == pytest.approx([60, 90])


@pytest.mark.parametrize(
    ("lines", "body", "said"),
    [
        ('file = "../card.svg"\n', CARD, "file: lies outside the design's folder"),
        ('file = "/etc/hostname"\n', CARD, "file: lies outside the design's folder"),
        ('file = "none.svg"\n', CARD, "file: can't be read: No such file"),
        ('file = "t.toml"\n', CARD, "file: is not a drawing"),
        ('file = "card.svg"\n', CARD + GLUE, "glue area A has no place; try: draw its place"),
        (f'file = "card.svg"\n{PLACED}', CARD, "places.A: is not a glue area of the drawing"),
        ('file = "card.svg"\n', "<g/>", "card.svg: has no line of class or layer cut"),
        ('file = "card.svg"\n', '<path class="cut" d="M 0 0 L"/>', "path has an empty L"),
        ("", CARD, "file: is missing"),
        ('file = "card.svg"\nscale = 0\n', CARD, "scale"),
    ],
)
def test_mistakes_are_one_line_with_file_piece_and_key(tmp_path, lines, body, said):
    with pytest.raises(DesignError) as caught:
        read(tmp_path, lines, body)
    (line,) = str(caught.value).splitlines()
    assert line.startswith(f"{tmp_path}/t.toml: card: ")
    assert said in line


def test_a_folder_of_drawings_is_one_drawing(tmp_path):
    (tmp_path / "two").mkdir()
    for name in "ab":
        (tmp_path / "two" / f"{name}.svg").write_text(f"{HEAD}{CARD}</svg>")
    found = read(tmp_path, 'file = "two"\n')
    assert sum(sheet.piece == "card" for sheet in found.sheets) == 2


def test_a_place_on_the_wrong_side_of_the_paper_is_explained(tmp_path):
    other = '<g id="sheet-b"><path class="cut" d="M 60 10 H 90 V 40 H 60 Z"/>{}</g>'
    place = '<path class="place front" id="place-A" d="M 62 12 H 80 V 20 H 62 Z"/>'
    glue = GLUE.replace('class="glue"', 'class="glue front"')
    first = f'<g id="sheet-a">{CARD}{glue}</g>'
    with pytest.raises(DesignError, match="glue is on its front, but its place is drawn so that"):
        read(tmp_path, body=first + other.format(place))


BY_HAND = f"{CARD}{GLUE}"
MOVES = 'file = "card.svg"\n' + PLACED


def test_a_pin_turns_its_sheet_where_it_is_laid(tmp_path):
    found = read(tmp_path, MOVES, BY_HAND + '<circle id="pin" cx="20" cy="25" r="1"/>')
    (drive,) = found.linkage.drives
    assert (drive.name, drive.kind) == ("card", "turn")
    assert drive.axis == pytest.approx((20, 55))
    assert drive.reach == pytest.approx(2 * 3.141592653589793)
    assert found.joins == ()


def test_a_track_says_which_way_and_how_far_its_sheet_slides(tmp_path):
    found = read(tmp_path, MOVES, BY_HAND + '<path class="track" d="M 20 30 H 45"/>')
    (drive,) = found.linkage.drives
    assert (drive.kind, drive.axis, drive.reach) == ("slide", (1.0, 0.0), pytest.approx(25))


@pytest.mark.parametrize(
    ("lines", "body", "said"),
    [
        (MOVES, '<path class="track" d="M 20 30 L 30 31 L 45 30"/>', "a track is straight"),
        (
            MOVES,
            '<circle id="pin" cx="20" cy="25" r="1"/><path class="track" d="M 20 30 H 45"/>',
            "a sheet has one pin, track or spine",
        ),
        (
            MOVES,
            '<path class="spine" d="M 10 10 V 40"/>',
            "mm from the gutter; allowed: in it",
        ),
        (
            MOVES,
            '<circle id="pin" class="pin" data-turn-deg="much" cx="20" cy="25" r="1"/>',
            "data-turn-deg is 'much'; allowed: 1 to 3600",
        ),
        (
            f'file = "card.svg"\nabove = {{ lid = "sheet" }}\n{PLACED}',
            "",
            "above.lid: names no sheet of the drawing; found 'lid'; allowed: sheet",
        ),
    ],
)
def test_what_a_hand_cannot_move_is_refused(tmp_path, lines, body, said):
    with pytest.raises(DesignError) as caught:
        read(tmp_path, lines, BY_HAND + body)
    (line,) = str(caught.value).splitlines()
    assert said in line


def test_two_sheets_that_move_are_two_pieces(tmp_path):
    pin = '<circle class="pin" cx="{}" cy="25" r="1"/>'
    body = BY_HAND + pin.format(20) + '<rect class="cut" x="60" y="10" width="30" height="30"/>'
    with pytest.raises(DesignError, match="two of its sheets are moved by hand"):
        read(tmp_path, MOVES, body + pin.format(70))


HEART = """<svg xmlns="http://www.w3.org/2000/svg" width="6in" height="5in" viewBox="0 0 6 5">
  <g id="sheet-heart" transform="translate(1.5 3)">
    <path class="cut" d="M 0.86 -0.5 C 1.6 -1.2 1 -2.2 0 -1.8 C -1 -2.2 -1.6 -1.2 -0.86 -0.5
      L -0.95 -0.2 L -0.1 0.1 L 0 0 L 0.1 0.1 L 0.95 -0.2 Z"/>
    <line class="mountain" id="mountain-rib" x2="0" y2="-1.8"/>
    <path id="mountain-left-base" d="M 0 0 L -0.86 -0.5"/>
    <path id="mountain-right-base" d="M 0 0 L 0.86 -0.5"/>
    <path id="glue-A" d="M 0 0 L -0.86 -0.5 L -0.95 -0.2 L -0.1 0.1 Z"/>
    <path id="glue-B" d="M 0 0 L 0.86 -0.5 L 0.95 -0.2 L 0.1 0.1 Z"/>
  </g>
  <g id="spread" transform="translate(4 3)">
    <path class="gutter" d="M 0 0 V -2"/>
    <use href="#glue-A" class="place" transform="rotate(-110) scale(-1 1)"/>
    <use href="#glue-B" class="place" transform="rotate(110) scale(-1 1)"/>
  </g>
</svg>"""


def test_a_heart_drawn_by_hand_in_inches_opens_as_a_v_fold_of_its_angles(tmp_path):
    """cos b = cos a cos t at full opening (right spherical triangle, Napier's rules)."""
    import numpy as np

    (tmp_path / "card.svg").write_text(HEART)
    (tmp_path / "t.toml").write_text(DESIGN + 'file = "card.svg"\nat = 60\n')
    found = spread.read(tmp_path / "t.toml")
    motion = found.solve(np.radians([0.0, 30.0, 90.0, 180.0]))
    assert motion.solved.all()
    assert motion.gaps.max() <= 1e-9
    rib = next(hinge for hinge in found.linkage.hinges if hinge.name == "card.rib")
    assert rib.length == pytest.approx(1.8 * 25.4, abs=0.3)
    ridge = motion.rotations[3, rib.bodies[0]] @ rib.frames[0][:, 0]
    page, panel = np.radians(50), np.arctan2(0.86, 0.5)
    assert ridge[0] == pytest.approx(0, abs=1e-6)
    # Drawn to a hundredth of an inch, the angles are good to about a degree.
    assert ridge[1] == pytest.approx(np.cos(panel) / np.cos(page), abs=0.02)
