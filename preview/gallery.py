"""The pictures of the README: ``python -m preview.gallery`` draws them from the shipped designs.

A still and a small film of each, which opens and closes or is moved by hand, a picture of stages
and thumbnails of one, the labelled specimen of left and right (``sides``), the outlines with their
origins (``outlines``), where x and y begin (``axes``), moments of a building film (``building``),
the first steps' five changes (``first-steps``) and sheets (``first-sheets``), a drafting
sheet (``drafts``), what folds forgive (``care``), what thickness takes (``allowance``), the sheet
of each kind of piece (``kinds``), and the top of a shop's page (``shop``), for which Chromium must
be installed; with names, only those, or the stills and films of those designs.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from meshes import designs

ROOT = Path(__file__).parent.parent
FOLDER = Path("renders/gallery")
TOUR = "toadstool-glade"
SIDES = "sides"
OUTLINES = "outlines"
AXES = "axes"
FIRST_STEPS = "first-steps"
FIRST_SHEETS = "first-sheets"
# What is changed there, one number or colour at a time.
CHANGES = (
    "petal = 34",
    "pieces.bloom.angle = 57",
    "pieces.bloom.petals = 5",
    "pieces.bloom.point = 0",
    "pieces.bloom.front = #c4543a",
)
CHANGED = ("--opening", "160", "--view", "overhead", "--size", "480x360", "--quality", "still")
# The picture of how exact a piece must be, and of which.
CARE = "care"
CAREFUL = ("dragon-keep", "steps")
# The picture of what is cut off for thickness, and of which piece.
ALLOWANCE = "allowance"
THICK = ("campfire-night", "pines")
# A shop of all designs, and how much of its page is shown, pixels.
SHOP = "shop"
SHOP_WINDOW = (1280, 1120)
# The sheets of the kinds of piece.
KINDS = "kinds"
# Moments of the film of how a design is built: steps, and how much of each is over.
BUILDING = "building"
# How a notebook is bound, on which design, and moments of its film that turns a page: how far that
# is turned, and how far the spread is open, degrees.
BINDING = "binding"
BOUND = "lighthouse-bay"
LEAFED = ((0.4, 0.0), (1.0, 100.0))
DRAFTS = "drafts"
BUILT = "kite-day"
MOMENTS = ((19, 0.5), (20, 0.72), (21, 0.62), (22, 0.22), (22, 0.8), (39, 0.6))
STILL = ("--size", "1280x720", "--quality", "fine")
OPENING = "146"
# The piece that tells most of a drafting sheet, and a step of it, counted from 0.
DRAFTED = ("peacock-court", "far tail", 3)
# The light and the table on which each looks best; the others in the light that a film has by
# itself.
MOODS = {
    "campfire-night": "dusk",
    "dragon-keep": "dusk",
    "kite-day": "meadow",
    "night-train": "night",
    "spring-nest": "meadow",
    "two-seasons": "late-sun",
    "umbrella-street": "north",
    "winter-market": "dusk",
}
# Openings at which a still shows more than at that of the others.
OPENINGS = {
    "kite-day": "158",
    "lighthouse-bay": "160",
    "peacock-court": "164",
    "two-seasons": "160",
    "umbrella-street": "150",
}
FILM = ("--size", "480x320", "--seconds", "5", "--fps", "20")
# What a hand moves in the film of a design that stands open meanwhile, and at which opening.
MOVED = {
    "fox-in-the-grass": ("fox-strip", 150),
    "two-seasons": ("year", 165),
}
# Where it stands in the still, if not where it rests.
DRIVEN = {"fox-in-the-grass": 0.8}


def still_of(name: str) -> Path:
    """The picture of a design, seen from the project's folder."""
    return FOLDER / f"{name}.jpg"


def film_of(name: str) -> Path:
    """The film of a design, seen from the project's folder."""
    return FOLDER / f"{name}.gif"


def motion_of(name: str) -> str:
    """What the film of a design shows, in words."""
    return "is moved by hand" if name in MOVED else "opens and closes"


def still_options(name: str) -> list[str]:
    """How the picture of a design is drawn."""
    piece, _ = MOVED.get(name, ("", 0))
    opening = OPENINGS.get(name, OPENING)
    return [
        *STILL,
        "--opening",
        opening,
        *(("--by-hand", f"{piece}={DRIVEN[name]}") if name in DRIVEN else ()),
    ]


def film_options(name: str) -> list[str]:
    """How the film of a design is drawn."""
    if name not in MOVED:
        return [*FILM]
    piece, opening = MOVED[name]
    return [*FILM, "--action", "stand", "--opening", str(opening), "--by-hand", piece]


def gallery_markdown() -> str:
    """The README's gallery: each film, with its name as a link to the large picture."""
    cells = [
        f"| ![{name} {motion_of(name)}]({film_of(name).as_posix()})<br>"
        f"[`{name}`]({still_of(name).as_posix()}) "
        for name in designs.names()
        if (ROOT / film_of(name)).exists() and (ROOT / still_of(name)).exists()
    ]
    rows = ["".join(cells[k : k + 2]) + "|" for k in range(0, len(cells), 2)]
    return "\n".join(["| | |", "| --- | --- |", *rows])


def draw_tour() -> int:
    """The README's picture of stages and thumbnails, of the design it tells most about."""
    from tempfile import TemporaryDirectory

    from PIL import Image

    from preview.cli import main as foldstage

    stages = ROOT / FOLDER / "stages.jpg"
    codes = [foldstage(["stages", TOUR, "-o", str(stages), "--size", "320x240"])]
    with TemporaryDirectory() as folder:
        codes.append(foldstage(["thumbnail", TOUR, "-o", folder, "--count", "3"]))
        with Image.open(Path(folder) / "contact-sheet.png") as sheet:
            sheet.convert("RGB").save(ROOT / FOLDER / "thumbnails.jpg", quality=88)
    return max(codes)


def draw_sides() -> int:
    """The README's picture of what is called left and right, front and back."""
    from meshes import spread

    from .pictures import sides

    sides.draw(spread.read(ROOT / FOLDER / f"{SIDES}.toml"), ROOT / FOLDER / f"{SIDES}.jpg")
    return 0


def draw_outlines() -> int:
    """The README's picture of the outlines and their origins."""
    from .pictures import outlines

    outlines.draw(ROOT / FOLDER / f"{OUTLINES}.png")
    return 0


def draw_axes() -> int:
    """The first steps' picture of where x and y begin, on the design that they begin with."""
    from meshes import spread

    from .pictures import axes

    text = designs.start("My flower", "my-flower.toml")
    axes.show(spread.read(designs.path(TOUR), text=text), ROOT / FOLDER / f"{AXES}.jpg")
    return 0


def draw_binding() -> int:
    """The README's picture of a notebook: shut with its band, open a page earlier, opening."""
    import numpy as np

    from meshes import spread
    from preview.pictures import binding

    moments = [(share, float(np.radians(opening))) for share, opening in LEAFED]
    binding.draw(spread.read(designs.path(BOUND)), moments, ROOT / FOLDER / f"{BINDING}.jpg")
    return 0


def draw_building() -> int:
    """The README's picture of a building film."""
    from meshes import spread

    from .pictures import building

    read = spread.read(designs.path(BUILT))
    building.draw(read, MOMENTS, ROOT / FOLDER / f"{BUILDING}.jpg")
    return 0


def draw_changes() -> int:
    """The picture of the first steps: one flower, and five changes of one number each."""
    from tempfile import TemporaryDirectory

    import numpy as np
    from PIL import Image

    from preview.cli import main as foldstage

    from .pictures import stages

    codes, pictures = [], []
    with TemporaryDirectory() as folder:
        design, picture = Path(folder) / "my-flower", Path(folder) / "still.png"
        codes.append(foldstage(["new", str(design)]))
        for change in ("", *CHANGES):
            key, _, value = change.partition(" = ")
            words = ["--set", f"{key}={value}"] if change else []
            still = ["still", f"{design}.toml", "-o", str(picture), *CHANGED]
            codes.append(foldstage([*still, *words]))
            with Image.open(picture) as image:
                pictures.append(np.asarray(image.convert("RGB")))
    labels = ["as it comes", *(change.removeprefix("pieces.") for change in CHANGES)]
    sheet = stages.arrange(pictures, labels, 3, "#f4efe2")
    Image.fromarray(sheet).save(ROOT / FOLDER / f"{FIRST_STEPS}.jpg", quality=88)
    return max(codes)


def draw_first_sheets() -> int:
    """The picture of what is printed of the first steps' flower: pieces, and steps of the guide."""
    from tempfile import TemporaryDirectory

    import pypdfium2  # type: ignore[import-untyped]
    from PIL import Image, ImageOps

    from preview.cli import main as foldstage

    pages = []
    with TemporaryDirectory() as folder:
        design = str(Path(folder) / "my-flower")
        codes = [foldstage(["new", design])]
        for command, number in (("pattern", 0), ("pattern", 1), ("guide", 1)):
            document = str(Path(folder) / f"{command}.pdf")
            if not Path(document).exists():
                codes.append(foldstage([command, f"{design}.toml", "-o", document]))
            with pypdfium2.PdfDocument(document) as opened:
                page = opened[min(number, len(opened) - 1)].render(scale=1.0).to_pil()
            pages.append(ImageOps.expand(page.convert("RGB"), 1, "#cfc8bb"))
    gap, high = 24, max(page.height for page in pages)
    wide = sum(page.width + gap for page in pages) + gap
    sheet, x = Image.new("RGB", (wide, high + 2 * gap), "#f4efe2"), gap
    for page in pages:
        sheet.paste(page, (x, gap))
        x += page.width + gap
    sheet.save(ROOT / FOLDER / f"{FIRST_SHEETS}.jpg", quality=88)
    return max(codes)


def draw_drafts() -> int:
    """The README's picture of a step of a drafting sheet, and of what comes of them all."""
    import io

    from PIL import Image

    from meshes import spread

    from .draft.screens import painted, screen
    from .draft.sheets import draft_sheets
    from .pattern.template import templates

    design, piece, step = DRAFTED
    found = spread.read(designs.path(design))
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    (sheet,) = draft_sheets([template for template in made if template.title == piece])
    shown = []
    for number in (step, len(sheet.drawing.plan.steps)):
        with Image.open(io.BytesIO(painted(screen(sheet, number)))) as image:
            shown.append(image.convert("RGB").resize((1280, 720), Image.Resampling.LANCZOS))
    both = Image.new("RGB", (1280, 720 * len(shown)))
    for k, picture in enumerate(shown):
        both.paste(picture, (0, 720 * k))
    both.save(ROOT / FOLDER / f"{DRAFTS}.png", optimize=True)
    return 0


def draw_care() -> int:
    """The picture of what the folds of a piece forgive."""
    from meshes import spread

    from .pictures import care

    design, piece = CAREFUL
    care.draw(spread.read(designs.path(design)), piece, ROOT / FOLDER / f"{CARE}.png")
    return 0


def draw_allowance() -> int:
    """The picture of what is cut off beside a fold that shuts over a stack."""
    from meshes import spread

    from .pictures import allowance

    design, piece = THICK
    allowance.draw(spread.read(designs.path(design)), piece, ROOT / FOLDER / f"{ALLOWANCE}.png")
    return 0


def draw_shop() -> int:
    """The picture of a shop's page, with all designs that come with the package."""
    import shutil
    from tempfile import TemporaryDirectory

    from playwright.sync_api import sync_playwright

    from preview.cli import main as foldstage

    with TemporaryDirectory() as name:
        folder, output = Path(name) / "designs", Path(name) / "catalog"
        (folder / "drawings").mkdir(parents=True)
        for path in map(designs.path, designs.names()):
            shutil.copy(path, folder)
        for path in designs.drawings():
            shutil.copy(path, folder / "drawings")
        said = ROOT / FOLDER / f"{SHOP}.toml"
        code = foldstage(["catalog", str(folder), "-o", str(output), "--shop", str(said)])
        with sync_playwright() as driver:
            program = shutil.which("chromium") or shutil.which("chromium-browser")
            browser = driver.chromium.launch(executable_path=program, args=["--no-sandbox"])
            wide, high = SHOP_WINDOW
            tab = browser.new_page(viewport={"width": wide, "height": high}, color_scheme="light")
            tab.goto((output / "shop" / "index.html").as_uri(), wait_until="networkidle")
            tab.screenshot(path=str(ROOT / FOLDER / f"{SHOP}.jpg"), type="jpeg", quality=88)
            browser.close()
    return code


def draw_kinds() -> int:
    """The sheets of all kinds of piece, to which the reference leads."""
    from .kinds import files
    from .kinds.sheet import every, sheet

    for kind in every():
        files.write(sheet(kind), ROOT / FOLDER / "kinds" / f"{kind}.webp")
    return 0


# Pictures of no one design's film or still, in the order in which they are drawn.
OTHERS: Mapping[str, Callable[[], int]] = {
    SIDES: draw_sides,
    OUTLINES: draw_outlines,
    AXES: draw_axes,
    BINDING: draw_binding,
    BUILDING: draw_building,
    FIRST_STEPS: draw_changes,
    FIRST_SHEETS: draw_first_sheets,
    DRAFTS: draw_drafts,
    CARE: draw_care,
    ALLOWANCE: draw_allowance,
    SHOP: draw_shop,
    KINDS: draw_kinds,
}


def main(names: Sequence[str]) -> int:
    """Draw the pictures of some designs, or of all; the largest exit code of the commands."""
    from preview.cli import main as foldstage

    codes = [0]
    for name in [name for name in names if name not in OTHERS] or (
        () if names else designs.names()
    ):
        mood = ["--mood", MOODS[name]] if name in MOODS else []
        still, film = str(ROOT / still_of(name)), str(ROOT / film_of(name))
        codes.append(foldstage(["still", name, "-o", still, *still_options(name), *mood]))
        codes.append(foldstage(["film", name, "-o", film, *film_options(name), *mood]))
    codes += [draw() for name, draw in OTHERS.items() if not names or name in names]
    if not names:
        codes.append(draw_tour())
    return max(codes)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
