"""What decides a motion, as one digest."""

from __future__ import annotations

import hashlib

import numpy as np
import shapely

from meshes.linkage import Hinge, Linkage


def asked(linkage: Linkage, openings: np.ndarray) -> bytes:
    """A fingerprint of all that decides a motion and its findings; colours and papers do not.

    Adding zero makes one of the two zeros: vector units give one or the other for the same sum,
    depending on where an array happens to lie in memory.

    Parameters
    ----------
    openings : shape (S,), radians.
    """
    text = hashlib.blake2b((openings + 0.0).tobytes(), digest_size=32)
    for hinge in linkage.hinges:
        text.update(measures(hinge))
        text.update(repr((hinge.name, hinge.facets, hinge.bodies)).encode())
    for body in linkage.bodies:
        text.update(body.name.encode())
        for part in body.parts:
            place = part.placement
            names = part.id, part.sheet.piece, part.sheet.name, place.flipped
            text.update(repr(names).encode())
            text.update((np.array([place.angle, *place.shift], float) + 0.0).tobytes())
            rims = [part.facet.polygon.exterior, *part.facet.polygon.interiors]
            for corners in (shapely.get_coordinates(rim) + 0.0 for rim in rims):
                text.update(repr(corners.shape).encode() + corners.tobytes())
    text.update(repr((linkage.obstacles, linkage.drives)).encode())
    return text.digest()


def measures(hinge: Hinge) -> bytes:
    """Where a fold lies in its two bodies, and how it springs."""
    numbers = [hinge.length, hinge.sign, hinge.rest, hinge.stiffness]
    parts = (*hinge.frames, *hinge.origins, numbers)
    return b"".join((np.asarray(part) + 0.0).tobytes() for part in parts)
