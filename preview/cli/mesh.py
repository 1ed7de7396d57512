"""``foldstage mesh``: closed meshes of the pieces at each stage, for other programs."""

from __future__ import annotations

import argparse
import gc
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from meshes.export import FORMATS
from preview.errors import UseError

from .arguments import (
    add_as_far,
    add_design,
    file_size,
    opening_deg,
    read_spread,
    report_findings,
)
from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.motion.result import Motion
    from meshes.spread import Spread

ANIMATED = "glb"
STAGES_DEG = (30.0, 60.0, 90.0, 120.0, 150.0, 180.0)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.description = (
        "Write each piece as one watertight mesh for each opening, in millimetres. Where a fold is "
        "shut, its layers share their place."
    )
    add_design(parser)
    parser.add_argument(
        "-o",
        "--output",
        metavar="FOLDER",
        help="folder for the meshes (default: renders/NAME-meshes); for glb the file may be named",
    )
    parser.add_argument(
        "--opening",
        dest="openings",
        metavar="DEG",
        type=opening_deg,
        action="append",
        help="an opening to mesh; may be given several times (default: 30, 60 … 180)",
    )
    parser.add_argument(
        "--format",
        choices=(*FORMATS, ANIMATED),
        default="ply",
        help="kind of file (default: ply, with colours); glb is one file with the notebook, "
        "the whole motion, and a clip for each part that a hand moves",
    )
    parser.add_argument(
        "--piece",
        dest="pieces",
        metavar="NAME",
        action="append",
        help="mesh only this piece; may be given several times (default: all, and the page)",
    )
    add_as_far(parser)


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write the meshes."""
    from meshes import export, solid
    from meshes.curl import bent

    spread = read_spread(args, terminal)
    if args.format == ANIMATED:
        return _write_animation(args, terminal, spread)
    names = _chosen(args.pieces, solid.pieces(spread.linkage))
    with terminal.busy("solving"):
        motion = spread.solve(np.radians(np.unique(args.openings or STAGES_DEG)))
    whole = report_findings(motion, terminal)
    if not whole and not args.as_far:
        return 1
    stages, seen = np.flatnonzero(motion.solved), bent(spread, motion)
    folder = terminal.path(args.output or f"renders/{Path(args.design).stem}-meshes")
    if folder.exists() and not folder.is_dir():
        raise UseError(f"{terminal.name(folder)} is a file; -o wants a folder")
    with terminal.progress(len(stages) * len(names), "meshing") as advance:
        for stage in stages:
            for name in names:
                mesh = solid.piece_mesh(seen.linkage, seen.motion, int(stage), name)
                export.write(mesh, folder / _file_name(name, motion, int(stage), args.format))
                advance()
            # A mesh is a circle of a few large objects, so they would wait for many others.
            gc.collect(0)
    count = len(stages) * len(names)
    terminal.show(f"{terminal.name(folder)}: {count} {'mesh' if count == 1 else 'meshes'}")
    return 0 if whole else 1


def _write_animation(args: argparse.Namespace, terminal: Terminal, spread: Spread) -> int:
    """Write the motion of all pieces as one animated glTF file."""
    from meshes.gltf import write_glb
    from meshes.motion.memory import Memory

    from ..drawing.bound import companions
    from ..drawing.scene import book_of

    if args.openings or args.pieces:
        raise UseError("a glb file holds all pieces and openings; leave --opening and --piece out")
    memory = Memory()
    with terminal.busy("solving"):
        motion = spread.solve(np.radians(np.arange(181.0)), memory=memory)
    whole = report_findings(motion, terminal)
    if (not whole and not args.as_far) or motion.solved.sum() < 2:
        return 1
    name = Path(args.design).stem
    path = terminal.path(args.output or f"renders/{name}-meshes")
    if path.suffix.lower() != f".{ANIMATED}":
        path = path / f"{name}.{ANIMATED}"
    with terminal.busy("meshing"):
        write_glb(
            path,
            spread,
            motion,
            lambda openings: spread.solve(openings, memory=memory),
            companions(book_of(spread)),
        )
    terminal.show(f"{terminal.name(path)} ({file_size(path)})")
    return 0 if whole else 1


def _chosen(wanted: list[str] | None, known: list[str]) -> list[str]:
    for name in wanted or []:
        if name not in known:
            raise UseError(f"there is no piece {name!r} in this design; pieces: {', '.join(known)}")
    return wanted or known


def _file_name(piece: str, motion: Motion, stage: int, kind: str) -> str:
    opening = float(np.degrees(motion.openings[stage]))
    return f"{piece}-{opening:z05.1f}.{kind}".replace(".0.", ".")
