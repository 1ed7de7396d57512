"""The piece kinds: generators from a few numbers to sheets, folds and joins.

A new kind is one module with a model and one line in the register below.
"""

from __future__ import annotations

from collections.abc import Mapping

from .piece import Piece

KINDS: Mapping[str, type[Piece]] = {}
