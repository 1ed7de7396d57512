"""Designs that tests rely on: those that only they use lie here, the others are shipped."""

from __future__ import annotations

from pathlib import Path

from meshes import designs

_HERE = Path(__file__).parent


def path(name: str) -> Path:
    """The file of a design; KeyError if it lies neither here nor among the shipped ones."""
    file = _HERE / f"{name}.toml"
    return file if file.exists() else designs.path(name)
