"""The piece kinds: generators from a few numbers to sheets, folds and joins.

A new kind is one module with a model and one line in the register below.
"""

from __future__ import annotations

from collections.abc import Mapping

from .blossom import Blossom
from .carrier import Carrier
from .flat import Flat
from .piece import Piece
from .tent import Tent
from .v_fold import VFold

KINDS: Mapping[str, type[Piece]] = {
    "flat": Flat,
    "v-fold": VFold,
    "tent": Tent,
    "carrier": Carrier,
    "blossom": Blossom,
}
