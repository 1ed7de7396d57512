"""The same work through a real scheduler with two real workers on the loopback address."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time

import pytest

from meshes import program
from preview.catalog.cluster import ClusterWorkers, _check_workers
from preview.catalog.run import run
from preview.catalog.task import Settings
from preview.catalog.work import make
from preview.catalog.workers import LocalWorkers
from preview.errors import UseError

FIGURES = Settings(pictures=False)


@pytest.fixture
def cluster(tmp_path):
    """Address of a scheduler with two single-threaded workers, each under a nanny."""
    from distributed import LocalCluster

    environment = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    with LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        host="127.0.0.1",
        dashboard_address=None,
        local_directory=str(tmp_path / "dask"),
        env=environment,
        silence_logs=60,
    ) as started:
        yield started


def bytes_below(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != ".lock"
    }


def test_results_are_those_of_a_local_run_byte_for_byte(shop, tmp_path, cluster):
    folder = shop(good=2, bad=2)
    run(folder, tmp_path / "near", FIGURES, LocalWorkers(make, 1))
    run(folder, tmp_path / "far", FIGURES, ClusterWorkers(make, cluster.scheduler_address))
    assert bytes_below(tmp_path / "near") == bytes_below(tmp_path / "far")


def test_a_killed_worker_loses_nothing(shop, cluster):
    """One of the two workers is killed while it works; the other one and its successor go on."""
    workers = ClusterWorkers(time.sleep, cluster.scheduler_address)
    pids = [nanny.pid for nanny in cluster.workers.values()]
    threading.Timer(0.6, os.kill, (pids[0], 9)).start()
    naps = [0.1 + k * 1e-6 for k in range(30)]
    outcomes = list(workers.outcomes(naps))
    assert sorted(outcome.item for outcome in outcomes) == naps
    assert [outcome.reason for outcome in outcomes if outcome.reason] == []


class Told:
    """A scheduler's client to which each worker has said something."""

    def __init__(self, **told):
        self.told = told

    def run(self, call, on_error):
        return self.told

    def nthreads(self):
        return dict.fromkeys(self.told, 2)


def test_a_worker_that_dies_as_it_is_asked_is_passed_over():
    from distributed.comm import CommClosedError

    gone = CommClosedError("Stream is closed")
    assert _check_workers(Told(a=program.digest(), b=gone)) == 4
    with pytest.raises(UseError, match="has no workers"):
        _check_workers(Told(b=gone))


@pytest.mark.parametrize(
    ("said", "reason"),
    [
        ("0123", "runs another foldstage: 0123"),
        (ModuleNotFoundError("no meshes\nat all"), "cannot run foldstage: .*: no meshes$"),
    ],
)
def test_a_worker_of_another_version_is_refused(said, reason):
    with pytest.raises(UseError, match=f"the worker at a {reason}"):
        _check_workers(Told(a=said, b=program.digest()))


def test_no_scheduler_is_one_clear_line(monkeypatch):
    monkeypatch.setattr("preview.catalog.cluster.CONNECT_S", 1)
    with pytest.raises(UseError, match=r"no scheduler answers at tcp://127\.0\.0\.1:9"):
        list(ClusterWorkers(abs, "tcp://127.0.0.1:9").outcomes([1]))


def test_the_scheduler_is_not_loaded_by_a_local_run():
    code = "import sys, preview.catalog.run; sys.exit('distributed' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
