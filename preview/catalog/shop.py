"""What the maker says of her shop and of each design in it: the file ``shop.toml``."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Annotated
from urllib.parse import urlsplit

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationError,
)

from meshes.errors import DesignError, Mistake
from meshes.measure import complaint, shown
from preview.pack.parts import PARTS
from preview.shot.mood import MOODS

from .task import Settings

# Whatever else an address can begin with could run a script in the page, or lead to a file of
# whoever reads it.
SCHEMES = ("https", "http", "mailto")
# What a pack can hold that is the same for every shop; the terms are the maker's own.
PACK = tuple(name for name in PARTS if name != "terms")


def _link(address: str) -> str:
    """An address that a visitor may be sent to."""
    try:
        parts = urlsplit(address)
        whole = parts.path.count("@") == 1 if parts.scheme == "mailto" else bool(parts.hostname)
    except ValueError:
        whole = False
    plain = address.isprintable() and not any(letter.isspace() for letter in address)
    if address and not (whole and plain and parts.scheme in SCHEMES):
        raise complaint(
            "is not a link that a page may have",
            found=shown(address),
            allowed="https://…, http://… or mailto:…, without spaces",
        )
    return address


def _one_of(names: Iterable[str]) -> Callable[[str], str]:
    known = tuple(names)

    def check(name: str) -> str:
        from meshes.design.mistakes import listed, nearest

        if name not in known:
            raise complaint(
                "is not one of its choices",
                found=shown(name),
                allowed=listed(known),
                advice=nearest(name, known),
            )
        return name

    return check


# Longest texts that the page has room for, letters. Our choice.
Line = Annotated[str, StringConstraints(max_length=80, strip_whitespace=True)]
Short = Annotated[str, StringConstraints(max_length=32, strip_whitespace=True)]
Text = Annotated[str, StringConstraints(max_length=1200, strip_whitespace=True)]
Lines = Annotated[list[Line], Field(max_length=12)]
Link = Annotated[str, StringConstraints(max_length=500), AfterValidator(_link)]
Part = Annotated[str, AfterValidator(_one_of(PACK))]
MoodName = Annotated[str, AfterValidator(_one_of(MOODS))]


class Offer(BaseModel):
    """What is said of one design: a table `[designs.NAME]`, named by its file without `.toml`."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    title: Line = Field("", description="what it is called; without it, the design's own title")
    about: Text = Field("", description="a sentence or two about it")
    price: Short = Field("", description="what it costs, as you write it")
    link: Link = Field("", description="where to get it: https, http or mailto")
    time: Short = Field("", description="how long it takes; without it, as the guide says")
    pack: list[Part] | None = Field(None, description="what comes with it, if not as for all")
    also: Lines = Field([], description="what comes with it besides, a line each")
    mood: MoodName | None = Field(None, description="light and table of its pictures")
    opening: Annotated[float, Field(ge=1, le=180)] | None = Field(
        None, description="how far it is open in its still, degrees"
    )
    by_hand: Line = Field(
        "", description="a piece that a hand moves in its film; without it, it opens and closes"
    )
    show: bool | None = Field(
        None, description="whether it is in the shop; without it, if the check finds no problem"
    )


class ShopSettings(BaseModel):
    """The whole file."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    title: Line = Field("", description="name of the shop; without it, that of the folder")
    introduction: Text = Field("", description="what stands below it; paragraphs by empty lines")
    contact: Link = Field("", description="where to reach you: https, http or mailto")
    pack: list[Part] = Field([], description="parts of `foldstage pack` that come with each design")
    also: Lines = Field([], description="what comes with each of them besides, a line each")
    designs: dict[str, Offer] = Field({}, description="what is said of each; in this order")


@dataclass(frozen=True)
class Shop:
    """The file of a shop, checked.

    Parameters
    ----------
    file : the name under which it was read.
    """

    said: ShopSettings = field(default_factory=ShopSettings)
    file: str = ""

    def offer(self, name: str) -> Offer:
        """What is said of a design, or of a variant of it, by its name in the catalog."""
        keys = (key for key in _keys(name) if key in self.said.designs)
        key = next(keys, None)
        return Offer() if key is None else self.said.designs[key]

    def settings(self, name: str, usual: Settings) -> Settings:
        """What the pictures of a design are made with."""
        offer = self.offer(name)
        return replace(
            usual,
            mood=offer.mood or usual.mood,
            opening=offer.opening or usual.opening,
            by_hand=offer.by_hand,
            called=offer.title,
        )

    def order(self, name: str) -> tuple[int, str]:
        """Sorts the designs: those of the file as they stand there, then the others by name."""
        places = {key: place for place, key in enumerate(self.said.designs)}
        return min(places.get(key, len(places)) for key in _keys(name)), name

    def check_names(self, names: Collection[str]) -> None:
        """DesignError if the file tells of a design that is not in the folder."""
        known = {key for name in names for key in _keys(name)}
        wrong = [name for name in self.said.designs if name not in known]
        if wrong:
            raise DesignError([self._strange(name, sorted(known)) for name in wrong])

    def _strange(self, name: str, known: Collection[str]) -> Mistake:
        from meshes.design.mistakes import listed, nearest

        near = nearest(name, known)
        return Mistake(
            self.file,
            "there is no such design in the folder",
            key=f"designs.{name}",
            allowed="" if near else listed(known),
            advice=near,
        )


def _keys(name: str) -> tuple[str, ...]:
    """What a design may be called in the file: ``a/b`` for ``a/b.toml``, its variants ``a/b#c``."""
    path, mark, variant = name.partition("#")
    stem = path.removesuffix(".toml")
    return (f"{stem}#{variant}", stem) if mark else (stem,)


def read(path: Path, name: str) -> Shop:
    """Read and check the file of a shop.

    Parameters
    ----------
    name : what messages call it.

    Raises
    ------
    DesignError
        With every mistake in the file, one line each.
    """
    from meshes.design import toml
    from meshes.design.mistakes import from_pydantic

    tables: Mapping[str, object] = toml.load(path, name)
    try:
        return Shop(ShopSettings.model_validate(tables), name)
    except ValidationError as error:
        raise DesignError(from_pydantic(error, ShopSettings, name, "")) from None
