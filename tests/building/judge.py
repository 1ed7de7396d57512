"""Builds a spread in an order, state by state, and objects to what hands can't do.

It shares nothing with the proof of the program but the design and its motion: networkx finds the
closed chains, a flood in a grid of cubes (scipy) finds where a fingertip gets to, by straight or
crooked ways alike.
"""

from __future__ import annotations

import networkx
import numpy as np
import shapely
from scipy import ndimage

# Edge of a cube, and how thick the tip of a finger or of tweezers is, mm: common practice, no
# source.
CUBE, TIP = 2.5, 7.5
# A hand works in a notebook that is open at least so far, radians: common practice, no source.
CLOSED = float(np.radians(130.0))


class Judge:
    """A spread on the way to be built."""

    def __init__(self, found, motion):
        self.sheets, self.joins, self.motion = found.sheets, found.joins, motion
        self.sheet = {f"{s.piece}.{f.name}": k for k, s in enumerate(self.sheets) for f in s.facets}
        self.part = {p.id: (k, p) for k, b in enumerate(found.linkage.bodies) for p in b.parts}
        self.shape = {name: part.polygon for name, (_, part) in self.part.items()}
        self.folds = [
            (f"{s.piece}.{c.left}", f"{s.piece}.{c.right}")
            for s in self.sheets
            for c in s.crossings
        ]
        self.points = {name: _filled(shape) for name, shape in self.shape.items()}
        self.made, self.glued, self.passed = {0}, set(), set()

    def objections(self, steps):
        """What can't be done, as (step, why)."""
        found = []
        for number, step in enumerate(steps):
            if step.action in ("make", "stick"):
                self.made |= set(step.sheets)
            needed = {self.sheet[name] for j in step.joins for name in self._ends(j)}
            if not needed | set(step.sheets) <= self.made:
                found.append((number, "not there"))
            if step.action == "thread":
                found += self._pass(number, step)
            batches = [[j] for j in step.joins] if step.action == "stick" else [step.joins]
            for batch in batches:
                found += [(number, why) for j in batch for why in self._glue(j)]
                self.glued |= set(batch)
        if self._left():
            found.append((len(steps), "left out"))
        return found

    def _ends(self, j):
        return self.joins[j].facet, self.joins[j].host

    def _left(self):
        """Joins between two sheets, or of a sheet round to itself, that were never glued."""
        folded = {frozenset(fold) for fold in self.folds}
        return [
            j
            for j in range(len(self.joins))
            if j not in self.glued and frozenset(self._ends(j)) not in folded
        ]

    # Glue.

    def _glue(self, j):
        facet, host = self._ends(j)
        if j in self.glued:
            yield "twice"
        over = self._over(j)
        if over:
            yield f"under {over}"
        both = [self._reached(j, facet), self._reached(j, host)]
        if not both[0] or not (both[1] or self._hangs(facet, host)):
            yield "out of reach"
        elif not (self._flat(j) or self._pinched(j)):
            yield "not pressed"

    def _over(self, j):
        """Something glued on the host already that lies higher at the place."""
        facet, host = self._ends(j)
        _, mine = self.part[facet]
        there = networkx.node_connected_component(self._glued_graph(), host)
        up = self.joins[j].side * self.part[host][1].placement.up
        if facet in there:
            return ""
        for other in sorted(there):
            higher = (self.part[other][1].height - mine.height) * up > 1e-6
            on_host = (self.part[other][1].height - self.part[host][1].height) * up > 1e-6
            if higher and on_host and self.shape[other].intersection(self.shape[facet]).area > 1.0:
                return other
        return ""

    def _glued_graph(self):
        graph = networkx.Graph()
        graph.add_nodes_from(self.part)
        graph.add_edges_from(self._ends(j) for j in self.glued)
        folded = {frozenset(fold) for fold in self.folds}
        graph.add_edges_from(
            self._ends(j) for j in range(len(self.joins)) if frozenset(self._ends(j)) in folded
        )
        return graph

    def _bodies(self, more=()):
        """Glued facets as nodes of a multigraph whose edges are folds."""
        graph = self._glued_graph()
        graph.add_edges_from(self._ends(j) for j in more)
        number = {
            name: k
            for k, group in enumerate(networkx.connected_components(graph))
            for name in group
        }
        folds = networkx.Graph()
        folds.add_nodes_from(set(number.values()))
        for k, (left, right) in enumerate(self.folds):
            # A node on each fold, so that two folds between the same bodies are a ring.
            folds.add_edge(number[left], ("fold", k))
            folds.add_edge(("fold", k), number[right])
        return number, folds

    def _chain(self, name, more=()):
        """Facets that can't be swung away from one: those in the same rings of folds."""
        number, folds = self._bodies(more)
        folds.remove_edges_from(list(networkx.bridges(folds)))
        mine = networkx.node_connected_component(folds, number[name])
        return {one for one in number if number[one] in mine and self.sheet[one] in self.made}

    def _hangs(self, one, two):
        number, folds = self._bodies()
        return networkx.has_path(folds, number[one], number[two])

    # Room for hands.

    def _reached(self, j, name, other_side=False):
        """Whether a fingertip gets to the glue from the side where the glue is."""
        facet, host = self._ends(j)
        up = self.joins[j].side * self.part[host][1].placement.up
        way = (-up if name == facet else up) * (-1 if other_side else 1)
        body, _ = self.part[name]
        blocking = {n for n in self._chain(name) if self.part[n][0] != body}
        if not blocking:
            return True
        area = self.shape[facet].intersection(self.shape[host])
        if area.area < 1e-6:
            area = self.shape[facet]
        spots = _filled(area)
        return any(self._flood(k, body, spots, way, blocking) for k in self._stages())

    def _stages(self):
        """The openings at which a hand works, the widest first."""
        work = np.flatnonzero(self.motion.solved & (self.motion.openings > CLOSED))
        return work[::-1].tolist()

    def _place(self, stage, body, points, lift=0.0):
        turn, shift = self.motion.rotations[stage, body], self.motion.translations[stage, body]
        return points @ turn[:, :2].T + shift + lift * turn[:, 2]

    def _flood(self, stage, body, spots, way, blocking):
        paper = [self._place(stage, self.part[n][0], self.points[n]) for n in sorted(blocking)]
        mine = self._place(stage, body, spots, way * (TIP / 2 + CUBE / 2))
        # The paper that carries the glue is no way either.
        own = [n for n in self.part if self.part[n][0] == body and self.sheet[n] in self.made]
        paper += [self._place(stage, body, self.points[n], -way * CUBE) for n in own]
        everything = np.concatenate([*paper, mine])
        low = everything.min(axis=0) - 3 * TIP
        size = np.ceil((everything.max(axis=0) + 3 * TIP - low) / CUBE).astype(int) + 1
        free = np.ones(size, bool)
        free[tuple(np.rint((np.concatenate(paper) - low) / CUBE).astype(int).T)] = False
        room = ndimage.distance_transform_edt(free) * CUBE > TIP / 2
        outside, _ = ndimage.label(room)
        at = tuple(np.rint((mine - low) / CUBE).astype(int).T)
        return bool((outside[at] == outside[0, 0, 0]).mean() > 0.1)

    def _flat(self, j):
        """Whether all that is in a ring with the glue is flat when the notebook is shut."""
        held = self._chain(self.joins[j].facet, more=[j])
        shut = int(self.motion.openings.argmin())
        points = [self._place(shut, self.part[n][0], self.points[n]) for n in sorted(held)]
        around = np.concatenate(points)
        thin = np.linalg.svd(around - around.mean(axis=0), full_matrices=False)[2][2]
        return bool(np.ptp(around @ thin) < 1.0)

    def _pinched(self, j):
        return all(self._reached(j, name, other_side=True) for name in self._ends(j))

    # Slits.

    def _pass(self, number, step):
        """An end must be free to be passed through: one side of the sheet holds on nothing."""
        for sheet in step.sheets:
            self.passed.add(sheet)
            held = [j for j in self.glued if self.sheet[self.joins[j].facet] == sheet]
            ends = {self.joins[j].facet for j in range(len(self.joins))}
            mine = {name for name in ends if self.sheet[name] == sheet}
            if len({self.joins[j].facet for j in held}) >= len(mine):
                yield number, "both ends are held"


def _filled(shape):
    """Points all over an area, at most a cube apart, shape (n, 2), mm."""
    low_x, low_y, high_x, high_y = shape.bounds
    step = 0.7 * CUBE
    x, y = np.meshgrid(np.arange(low_x, high_x + step, step), np.arange(low_y, high_y + step, step))
    inside = shapely.contains_xy(shape, x.ravel(), y.ravel())
    rim = shape.boundary
    rings = [rim.interpolate(d) for d in np.arange(0.0, rim.length, step)]
    return np.concatenate(
        [np.c_[x.ravel()[inside], y.ravel()[inside]], [[p.x, p.y] for p in rings]]
    )
