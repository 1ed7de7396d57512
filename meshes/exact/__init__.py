"""How exact a spread must be made: what errors of the hand do to it.

.. code-block:: text

    network  facets that keep together, and the folds and glue where they meet
    rows     how far these fail to meet, and what changes that
    linear   the part of an error that no fold can take up, to first order
    settle   the same by nonlinear least squares
    builds   a thousand builds by hand
    exact    which places need care, and how much

Paper gives a little at each fold and each glue area; how much it must is told in two ways, both as
the root mean square distance between points that should lie on each other. The *gap* is what one
place lacks if it alone is left open and all others are to meet. What places *give* is what each
lacks if all do their part, by least squares; that is held against what paper stands.
"""

from .builds import HandAccuracy
from .exact import (
    CareSpot,
    Exactness,
    Misplacing,
    care_spots,
    exactness,
    spot_outline,
)

__all__ = [
    "CareSpot",
    "Exactness",
    "HandAccuracy",
    "Misplacing",
    "care_spots",
    "exactness",
    "spot_outline",
]
