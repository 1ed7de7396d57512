"""The two chunks of a GLB file (glTF 2.0 section 4), and glTF's axes: metres with y up."""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass, field
from typing import Any

import numpy as np

# The numbers by which the specification calls kinds of numbers and of buffers.
_FLOAT, _UINT = 5126, 5125
ARRAY, ELEMENTS = 34962, 34963


@dataclass
class Chunk:
    """The BIN chunk while it grows, with the views and accessors into it."""

    data: bytearray = field(default_factory=bytearray)
    views: list[dict[str, Any]] = field(default_factory=list)
    accessors: list[dict[str, Any]] = field(default_factory=list)
    images: list[int] = field(default_factory=list)

    def add_image(self, data: bytes) -> int:
        """Append a PNG file; returns its number among the images."""
        self.views.append({"buffer": 0, "byteOffset": len(self.data), "byteLength": len(data)})
        self.data += data + b"\0" * (-len(data) % 4)
        self.images.append(len(self.views) - 1)
        return len(self.images) - 1

    def add(self, values: np.ndarray, kind: str, target: int | None = None) -> int:
        """Append an array, its rows the elements; returns the index of its accessor."""
        whole = np.ascontiguousarray(values, "<u4" if target == ELEMENTS else "<f4")
        view: dict[str, Any] = {
            "buffer": 0,
            "byteOffset": len(self.data),
            "byteLength": whole.nbytes,
        }
        if target is not None:
            view["target"] = target
        self.data += whole.tobytes()
        self.views.append(view)
        rows = whole.reshape(len(whole), -1)
        accessor = {
            "bufferView": len(self.views) - 1,
            "componentType": _UINT if target == ELEMENTS else _FLOAT,
            "count": len(whole),
            "type": kind,
        }
        if kind == "VEC3" or target is None:  # bounds of the very numbers that are stored
            accessor["min"] = rows.min(axis=0).tolist()
            accessor["max"] = rows.max(axis=0).tolist()
        self.accessors.append(accessor)
        return len(self.accessors) - 1


def y_up(vectors: np.ndarray) -> np.ndarray:
    """Vectors with z up, last axis 3, in glTF's axes with y up."""
    return np.stack([vectors[..., 0], vectors[..., 2], -vectors[..., 1]], axis=-1)


def metres(points: np.ndarray) -> np.ndarray:
    """Points in mm with z up, last axis 3, in glTF's metres with y up."""
    return y_up(points) / 1000


def turn(quaternions: np.ndarray) -> np.ndarray:
    """Quaternions x y z w in glTF's axes: the axis turns along, the angle stays."""
    return np.concatenate([y_up(quaternions[..., :3]), quaternions[..., 3:]], axis=-1)


def pack(document: dict[str, Any], data: bytes) -> bytes:
    """The file: header, JSON chunk, BIN chunk, each filled up to four bytes."""
    text = json.dumps(document, separators=(",", ":"), ensure_ascii=False).encode()
    text += b" " * (-len(text) % 4)
    data += b"\0" * (-len(data) % 4)
    total = 12 + 8 + len(text) + 8 + len(data)
    return b"".join(
        [
            struct.pack("<4sII", b"glTF", 2, total),
            struct.pack("<I4s", len(text), b"JSON") + text,
            struct.pack("<I4s", len(data), b"BIN\0") + data,
        ]
    )
