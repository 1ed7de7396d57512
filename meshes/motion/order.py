"""One order for bodies and folds, so that the order of tables in a file decides nothing.

Starting poses, ties between equal ways to fold and the last bits of sums depend on the order in
which folds are numbered. Paper knows none, so the solver numbers them by name.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from meshes.linkage import Linkage

from .result import Motion


@dataclass(frozen=True)
class Order:
    """A linkage numbered by name, and where everything was before.

    Parameters
    ----------
    bodies, hinges : old indices in their new order, shapes (B,) and (H,).
    """

    linkage: Linkage
    bodies: np.ndarray
    hinges: np.ndarray

    @staticmethod
    def of(linkage: Linkage) -> Order:
        """Number a linkage by name; the pages stay in front."""

        def name(body: int) -> tuple[bool, str]:
            return body > 1, "" if body < 2 else min(p.id for p in linkage.bodies[body].parts)

        bodies = sorted(range(len(linkage.bodies)), key=name)
        hinges = sorted(range(len(linkage.hinges)), key=lambda k: linkage.hinges[k].name)
        new = {old: k for k, old in enumerate(bodies)}
        numbered = replace(
            linkage,
            bodies=tuple(linkage.bodies[k] for k in bodies),
            hinges=tuple(
                replace(hinge, bodies=(new[hinge.bodies[0]], new[hinge.bodies[1]]))
                for hinge in (linkage.hinges[k] for k in hinges)
            ),
        )
        return Order(numbered, np.array(bodies, int), np.array(hinges, int))

    def before(self, motion: Motion) -> Motion:
        """A motion of the numbered linkage as one of the linkage that was given."""
        bodies, hinges = np.argsort(self.bodies), np.argsort(self.hinges)
        return replace(
            motion,
            rotations=motion.rotations[:, bodies],
            translations=motion.translations[:, bodies],
            angles=motion.angles[:, hinges],
        )
