"""Work spread over processes comes back in order, and a lost process is reported."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from typing import ClassVar

import pytest

from preview import parallel
from preview.errors import UseError


@pytest.mark.parametrize("jobs", [1, 2])
def test_results_come_in_order_whatever_the_number_of_processes(jobs):
    assert list(parallel.in_order(abs, range(-9, 0), jobs)) == list(range(9, 0, -1))


def test_items_are_fetched_only_a_little_ahead_of_need():
    fetched = []

    def items():
        for k in range(100):
            fetched.append(k)
            yield k

    results = parallel.in_order(abs, items(), 2)
    assert next(results) == 0
    assert len(fetched) <= 2 * (parallel.WAITING + parallel.AHEAD)
    results.close()


def test_a_process_that_dies_is_one_clear_line():
    killed = parallel.in_order(os._exit, [9], 2)
    with pytest.raises(UseError, match=r"died.*--jobs 1"):
        list(killed)


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
def test_what_is_started_undisturbed_does_not_hear_of_ctrl_c_from_its_first_moment():
    """A child that was still importing used to end in a traceback of its own."""
    code = "import sys, time; print('up', flush=True); sys.stdin.read(); print('well')"
    with parallel.undisturbed():
        child = subprocess.Popen(
            [sys.executable, "-c", code],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
    for _ in range(20):
        child.send_signal(signal.SIGINT)
    assert child.communicate("") == ("up\nwell\n", "")
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, [])


class Told:
    """Tells which thread packs it."""

    packed_by: ClassVar[list[int]] = []

    def __reduce__(self):
        self.packed_by.append(threading.get_ident())
        return Told, ()

    def __call__(self, *_):
        return 42


def test_a_task_is_packed_as_it_is_before_its_owner_goes_on():
    """Packed a moment later, it had been changed halfway: a check ended in a traceback."""
    Told.packed_by.clear()
    with parallel.crew(2) as workers:
        assert workers.submit(Told()).result() == 42
        assert list(workers.in_order(Told(), range(6))) == [42] * 6
    assert len(Told.packed_by) > 1
    assert set(Told.packed_by) == {threading.get_ident()}


def test_an_error_in_a_process_arrives_as_it_was():
    with pytest.raises(ZeroDivisionError):
        list(parallel.in_order((1).__divmod__, [0], 2))
