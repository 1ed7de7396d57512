"""The same work on other machines, through Dask's scheduler (the extra ``cluster``)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from meshes import program
from preview.errors import UseError

from .workers import ItemOutcome

if TYPE_CHECKING:
    from distributed import Client, Future

Item = TypeVar("Item")
Result = TypeVar("Result")

# Tasks sent ahead of need, for each thread of the cluster: enough to keep it busy.
AHEAD = 2
CONNECT_S = 20


class ClusterWorkers(Generic[Item, Result]):
    """Workers behind a scheduler.

    Tasks carry their files with them and results come back as bytes, so the machines need no
    common disk. A task whose worker dies is sent to another one by the scheduler.

    Parameters
    ----------
    task : item to result; a function of a module.
    address : of the scheduler, such as ``tcp://10.0.0.5:8786``.
    """

    def __init__(self, task: Callable[[Item], Result], address: str) -> None:
        self._task, self._address = task, address

    def outcomes(self, items: Iterable[Item]) -> Iterator[ItemOutcome[Item, Result]]:
        """Yield what becomes of each item, in the order in which they end.

        Raises
        ------
        UseError
            If there is no scheduler, no worker, or a worker that runs another foldstage.
        """
        from distributed import as_completed

        client = _connect(self._address)
        try:
            ahead = AHEAD * _check_workers(client)
            source = iter(items)
            sent = {future: item for future, item in self._send(client, islice(source, ahead))}
            waiting = as_completed(list(sent), loop=client.loop)
            for future in waiting:
                item = sent.pop(future)
                yield _outcome(item, future)
                future.release()
                for more, new in self._send(client, islice(source, 1)):
                    sent[more] = new
                    waiting.add(more)
        finally:
            client.close()

    def _send(self, client: Client, items: Iterable[Item]) -> Iterator[tuple[Future, Item]]:
        for item in items:
            yield client.submit(self._task, item, pure=False), item


def _connect(address: str) -> Client:
    try:
        from distributed import Client
    except ImportError:
        raise UseError(
            "--cluster needs Dask's scheduler; try: pip install 'foldstage[cluster]'"
        ) from None
    try:
        return Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        reason = str(error).splitlines()[0] if str(error) else type(error).__name__
        raise UseError(f"no scheduler answers at {address}: {reason}") from None


def _check_workers(client: Client) -> int:
    """How many threads the cluster has."""
    from distributed.comm import CommClosedError

    told: dict[str, Any] = client.run(program.digest, on_error="return")
    # A worker that dies as it is asked is nobody's mistake: another takes what it would have done.
    told = {address: one for address, one in told.items() if not isinstance(one, CommClosedError)}
    if not told:
        raise UseError("the scheduler has no workers; try: dask worker ADDRESS --nthreads 1")
    for address, digest in told.items():
        if isinstance(digest, Exception):
            reason = f"{type(digest).__name__}: {digest}".splitlines()[0]
            raise UseError(f"the worker at {address} cannot run foldstage: {reason}")
        if digest != program.digest():
            raise UseError(f"the worker at {address} runs another foldstage: {digest}")
    return max(1, sum(client.nthreads().values()))


def _outcome(item: Item, future: Future) -> ItemOutcome[Item, Any]:
    from distributed import KilledWorker

    error = future.exception()
    if error is None:
        return ItemOutcome(item, future.result())
    if isinstance(error, KilledWorker):
        return ItemOutcome(item, None, "its workers were killed or ran out of memory")
    return ItemOutcome(item, None, f"{type(error).__name__}: {error}".splitlines()[0])
