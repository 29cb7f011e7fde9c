"""The kernels compiled by numba, without ever making a solve wait for the compiler.

Compiling takes seconds; loading what a former run compiled takes a fraction of one. So the compiler
runs in a process of its own (``python -m nesting.solve.compiled``), which fills a cache folder and
leaves a mark there; a solve goes on with the plain kernels until that mark is there. Where numba is
missing, a folder cannot be written or compiling fails, the plain kernels do the whole job and a
warning is logged.

The folder lies in ``NUMBA_CACHE_DIR`` if that is set, else in the user's cache folder, and is named
after the source of the kernels and the versions of Python and numba, so that an installation may be
read-only and an update never meets an old cache.
"""

from __future__ import annotations

import functools
import gc
import hashlib
import importlib.metadata
import importlib.util
import logging
import os
import subprocess
import sys
import threading
import types
from collections.abc import Callable
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any

import numpy as np

from nesting.solve import (
    box_kernels,
    box_store,
    kernels,
    kernels_beam,
    kernels_cover,
    kernels_knapsack,
    kernels_length,
    kernels_multisets,
    kernels_pairs,
    kernels_ruin,
    kernels_stages,
)
from nesting.solve.knapsack import best_splits
from nesting.solve.staged import best_stage

log = logging.getLogger(__name__)
log.addHandler(logging.NullHandler())

SOURCES = (
    box_kernels,
    kernels_stages,
    kernels,
    kernels_ruin,
    kernels_knapsack,
    kernels_pairs,
    kernels_length,
    kernels_cover,
    kernels_beam,
    kernels_multisets,
)
"""Modules of jittable code, each after those it uses."""


COMPILER = "CLEATWRIGHT_COMPILER"
"""Set in processes of which many work side by side, by the one that compiles for them all."""


@dataclass(frozen=True, slots=True)
class Kernels:
    """The entries of the kernels, plain or compiled."""

    construct_all: Callable[..., int]
    ruin_and_recreate: Callable[..., int]
    best_splits: Callable[..., None]
    best_stage: Callable[..., None]
    fill_table: Callable[..., int]
    generate_bars: Callable[..., None]
    list_bars: Callable[..., int]
    cover: Callable[..., int]
    grow: Callable[..., None]
    merge_sets: Callable[..., None]
    join_sets: Callable[..., int]
    share: Callable[..., int]
    unmake: Callable[..., None]
    compiled: bool


PLAIN = Kernels(
    kernels_ruin.construct_all,
    kernels_ruin.ruin_and_recreate,
    best_splits,
    best_stage,
    kernels_length.fill_table,
    kernels_length.generate_bars,
    kernels_length.list_bars,
    kernels_cover.cover,
    kernels_beam.grow,
    kernels_multisets.merge_sets,
    kernels_multisets.join_sets,
    kernels_multisets.share,
    kernels_multisets.unmake,
    compiled=False,
)


@functools.cache
def cache_folder() -> Path | None:
    """Return the folder of this version's compiled kernels; ``None`` where numba is not installed."""
    if importlib.util.find_spec("numba") is None:
        return None
    text = [
        sys.version,
        importlib.metadata.version("numba"),
        importlib.metadata.version("numpy"),
        str(SOURCES[0].__file__),
    ]
    text += [Path(str(module.__file__)).read_text(encoding="utf-8") for module in SOURCES]
    name = "kernels-" + hashlib.sha256("\n".join(text).encode()).hexdigest()[:16]
    given = os.environ.get("NUMBA_CACHE_DIR")
    base = Path(given) if given else Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    return base / "cleatwright" / name


def ready() -> bool:
    """Whether compiled kernels are loaded, or need no more than to be loaded from the cache (well below a second)."""
    folder = cache_folder()
    return folder is not None and (folder / "filled").is_file()


@functools.cache
def load() -> Kernels:
    """Return the compiled kernels, compiling what the cache does not hold: seconds unless :func:`ready`.

    Raises whatever numba raises.
    """
    import numba  # half a second, only where it is wanted

    config: Any = numba.config
    former = config.CACHE_DIR
    config.CACHE_DIR = str(cache_folder())
    names: dict[str, Any] = {}
    try:
        for module in SOURCES:
            inside = {**vars(module), **names}
            for name, value in vars(module).items():
                if isinstance(value, types.FunctionType) and value.__module__ == module.__name__:
                    code = types.FunctionType(value.__code__, inside, name, value.__defaults__)
                    names[name] = inside[name] = numba.njit(cache=True, nogil=True)(code)
    finally:
        config.CACHE_DIR = former
    gc.freeze()  # numba's many objects stay: looking through them for garbage halts every thread for 0.1 s
    entries = [entry.name for entry in fields(Kernels) if entry.name != "compiled"]
    return Kernels(**{entry: names[entry] for entry in entries}, compiled=True)


def at_hand() -> Kernels:
    """Return the compiled kernels where this process has loaded them before, else the plain ones: no wait either way.

    >>> at_hand().compiled == bool(load.cache_info().currsize)
    True
    """
    return load() if load.cache_info().currsize else PLAIN


def fill_cache() -> None:
    """Compile every entry for the types it is called with, and leave the mark that :func:`ready` looks for."""
    from nesting.solve.beam import fill  # they import this module
    from nesting.solve.construct import first_plans
    from nesting.solve.improve import improve
    from nesting.solve.length_cover import without_waste
    from nesting.solve.length_program import Program
    from nesting.solve.multiset_plans import plan_of
    from nesting.solve.multisets import Multisets
    from nesting.solve.problem import Bin, Item, Problem
    from nesting.solve.stop import Stop

    folder = cache_folder()
    if folder is None:
        raise ModuleNotFoundError("numba is not installed")
    folder.mkdir(parents=True, exist_ok=True)
    items = (Item(6, 5, 3, ((True, True),)), Item(3, 4, 3, ((True, True),)))
    problem = Problem((Bin(10, 10, 1),), items)
    fast = load()
    start = list(first_plans(problem, 1, 2, Stop.after(600), fast))[-1]
    improve(problem, start, 1, Stop.after(600), iterations=3, kernels=fast)
    fill(problem, [0, 0], 4, 100, 1, Stop.after(600), fast)
    sets = Multisets.of(problem, [(3,)])
    if sets is not None:
        plan_of(sets, (3,), Stop.after(600), fast)
    points, grid = np.arange(3), np.zeros((3, 3), dtype=np.int64)
    fast.best_splits(points, points, grid, grid.copy())
    fast.best_stage(points, grid, grid.copy(), grid.copy())
    program = Program(np.array([3, 2]), 5, np.array([2, 2]), fast)
    program.generate(Stop.after(600))
    program.listed(program.bound, 9, 99)
    without_waste(program, 1, Stop.after(600))
    box_store.fill_cache()
    (folder / "filled").write_text("")


@dataclass(slots=True)
class Warming:
    """A compiler at work in another process, then a load in a thread; ask :meth:`done`, or :meth:`kill` it."""

    process: subprocess.Popen[bytes] | None
    loading: threading.Thread | None = None
    kernels: Kernels = PLAIN
    failed: str = ""
    elsewhere: bool = False
    """Whether another process compiles, so that this one only looks for the result."""
    _over: bool = field(default=False)

    def done(self) -> bool:
        """Whether it has ended: ``kernels`` then holds the compiled ones, or ``failed`` says why not."""
        if self._over:
            return True
        if self.elsewhere and not ready():
            return False
        if self.process is not None:
            status = self.process.poll()
            if status is None:
                return False
            said = self.process.communicate()[1].decode(errors="replace").strip()
            self.process = None
            if status != 0 or not ready():
                self._give_up(said.splitlines()[-1] if said else f"the compiler ended with status {status}")
                return True
        if self.loading is None:
            self.loading = threading.Thread(target=self._load, name="load kernels", daemon=True)
            self.loading.start()
        if self.loading.is_alive():
            return False
        self._over = True
        return True

    def kill(self) -> None:
        """End the compiler and wait for its end; a load under way ends by itself within a second."""
        if self.process is not None:
            self.process.kill()
            self.process.communicate()
            self.process = None
        self._over = True

    def _load(self) -> None:
        try:
            self.kernels = load()
        except Exception as error:  # whatever it is, the plain kernels go on
            self._give_up(f"{type(error).__name__}: {error}")

    def _give_up(self, why: str) -> None:
        self.failed, self._over = why, True
        log.warning("no compiled kernels, going on with the plain ones: %s", why)


def start_warming() -> Warming:
    """Begin to make the compiled kernels available, without waiting; call ``kill`` when they are wanted no more.

    Where the environment variable ``COMPILER`` is set, some other process compiles, and none is started here.

    >>> warming = start_warming()
    >>> warming.kill()
    >>> warming.done()
    True
    """
    if ready():
        warming = Warming(None)
        warming.kernels = at_hand()
        warming._over = warming.kernels.compiled
        return warming
    if cache_folder() is None:
        warming = Warming(None)
        warming._give_up("numba is not installed")
        return warming
    if os.environ.get(COMPILER):
        return Warming(None, elsewhere=True)
    root = str(Path(__file__).resolve().parents[2])
    path = os.pathsep.join([root, *(entry for entry in sys.path if entry)])
    try:
        process = subprocess.Popen(
            [sys.executable, "-m", "nesting.solve.compiled", "--tied"],
            env={**os.environ, "PYTHONPATH": path},
            stdin=subprocess.PIPE,  # closed when we end, however we end
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
        )
    except OSError as error:
        warming = Warming(None)
        warming._give_up(str(error))
        return warming
    return Warming(process)


def _end_with_parent() -> None:
    """End this process when whoever began it is gone, killed or not: standard input then ends."""
    while os.read(0, 1):
        pass
    os._exit(1)


if __name__ == "__main__":
    if "--tied" in sys.argv:
        threading.Thread(target=_end_with_parent, daemon=True).start()
    fill_cache()
