"""Whether paper passes through paper, judged by rays: Embree by way of trimesh, nothing of ours.

An edge of one facet that goes in on one face of another and comes out on the other passes through
it; both of its ends must lie farther from the face than `TOUCH_MM`, so that paper that only rests
on other paper, or hangs on it by a fold, does not count.
"""

from __future__ import annotations

import numpy as np
import shapely
import trimesh

from meshes.linkage import Linkage
from meshes.motion.result import Motion

TOUCH_MM = 0.02


def passes(linkage: Linkage, motion: Motion, stage: int) -> set[tuple[str, str]]:
    """Pairs of facet ids of which one passes through the other, at least one of them a strip.

    Parts of one curled facet are not held against each other.
    """
    names, rolls, places, faces, owner, edges, edge_of = [], [], [], [], [], [], []
    for k, body in enumerate(linkage.bodies):
        turn, shift = motion.rotations[stage, k], motion.translations[stage, k]
        for part in body.parts:
            n = len(names)
            names.append(part.id)
            places.append((part.polygon, turn, shift))
            whole = part.facet.strip_of or part.facet.name
            rolls.append(f"{part.sheet.piece}.{whole}")
            for triangle in shapely.constrained_delaunay_triangles(part.polygon).geoms:
                corners = np.asarray(triangle.exterior.coords)[:3, :2]
                faces.append(corners @ turn[:, :2].T + shift)
                owner.append(n)
            ring = np.asarray(part.polygon.exterior.coords)[:, :2] @ turn[:, :2].T + shift
            edges += list(np.stack([ring[:-1], ring[1:]], axis=1))
            edge_of += [n] * (len(ring) - 1)
    faces, edges = np.array(faces), np.array(edges)
    owner, edge_of = np.array(owner), np.array(edge_of)
    mesh = trimesh.Trimesh(
        faces.reshape(-1, 3), np.arange(3 * len(faces)).reshape(-1, 3), process=False
    )
    way = edges[:, 1] - edges[:, 0]
    length = np.linalg.norm(way, axis=1)
    long = length > 2 * TOUCH_MM
    edges, way, length, edge_of = edges[long], way[long], length[long], edge_of[long]
    spots, rays, face = mesh.ray.intersects_location(edges[:, 0], way / length[:, None])
    rays, face = np.asarray(rays), np.asarray(face)
    # A mesh and its rays hold each other, until circles are looked for: Embree dies of a thousand.
    mesh.ray = None
    normals = np.cross(faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    before = ((edges[rays, 0] - faces[face, 0]) * normals[face]).sum(axis=1)
    after = ((edges[rays, 1] - faces[face, 0]) * normals[face]).sum(axis=1)
    through = (before * after < 0) & (np.minimum(abs(before), abs(after)) > TOUCH_MM)
    through &= np.char.find(np.array(names), "~")[[edge_of[rays], owner[face]]].max(axis=0) >= 0
    found = set()
    for n in np.flatnonzero(through):
        a, b = int(edge_of[rays[n]]), int(owner[face[n]])
        polygon, turn, shift = places[b]
        # Where it only runs over the rim, as over the corner of a fold, it passes by.
        spot = shapely.Point((spots[n] - shift) @ turn[:, :2])
        if rolls[a] != rolls[b] and polygon.boundary.distance(spot) > TOUCH_MM:
            found.add((names[a], names[b]))
    return found
