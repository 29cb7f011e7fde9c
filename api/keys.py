"""Keys: who may ask, and whose things are whose.

A key is 32 random bytes; what is kept is its SHA-256, which suffices for a secret that nobody could guess (a slow
hash protects words that people choose). While there is no key at all, the service is one person's own: it serves
this machine only, and everything belongs to ``local``.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from dataclasses import dataclass, field
from typing import Final

from sqlalchemy.exc import IntegrityError

from api.store import erasing, keys
from api.store.database import Store
from nesting.errors import BadInput, Fault
from nesting.project.fields import read_name

LOCAL: Final = "local"
PREFIX: Final = "cleat_"
_REMEMBERED_SECONDS: Final = 2.0


def hashed(key: str) -> str:
    """Return what is kept of a key."""
    return hashlib.sha256(key.encode("utf-8", "surrogatepass")).hexdigest()


def new_key(store: Store, name: str) -> str:
    """Make a key and return it; it cannot be had again. Raises :class:`~nesting.errors.BadInput`."""
    try:
        read_name(name)
    except ValueError as error:
        raise BadInput([Fault("--new-key", "", str(error))]) from None
    key = PREFIX + secrets.token_urlsafe(32)
    try:
        with store.writing() as connection:
            keys.add(connection, name, hashed(key))
    except IntegrityError:
        raise BadInput([Fault("--new-key", "", f"there is a key named {name!r} already", "another name")]) from None
    return key


def drop_key(store: Store, name: str, *, erase: bool = False) -> int:
    """Forget a key, and with ``erase`` all that was made with it; return how many things were erased.

    Raises :class:`~nesting.errors.BadInput` where there is none of that name.
    """
    with store.writing() as connection:
        key = keys.by_name(connection, name)
        if key is None:
            raise BadInput([Fault("--drop-key", "", f"there is no key named {name!r}")])
        keys.remove(connection, name)
        return erasing.erase(connection, key.id) if erase else 0


@dataclass(slots=True)
class Keyring:
    """The keys of a store, looked up by what a client sends; to be read anew after two seconds."""

    store: Store
    _known: dict[str, str] = field(default_factory=dict)
    _read: float = float("-inf")

    @property
    def stale(self) -> bool:
        """Whether the keys should be read anew."""
        return time.monotonic() - self._read > _REMEMBERED_SECONDS

    def read(self) -> None:
        """Read the keys."""
        with self.store.reading() as connection:
            self._known = {row.hash: row.id for row in keys.every(connection)}
        self._read = time.monotonic()

    def owner(self, key: str) -> str | None:
        """Return whose key this is; None where it is nobody's."""
        asked = hashed(key)
        for kept, owner in self._known.items():
            if hmac.compare_digest(kept, asked):
                return owner
        return None

    def knows(self, owner: str) -> bool:
        """Whether an owner still has a key."""
        return owner in self._known.values()

    @property
    def empty(self) -> bool:
        """Whether there is no key at all: the service is its one user's own."""
        return not self._known
