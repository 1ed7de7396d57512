"""The zigzag: a V-fold pleated across its ridge, so that it climbs forward and back."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, Literal

import numpy as np
from pydantic import Field
from shapely.geometry import LineString, Polygon

from meshes.measure import degrees, number
from meshes.sheet import Fold, Vector

from .piece import polar, refuse
from .v_fold import VFold, spine


class Zigzag(VFold):
    """A tower: a V-fold whose ridge is pleated, mountain and valley in turn, so that it zigzags.

    The keys are those of a V-fold. Folds: ``ridge-1``, ``ridge-2`` … from the base,
    ``left-pleat-1``, ``right-pleat-1`` …, ``left-base``, ``right-base``. Facets: ``left-1``,
    ``right-1`` …, ``left-tab``, ``right-tab``. Every stretch of the ridge opens as far as the
    first one.
    """

    kind: Literal["zigzag"] = "zigzag"  # type: ignore[assignment]
    # Our choice.
    levels: Annotated[int, Field(ge=2, le=20)] = Field(
        4, description="number of stretches of the ridge"
    )
    # Our choice.
    pleat: Annotated[float, degrees(10, 80)] = Field(
        math.radians(35), description="angle between the pleats and the ridge above them"
    )
    shrink: Annotated[float, number(0.3, 1)] = Field(
        1.0, description="length of each stretch, as a share of the one below"
    )

    def _spine_folds(
        self, panels: Mapping[int, Polygon]
    ) -> tuple[list[Fold], dict[str, Vector | Polygon]]:
        low, top = spine(panels)
        lengths = self.shrink ** np.arange(self.levels)
        places = low + (top - low) * np.append(0, np.cumsum(lengths / lengths.sum()))
        sign: Literal[1, -1] = 1 if self.points == "up" else -1
        folds: list[Fold] = []
        labels: dict[str, Vector | Polygon] = {}
        for k in range(self.levels):
            start, end = float(places[k]), float(places[k + 1])
            folds.append(Fold(f"ridge-{k + 1}", (0.0, start), (0.0, end), sign))
            for side, name in ((-1, "left"), (1, "right")):
                # Beside the ridge, which no pleat reaches before the next vertex.
                labels[f"{name}-{k + 1}"] = (side * (end - start) / 100, (start + end) / 2)
                if k:
                    folds.append(self._pleat(panels[side], name, k, start, -sign))
            sign = 1 if sign == -1 else -1
        return folds, labels

    def _pleat(self, panel: Polygon, name: str, k: int, height: float, sign: int) -> Fold:
        """From the ridge out to the edge.

        At a vertex where a straight ridge turns from mountain to valley the pleats have the sign of
        the ridge on the side of their blunt angles, since mountains and valleys differ by two
        (Maekawa's theorem) and the sharp sectors are the ones that tuck in.
        """
        side = -1 if name == "left" else 1
        ray = LineString([(0, 0), polar(1e4, np.pi / 2 - side * self.pleat)])
        line = LineString([(x, y + height) for x, y in ray.coords]).intersection(panel)
        runs = [run for run in getattr(line, "geoms", [line]) if run.length > 1e-6]
        first = min(runs, key=lambda run: run.bounds[1], default=None)
        if first is None:
            raise refuse("pleat", f"the panel has no paper for pleat {k}")
        far = max(first.coords, key=lambda point: point[1])
        end = (float(far[0]), float(far[1]))
        return Fold(f"{name}-pleat-{k}", (0.0, height), end, 1 if sign == 1 else -1)
