"""Design files with one blossom, as text."""

from __future__ import annotations

from meshes import spread

STRAIGHT = "profile = [[0.55, 0.93], [0, 1]]"


def flower(keys: str = "", *layers: str, before: str = "") -> str:
    """A design with one blossom; each layer is the text of its table."""
    parts = ['[spread]\npage = "A5"', before, f'[pieces.bloom]\nkind = "blossom"\n{keys}']
    parts += [f"[[pieces.bloom.layers]]\n{layer}" for layer in layers]
    return "\n".join(parts) + "\n"


def read(folder, text):
    path = folder / "bloom.toml"
    path.write_text(text, encoding="utf-8")
    return spread.read(path)


def legs(top, foot, length, half_width):
    places = f"hang_at = {top}, distance = {foot}"
    return f"legs = {{ {places}, length = {length}, width = {2 * half_width} }}"


BASE = 'name = "base"\nstand = "flat"\nlength = 58'

# Four flowers of numbers of our own: three layers of which the innermost has legs; two layers on
# legs; ten sectors; sectors of two widths.
L1 = flower(
    STRAIGHT,
    BASE,
    'name = "outer"\nangle = 52\nlength = 43\nparting = 29\n' + legs(14, 9.5, 9.0, 4.5),
    'name = "inner"\nangle = 47\nlength = 33\nparting = 21',
    'name = "bud"\nstand = "legs"\nangle = 41\nlength = 23\nparting = 14\n'
    + legs(8.5, 5.5, 6.7, 2.2),
)
L2 = flower(
    STRAIGHT,
    BASE,
    'name = "outer"\nangle = 52\nlength = 43\nparting = 29\n' + legs(14, 9.5, 7.95, 4.5),
    'name = "inner"\nstand = "legs"\nangle = 44\nlength = 31\nparting = 19\n'
    + legs(9.5, 5.7, 7.29, 2.4),
)
L3 = flower(
    STRAIGHT + "\nsectors = 10",
    BASE,
    'name = "outer"\nangle = 33\nlength = 45\nparting = 31\n' + legs(17, 12, 8.83, 3.8),
    'name = "inner"\nangle = 30\nlength = 32\nparting = 21',
)
L4 = flower(
    STRAIGHT,
    BASE,
    'name = "outer"\nangle = [43, 86, 43]\nlength = 44\nparting = 29\n' + legs(14, 9, 8.7, 5.5),
    'name = "inner"\nangle = [40, 80, 40]\nlength = 32\nparting = 21',
)
SETS = {"L1": L1, "L2": L2, "L3": L3, "L4": L4}
