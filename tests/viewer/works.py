"""Work for a process beside the page: a job is a text that says what happens."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from typing import Any


def work(job: Any, filling: Any, memory: Any) -> Iterator[dict[str, Any]]:
    """Do what the job says; the filling only makes it large."""
    yield {"began": job, "process": os.getpid()}
    if job == "never ends":
        threading.Event().wait()
    if job == "floods":
        while True:
            yield {"flood": bytes(1_000_000)}
    if job == "dies":
        os._exit(9)
    if job == "fails":
        raise ZeroDivisionError("no such\nnumber")
    yield {"done": job}
