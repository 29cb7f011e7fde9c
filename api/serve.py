"""From settings to a running server, and to its end with nothing left running."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
from collections.abc import Callable, Iterator
from pathlib import Path
from types import FrameType
from typing import Final

import uvicorn

from api.app import build
from api.bulletin import Bulletin
from api.keys import drop_key, new_key
from api.logs import set_up
from api.settings import Settings
from api.store import keys
from api.store.database import Store, open_store
from nesting.errors import BadInput, Fault

_LOCK: Final = "lock"
_PATIENCE_SECONDS: Final = 5
_BACKLOG: Final = 2_048


def serve(settings: Settings, ready: Callable[[str], None]) -> None:
    """Serve until a signal ends it; ``ready`` is called with the address once requests are answered.

    Raises :class:`~nesting.errors.BadInput` where it must not start: a public address without a key, a data folder
    that another server uses, a database that cannot be used; ``OSError`` where the address cannot be had.
    """
    settings.data.mkdir(parents=True, exist_ok=True, mode=0o700)
    with _only_server(settings.data), contextlib.closing(open_store(settings.data, settings.database_url)) as store:
        _check_key(settings, store)
        with contextlib.closing(_listening(settings)) as listener:
            set_up()
            host = f"[{settings.host}]" if ":" in settings.host else settings.host
            address = f"http://{host}:{listener.getsockname()[1]}"
            app = build(settings, store)
            config = uvicorn.Config(
                app,
                log_config=None,
                access_log=False,
                server_header=False,
                timeout_graceful_shutdown=_PATIENCE_SECONDS,
                timeout_keep_alive=30,
                lifespan="on",
            )
            _Server(config, app.state.parts.bulletin, lambda: ready(address)).run(sockets=[listener])


def make_key(settings: Settings, name: str) -> str:
    """Make a key of that name and return it."""
    with contextlib.closing(open_store(settings.data, settings.database_url)) as store:
        return new_key(store, name)


def forget_key(settings: Settings, name: str, *, erase: bool = False) -> int:
    """Forget the key of that name, and with ``erase`` all that was made with it; return how many things that was."""
    with contextlib.closing(open_store(settings.data, settings.database_url)) as store:
        return drop_key(store, name, erase=erase)


class _Server(uvicorn.Server):
    """Lets event streams end when the server is asked to, for it waits until every answer has ended."""

    def __init__(self, config: uvicorn.Config, bulletin: Bulletin, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._bulletin, self._ready = bulletin, ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if not self.should_exit:
            self._ready()

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        self._bulletin.close()
        self.force_exit = self.should_exit and sig == signal.SIGINT  # the second Ctrl-C
        self.should_exit = True


def _check_key(settings: Settings, store: Store) -> None:
    with store.reading() as connection:
        count = keys.count(connection)
    if not settings.loopback and not count:
        raise BadInput(
            [
                Fault(
                    "--host",
                    "",
                    f"{settings.host} can be reached from elsewhere, and there is no key",
                    "127.0.0.1, or a key made before: cleatwright serve --new-key NAME",
                )
            ]
        )


def _listening(settings: Settings) -> socket.socket:
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    listener = socket.socket(family)
    try:
        if os.name == "posix":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((settings.host, settings.port))
        listener.listen(_BACKLOG)
    except OSError as error:
        listener.close()
        raise OSError(error.errno, error.strerror or "cannot be had", f"{settings.host}:{settings.port}") from None
    return listener


@contextlib.contextmanager
def _only_server(data: Path) -> Iterator[None]:
    """Be the only server of a data folder, until the end, however it comes."""
    try:
        import fcntl
    except ImportError:  # no POSIX system: nothing is locked there
        yield
        return
    with (data / _LOCK).open("a", encoding="ascii") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise BadInput([Fault("--data", "", f"another server uses {data}", "a folder of its own")]) from None
        yield
