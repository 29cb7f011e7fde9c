"""The pages of a whole service in this process, as the API's tests have it, and the same in a real browser."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from api.store.database import FILE
from tests.api.conftest import _plain_logs, made_before, service, serving, store
from tests.pages.browsing import Bench, chromium
from tests.pages.browsing import serving as serving_for_real

__all__ = ["_plain_logs", "bench", "made_before", "service", "serving", "store"]


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory, made_before: Path) -> Iterator[Bench]:
    """A server and a browser for all tests of a module.

    Not for the whole session: while this browser's driver runs, no other test could start an event loop in its thread.
    """
    import httpx2

    folder = tmp_path_factory.mktemp("bench")
    shutil.copy(made_before, folder / FILE)
    with serving_for_real(folder) as (address, engine), chromium() as browser, httpx2.Client(timeout=20) as client:
        yield Bench(address, engine, browser, client)
