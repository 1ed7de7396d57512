"""How far a cone on legs can open, derived in two lines of spherical trigonometry.

*The triangle.* On the sphere about the cone's apex let Y be the direction of the gutter, M the
middle of a carrying sector and F the foot of the perpendicular dropped from the sector's edge E on
the great circle of the plane of symmetry, which passes through Y. The carrying sector stays square
to the section, so YE = 90° - lambda with lambda half its width, and the angle at Y is 90° - psi
where M rises by psi. The triangle Y F E has its right angle at F.

*Cone limit.* Napier's rule for right-angled triangles: sin EF = sin YE sin Y = cos lambda cos psi.
The paper from E to the fold over the gutter, a quarter of the total less lambda, joins E to that
great circle, and no way there is shorter than EF: EF <= total / 4 - lambda.

*Page limit.* In the plane triangle of apex, foot and top of a leg the law of cosines gives the
angle gamma at the apex, between petal and foot. With the apex on the gutter the page, and so the
foot, rises by 90° - opening / 2, so psi = gamma + 90° - opening / 2; the apex can't sink deeper.

Sources: I. Todhunter, Spherical Trigonometry (1886), on the solution of right-angled triangles
(chapter from memory); Euclid, Elements II.12-13. Nothing of the rules in `meshes` is used: limits
are found by halving an interval.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np


def perpendicular(hypotenuse: float, angle: float) -> float:
    """Napier: the side opposite an angle of a right-angled spherical triangle."""
    return float(np.arcsin(np.sin(hypotenuse) * np.sin(angle)))


def _halve(works: Callable[[float], bool], bad: float, good: float) -> float:
    for _ in range(60):
        middle = (bad + good) / 2
        bad, good = (bad, middle) if works(middle) else (middle, good)
    return good


def cone_limit(total: float, lam: float) -> float:
    """Least elevation at which the paper beside the carrying sector reaches; radians."""
    paper = total / 4 - lam
    return _halve(
        lambda psi: perpendicular(np.pi / 2 - lam, np.pi / 2 - psi) <= paper, 0.0, np.pi / 2
    )


def page_limit(top: float, foot: float, length: float, opening: float) -> float:
    """Greatest elevation with the apex on the gutter; radians."""
    gamma = np.arccos((top**2 + foot**2 - length**2) / (2 * top * foot))
    return float(gamma + np.pi / 2 - opening / 2)


def jam(total: float, lam: float, top: float, foot: float, length: float) -> float:
    """Opening at which the two limits meet; pi if they never do."""
    least = cone_limit(total, lam)
    return _halve(
        lambda opening: page_limit(top, foot, length, opening) >= least, np.pi + 1e-12, 0.0
    )
