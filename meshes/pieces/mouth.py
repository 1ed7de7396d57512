"""The mouth: two lips that rise from a liner on both sides of one cut."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np
import shapely
from pydantic import Field, model_validator
from shapely.geometry import Polygon, box

from meshes.measure import Length, Pair, complaint, mm
from meshes.outline import Outline
from meshes.sheet import Built, Fold, Vector

from .liner import CUT_MM, liner, slit
from .piece import Context, OnCrease

_LIPS = {"upper": 1, "lower": -1}


class Mouth(OnCrease):
    """A beak or mouth: a cut across the crease, its lips folded out as V-folds of the same paper.

    The sheet's origin is the middle of the cut, at `at`; y runs along the crease. Flat at full
    opening. Facets: ``left``, ``right`` (glued), ``upper-left``, ``upper-right``, ``lower-left``,
    ``lower-right``. Folds: ``crease-1`` … of the liner, ``upper-ridge``, ``upper-left-base``,
    ``upper-right-base`` and the same for the lower lip.
    """

    kind: Literal["mouth"] = "mouth"
    reach: Annotated[tuple[float, float], Pair(mm())] = Field(
        description="how far the liner reaches from the crease"
    )
    length: Length = Field(description="length of the liner along the crease")
    outline: Outline | None = Field(
        None, description="shape of the liner instead, its origin in the middle of the cut"
    )
    cut: Annotated[tuple[float, float], Pair(mm())] = Field(
        description="length of the cut on either side of the crease"
    )
    upper: Annotated[float, mm(0, 500)] = Field(description="height of the upper lip, 0 for none")
    lower: Annotated[float, mm(0, 500)] = Field(0.0, description="height of the lower lip")

    @model_validator(mode="after")
    def _has_a_lip(self) -> Mouth:
        for name in _LIPS:
            if 0 < getattr(self, name) < 1:
                raise complaint("is too small to fold", key=name, allowed="0, or 1 mm and more")
        if self.upper == self.lower == 0:
            raise complaint("leaves no lip", key="upper", advice="an upper or a lower lip")
        return self

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        left, right = self.reach
        outline = box(-left, -self.length / 2, right, self.length / 2)
        if self.outline is not None:
            outline = context.drawn("outline", self.outline)
        ends = (-self.cut[0], self.cut[1])
        folds: list[Fold] = []
        labels: dict[str, Vector | Polygon] = {}
        for name, way in _LIPS.items():
            if height := getattr(self, name):
                lip = _Lip(name, ends, height, way)
                folds += lip.folds
                labels |= lip.labels
        cut = slit((ends[0], 0.0), (ends[1], 0.0))
        lips = (-max(self.lower, CUT_MM / 2), max(self.upper, CUT_MM / 2))
        return liner(context, self.site(context), outline, [cut], folds, labels, [lips])


@dataclass(frozen=True)
class _Lip:
    """One lip: a V-fold whose panels come from the paper between its own feet."""

    name: str
    ends: tuple[float, float]
    height: float
    way: int

    @property
    def apex(self) -> Vector:
        """Where its folds meet, on the crease."""
        return (0.0, self.way * self.height)

    @property
    def ridge_end(self) -> Vector:
        """Where the ridge meets the cut.

        The panels fill the angle between the feet, aR + aL = bR + bL, and fold flat if
        aR + bR = aL + bL (Kawasaki's theorem): so bR = aL, and the ridge leaves the crease by
        aR - aL.
        """
        deep = self.height - CUT_MM / 2
        left, right = (np.arctan2(abs(end), deep) for end in self.ends)
        return (float(deep * np.tan(right - left)), self.way * CUT_MM / 2)

    @property
    def folds(self) -> list[Fold]:
        """A ridge that comes towards the reader, and two feet."""
        edge = self.way * CUT_MM / 2
        return [
            Fold(f"{self.name}-ridge", self.apex, self.ridge_end, 1),
            Fold(f"{self.name}-left-base", self.apex, (self.ends[0], edge), -1),
            Fold(f"{self.name}-right-base", self.apex, (self.ends[1], edge), -1),
        ]

    @property
    def labels(self) -> dict[str, Polygon]:
        """The panels by facet name."""
        edge = self.way * CUT_MM / 2
        return {
            f"{self.name}-{side}": shapely.orient_polygons(
                Polygon([self.apex, (end, edge), self.ridge_end])
            )
            for side, end in zip(("left", "right"), self.ends, strict=True)
        }
