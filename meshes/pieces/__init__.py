"""The piece kinds: generators from a few numbers to sheets, folds and joins.

A new kind is one module with a model and one line in the register below.
"""

from __future__ import annotations

from collections.abc import Mapping

from .arm import Arm
from .blossom import Blossom
from .box import Box
from .carrier import Carrier
from .flat import Flat
from .piece import Piece
from .strap import Strap
from .tent import Tent
from .v_fold import VFold

KINDS: Mapping[str, type[Piece]] = {
    "flat": Flat,
    "v-fold": VFold,
    "tent": Tent,
    "carrier": Carrier,
    "strap": Strap,
    "box": Box,
    "arm": Arm,
    "blossom": Blossom,
}
