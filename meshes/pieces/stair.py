"""The stair: treads cut from a liner, so that an opening stays where each was."""

from __future__ import annotations

from typing import Annotated, Literal

import shapely
from pydantic import BaseModel, ConfigDict, Field
from shapely.geometry import box

from meshes.measure import Length, Pair, mm
from meshes.outline import Outline
from meshes.sheet import Built, Fold, Vector

from .liner import CUT_MM, liner, slit
from .piece import Context, OnCrease, refuse


class Tread(BaseModel):
    """One tread of a stair: a strip between two cuts, folded out of the liner."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    at: Annotated[float, mm(-2000, 2000)] = Field(
        description="place of the lower cut, from the lower end of the liner"
    )
    length: Length = Field(description="distance between its cuts, along the crease")
    distance: Annotated[tuple[float, float], Pair(mm())] = Field(
        description="distance of its feet from the crease; two different ones make the tread "
        "stand out squarely"
    )


class Stair(OnCrease):
    """Treads cut from a liner that is glued on both sides of a crease; flat at full opening.

    Each tread makes a parallelogram with the pages. The sheet's origin is on the crease at `at`,
    the middle of the liner; y runs along the crease. Facets: ``left``, ``right``, ``tread-1-left``,
    ``tread-1-right`` … Folds: ``crease-1`` … of the liner, ``tread-1-ridge``, ``tread-1-left-
    base``, ``tread-1-right-base`` …
    """

    kind: Literal["stair"] = "stair"
    reach: Annotated[tuple[float, float], Pair(mm())] = Field(
        description="how far the liner reaches from the crease"
    )
    length: Length = Field(description="length of the liner along the crease")
    outline: Outline | None = Field(
        None, description="shape of the liner instead, its origin at `at`"
    )
    treads: Annotated[list[Tread], Field(min_length=1, max_length=60)] = Field(
        description="the treads from the lower end up, see below"
    )

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        left, right = self.reach
        low = -self.length / 2
        outline = box(-left, low, right, -low)
        if self.outline is not None:
            outline = context.drawn("outline", self.outline)
        cuts, folds, open_at = [], [], []
        labels: dict[str, Vector | shapely.Polygon] = {}
        for k, tread in enumerate(self.treads):
            self._check(k, tread)
            start, end = low + tread.at, low + tread.at + tread.length
            near, far = -tread.distance[0], tread.distance[1]
            cuts += [slit((near, y), (far, y)) for y in (start, end)]
            open_at.append((start, end))
            folds += _folds(f"tread-{k + 1}", tread, start, end)
            ridge = near + far
            labels[f"tread-{k + 1}-left"] = box(near, start, ridge, end)
            labels[f"tread-{k + 1}-right"] = box(ridge, start, far, end)
        return liner(context, self.site(context), outline, cuts, folds, labels, open_at)

    def _check(self, k: int, tread: Tread) -> None:
        end = tread.at + tread.length
        if not (tread.at >= 0 and end <= self.length + 1e-9) and self.outline is None:
            raise refuse(
                f"treads.{k + 1}",
                "reaches beyond the liner",
                found=f"{tread.at:g} to {end:g} mm",
                allowed=f"0 to {self.length:g} mm",
            )
        for other in self.treads[:k]:
            if tread.at < other.at + other.length - 1e-9 and other.at < end - 1e-9:
                raise refuse(f"treads.{k + 1}", "overlaps the tread before it along the crease")


def _folds(name: str, tread: Tread, start: float, end: float) -> list[Fold]:
    low, high = start + CUT_MM / 2, end - CUT_MM / 2
    near, far = -tread.distance[0], tread.distance[1]
    # What is left of the ridge is as wide as the right foot is far: the paper comes from there.
    return [
        Fold(f"{name}-left-base", (near, low), (near, high), -1),
        Fold(f"{name}-ridge", (near + far, low), (near + far, high), 1),
        Fold(f"{name}-right-base", (far, low), (far, high), -1),
    ]
