"""The stair: steps cut from a liner, so that an opening stays where each was."""

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


class Step(BaseModel):
    """One step: a strip between two cuts, folded out of the liner."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    at: Annotated[float, mm(-2000, 2000)] = Field(
        description="lower cut, from the lower end of the liner"
    )
    length: Length = Field(description="between its cuts, along the crease")
    distance: Annotated[tuple[float, float], Pair(mm())] = Field(
        description="of its feet from the crease; two different ones make it stand out squarely"
    )


class Stair(OnCrease):
    """Steps cut from a liner that is glued on both sides of a crease; flat at full opening.

    Each step makes a parallelogram with the pages. The sheet's origin is on the crease at `at`, the
    middle of the liner; y runs along the crease. Facets: ``left``, ``right``, ``step-1-left``,
    ``step-1-right`` … Folds: ``crease-1`` … of the liner, ``step-1-ridge``, ``step-1-left-base``,
    ``step-1-right-base`` …
    """

    kind: Literal["stair"] = "stair"
    reach: Annotated[tuple[float, float], Pair(mm())] = Field(
        description="of the liner from the crease"
    )
    length: Length = Field(description="of the liner along the crease")
    outline: Outline | None = Field(
        None, description="shape of the liner instead, its origin at `at`"
    )
    steps: Annotated[list[Step], Field(min_length=1, max_length=60)] = Field(
        description="from the lower end, see below"
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
        for k, step in enumerate(self.steps):
            self._check(k, step)
            start, end = low + step.at, low + step.at + step.length
            near, far = -step.distance[0], step.distance[1]
            cuts += [slit((near, y), (far, y)) for y in (start, end)]
            open_at.append((start, end))
            folds += _folds(f"step-{k + 1}", step, start, end)
            ridge = near + far
            labels[f"step-{k + 1}-left"] = box(near, start, ridge, end)
            labels[f"step-{k + 1}-right"] = box(ridge, start, far, end)
        return liner(context, self.site(context), outline, cuts, folds, labels, open_at)

    def _check(self, k: int, step: Step) -> None:
        end = step.at + step.length
        if not (step.at >= 0 and end <= self.length + 1e-9) and self.outline is None:
            raise refuse(
                f"steps.{k + 1}",
                "reaches beyond the liner",
                found=f"{step.at:g} to {end:g} mm",
                allowed=f"0 to {self.length:g} mm",
            )
        for other in self.steps[:k]:
            if step.at < other.at + other.length - 1e-9 and other.at < end - 1e-9:
                raise refuse(f"steps.{k + 1}", "overlaps the step before it along the crease")


def _folds(name: str, step: Step, start: float, end: float) -> list[Fold]:
    low, high = start + CUT_MM / 2, end - CUT_MM / 2
    near, far = -step.distance[0], step.distance[1]
    # What is left of the ridge is as wide as the right foot is far: the paper comes from there.
    return [
        Fold(f"{name}-left-base", (near, low), (near, high), -1),
        Fold(f"{name}-ridge", (near + far, low), (near + far, high), 1),
        Fold(f"{name}-right-base", (far, low), (far, high), -1),
    ]
