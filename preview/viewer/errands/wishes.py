"""What the page can wish to have made, and the few choices of each: a closed list."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from preview.errors import UseError
from preview.shot.camera import VIEWS
from preview.shot.mood import MOODS
from preview.shot.tables import OF_MOOD, TABLES

from ..keeping import Standpoint

# In place of the name of a view: where the camera of the page stands.
HERE = "-here"
# In place of a value: the option is left out, and the design or the command decides.
LEFT_OUT = "-own"

_Name = Annotated[str, Field(max_length=100)]


@dataclass(frozen=True)
class Choice:
    """One thing that can be chosen.

    Parameters
    ----------
    key : what the page calls it.
    label : what a person reads.
    options : what can be chosen, with what a person reads; the first is taken by itself.
    option : of the command line, which takes the value; none for an ending of the file.
    usual : whether the first option goes without saying.
    """

    key: str
    label: str
    options: Mapping[str, str]
    option: str = ""
    usual: bool = False


@dataclass(frozen=True)
class Kind:
    """One kind of file.

    Parameters
    ----------
    words : options that always go with it.
    course : of a film, if it is another than that of the spread.
    """

    command: str
    title: str
    about: str
    choices: tuple[Choice, ...]
    words: tuple[str, ...] = ()
    course: str = ""

    @property
    def file(self) -> str:
        """What the page calls it."""
        return self.course or self.command


_WIDE = {"1280x720": "1280 × 720", "1920x1080": "1920 × 1080", "640x480": "640 × 480"}
_OTHER = {"1080x1920": "1080 × 1920 upright", "1080x1080": "1080 × 1080 square"}
_LIGHT = Choice("light", "Light", {m: m.replace("-", " ").capitalize() for m in MOODS}, "--mood")
_VIEW = Choice(
    "view",
    "Seen from",
    {HERE: "Where I stand now", **{v: v.replace("-", " ").capitalize() for v in VIEWS}},
    "--view",
)
_TABLE = Choice(
    "table",
    "Table",
    {
        LEFT_OUT: "As the design has it",
        OF_MOOD: "As the light has it",
        **{t: t.replace("-", " ").capitalize() for t in TABLES},
    },
    "--table",
    usual=True,
)
# A usual shutter is open for half a frame's time. Common practice, no source.
_SHUTTER = Choice(
    "shutter", "What moves", {"0": "Sharp", "180": "Blurred a little"}, "--shutter", usual=True
)
_VIDEO = Choice("ending", "File", {"mp4": "MP4", "gif": "GIF", "webp": "WebP"})
_SIZE = Choice("size", "Size", {**_WIDE, **_OTHER}, "--size")
_PAPER = Choice("paper", "Paper", {"A4": "A4", "letter": "Letter", "A3": "A3"}, "--page")


def _quality(*names: str) -> Choice:
    said = {"draft": "Draft, quick", "film": "Good", "still": "Fine", "fine": "Finest, slow"}
    return Choice("quality", "Quality", {name: said[name] for name in names}, "--quality")


# Sizes and lengths that are usual where such files are shown. Common practice, no source.
KINDS = {
    kind.file: kind
    for kind in (
        Kind(
            "film",
            "Film",
            "It opens and closes once.",
            (
                _VIDEO,
                _SIZE,
                Choice("seconds", "Seconds", {"6": "6", "4": "4", "10": "10"}, "--seconds"),
                _VIEW,
                _LIGHT,
                _TABLE,
                _SHUTTER,
                _quality("film", "draft", "still"),
            ),
        ),
        Kind(
            "film",
            "Story",
            "Closed cover, opening, a slow turn, a close look and closing, cut as one film.",
            (
                _VIDEO,
                _SIZE,
                Choice("seconds", "Seconds", {"22": "22", "15": "15", "30": "30"}, "--seconds"),
                _LIGHT,
                _TABLE,
                _SHUTTER,
                _quality("film", "draft", "still"),
            ),
            ("--course=story",),
            "story",
        ),
        Kind(
            "film",
            "Page turn",
            "The notebook is open a page earlier: that page is turned, then the spread opens.",
            (
                _VIDEO,
                _SIZE,
                Choice("seconds", "Seconds", {"8": "8", "6": "6", "10": "10"}, "--seconds"),
                _VIEW,
                _LIGHT,
                _TABLE,
                _quality("film", "draft", "still"),
            ),
            ("--course=page-turn",),
            "page-turn",
        ),
        Kind(
            "film",
            "Building film",
            "Every step of the guide as motion.",
            (
                _VIDEO,
                _SIZE,
                Choice("pace", "Seconds a step", {"4": "4", "2": "2", "6": "6"}, "--step-seconds"),
                _LIGHT,
                _TABLE,
                _quality("draft", "film"),
            ),
            ("--course=build",),
            "build",
        ),
        Kind(
            "still",
            "Still",
            "One picture at the opening that you see.",
            (
                _SIZE,
                _VIEW,
                _LIGHT,
                _TABLE,
                _quality("still", "film", "draft", "fine"),
            ),
        ),
        Kind(
            "stages",
            "Strip",
            "Six openings side by side.",
            (
                Choice(
                    "size",
                    "Size of each",
                    {"480x360": "480 × 360", "640x480": "640 × 480", "480x480": "480 × 480"},
                    "--size",
                ),
                _VIEW,
                _LIGHT,
                _quality("film", "draft", "still"),
            ),
        ),
        Kind(
            "thumbnail",
            "Thumbnail",
            "Small pictures that read best, to choose from.",
            (
                Choice("size", "Size", {"1280x720": "1280 × 720", **_OTHER}, "--size"),
                Choice("count", "How many", {"4": "4", "2": "2", "6": "6"}, "--count"),
                _LIGHT,
                _quality("film", "draft", "still"),
            ),
        ),
        Kind(
            "plan",
            "Film plan",
            "Where the camera stands for each shot.",
            (
                Choice(
                    "shape", "Shape", {"16:9": "Wide", "9:16": "Upright", "1:1": "Square"},
                    "--aspect",
                ),
                Choice(
                    "lens", "Lens", {"35": "35 mm", "24": "24 mm", "50": "50 mm", "85": "85 mm"},
                    "--lens",
                ),
                _quality("draft", "film"),
            ),
        ),
        Kind(
            "pattern",
            "Pattern",
            "The pieces at true scale, to print and cut.",
            (_PAPER,),
            ("--split",),
        ),
        Kind("guide", "Guide", "How to build it, with a picture of every step.", (_PAPER,)),
    )
}  # fmt: skip


class FileWish(BaseModel):
    """What a page wishes to have made.

    Parameters
    ----------
    made : the text that the page shows, by its name; the file will be of that.
    chosen : a value for each choice of the kind; what is left out is the first option.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    made: _Name = ""
    file: _Name
    chosen: Annotated[dict[_Name, _Name], Field(max_length=20)] = {}
    stand: Standpoint

    @property
    def kind(self) -> Kind:
        """What kind of file; UseError if there is none of that name."""
        if self.file not in KINDS:
            raise UseError(f"{self.file!r} is nothing that is made here")
        return KINDS[self.file]

    def values(self, shots: Iterable[str]) -> dict[str, str]:
        """Every choice of the kind with its value.

        Parameters
        ----------
        shots : names of the views of the design itself.

        Raises
        ------
        UseError
            If something is chosen that can't be.
        """
        known = {choice.key: choice for choice in self.kind.choices}
        for key, value in self.chosen.items():
            more = set(shots) if key == "view" else set()
            if key not in known or value not in {*known[key].options, *more}:
                raise UseError(f"{key} = {value!r} can't be chosen for a {self.kind.title.lower()}")
        return {
            key: self.chosen.get(key, next(iter(choice.options))) for key, choice in known.items()
        }

    def stands(self, values: Mapping[str, str]) -> bool:
        """Whether the file is seen from where the page stands."""
        return values.get("view") == HERE


def words_of(wish: FileWish, values: Mapping[str, str], design: str, here: str) -> list[str]:
    """The words of the command line that make a file.

    Parameters
    ----------
    design : name of the design file in the working folder.
    here : name of the view where the page stands.
    """
    kind, stem = wish.kind, Path(design).stem
    words = [kind.command, design, *kind.words]
    for choice in kind.choices:
        value = here if values[choice.key] == HERE else values[choice.key]
        if choice.key == "ending":
            course = f"-{kind.course}" if kind.course else ""
            words += ["-o", f"renders/{stem}{course}.{value}"]
        elif value != LEFT_OUT:
            words.append(f"{choice.option}={value}")
    if kind.command == "still":
        words.append(f"--opening={wish.stand.opening:g}")
        words += [f"--by-hand={name}={share:g}" for name, share in wish.stand.shares.items()]
    return words


def about(wish: FileWish, values: Mapping[str, str]) -> str:
    """What was chosen, for a person."""
    said = []
    for choice in wish.kind.choices:
        if choice.usual and values[choice.key] == next(iter(choice.options)):
            continue
        word = choice.options.get(values[choice.key], values[choice.key])
        said.append(f"{word} s" if choice.key in ("seconds", "pace") else word)
    if wish.file == "still":
        said.insert(0, f"{wish.stand.opening:.0f}° open")
    return ", ".join(said)


def shots_of(text: str) -> list[str]:
    """Names of the views that a text gives; none if it is no TOML."""
    try:
        shots = tomllib.loads(text).get("shots", {})
    except tomllib.TOMLDecodeError:
        return []
    return list(shots) if isinstance(shots, dict) else []


def offered() -> list[dict[str, Any]]:
    """The kinds and their choices, for the page."""
    return [
        {
            "file": kind.file,
            "title": kind.title,
            "about": kind.about,
            "choices": [
                {"key": one.key, "label": one.label, "options": list(one.options.items())}
                for one in kind.choices
            ],
        }
        for kind in KINDS.values()
    ]
