"""The piece kinds: generators from a few numbers to sheets, folds and joins.

A new kind is one module with a model and one line in the register below.
"""

from __future__ import annotations

from collections.abc import Mapping

from .arm import Arm
from .blossom import Blossom
from .box import Box
from .carrier import Carrier
from .drawn import Drawn
from .flat import Flat
from .flyleaf import Flyleaf
from .mouth import Mouth
from .piece import Piece
from .pivot import Pivot
from .platform import Platform
from .slide import Slide
from .stair import Stair
from .strap import Strap
from .tent import Tent
from .v_fold import VFold
from .wheel import Wheel
from .zigzag import Zigzag

KINDS: Mapping[str, type[Piece]] = {
    "flat": Flat,
    "v-fold": VFold,
    "tent": Tent,
    "carrier": Carrier,
    "strap": Strap,
    "box": Box,
    "platform": Platform,
    "stair": Stair,
    "mouth": Mouth,
    "arm": Arm,
    "pivot": Pivot,
    "zigzag": Zigzag,
    "wheel": Wheel,
    "slide": Slide,
    "flyleaf": Flyleaf,
    "blossom": Blossom,
    "drawn": Drawn,
}
