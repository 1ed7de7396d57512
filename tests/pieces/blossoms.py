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


BASE = 'name = "base"\nstand = "flat"\nlength = 60'

L1 = flower(
    STRAIGHT,
    BASE,
    'name = "outer"\nangle = 50\nlength = 45\nparting = 30\n' + legs(15, 10, 9.84, 5),
    'name = "inner"\nangle = 46\nlength = 34\nparting = 22',
    'name = "bud"\nstand = "legs"\nangle = 40\nlength = 24\nparting = 15\n' + legs(9, 6, 6.90, 2.4),
)
L2 = flower(
    STRAIGHT,
    BASE,
    'name = "outer"\nangle = 50\nlength = 45\nparting = 30\n' + legs(15, 10, 9.07, 5),
    'name = "inner"\nstand = "legs"\nangle = 42\nlength = 32\nparting = 20\n'
    + legs(10, 6, 7.67, 2.5),
)
L3 = flower(
    STRAIGHT + "\nsectors = 10",
    BASE,
    'name = "outer"\nangle = 32\nlength = 46\nparting = 32\n' + legs(18, 13, 9.58, 4),
    'name = "inner"\nangle = 29\nlength = 33\nparting = 22',
)
L4 = flower(
    STRAIGHT,
    'name = "base"\nstand = "flat"\nlength = 60',
    'name = "outer"\nangle = [42, 84, 42]\nlength = 45\nparting = 30\n' + legs(15, 10, 9.41, 6),
    'name = "inner"\nangle = [39, 78, 39]\nlength = 33\nparting = 22',
)
SETS = {"L1": L1, "L2": L2, "L3": L3, "L4": L4}
