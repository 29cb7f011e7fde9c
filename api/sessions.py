"""Sessions for browsers: a signed cookie that stands for a key, and the token that every form must carry.

The cookie says whose session it is and when it ends, signed with HMAC-SHA-256 (RFC 2104) under a secret of this
installation; the form's token is the same signature over the cookie, so a page of another site cannot know it
("signed double submit", the Open Worldwide Application Security Project's sheet on cross-site request forgery).
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import time
from dataclasses import dataclass
from typing import Final

COOKIE: Final = "cleatwright_session"
LASTS: Final = 30 * 86_400
"""Seconds."""


@dataclass(frozen=True, slots=True)
class Sessions:
    """Makes and reads sessions with one secret.

    >>> sessions = Sessions("a secret")
    >>> cookie = sessions.cookie("local")
    >>> sessions.owner(cookie), sessions.owner(cookie[:-1] + "?")
    ('local', None)
    >>> sessions.token_fits(cookie, sessions.token(cookie)), sessions.token_fits(cookie, "")
    (True, False)
    """

    secret: str

    def cookie(self, owner: str, now: float | None = None) -> str:
        """Return the value of a new session's cookie."""
        ends = int((time.time() if now is None else now) + LASTS)
        said = f"{owner}.{ends}"
        return f"{said}.{self._sign('session', said)}"

    def owner(self, cookie: str, now: float | None = None) -> str | None:
        """Return whose session a cookie stands for; None where it is not ours or has ended."""
        said, _, signature = cookie.rpartition(".")
        owner, _, ends = said.rpartition(".")
        if not hmac.compare_digest(signature.encode("utf-8", "replace"), self._sign("session", said).encode()):
            return None
        return owner if int(ends) > (time.time() if now is None else now) else None

    def token(self, cookie: str) -> str:
        """Return the token for the forms of a session."""
        return self._sign("form", cookie)

    def token_fits(self, cookie: str, token: str) -> bool:
        """Whether a form's token belongs to the session."""
        return hmac.compare_digest(token.encode("utf-8", "replace"), self.token(cookie).encode())

    def _sign(self, purpose: str, text: str) -> str:
        digest = hmac.new(self.secret.encode(), f"{purpose}:{text}".encode("utf-8", "replace"), hashlib.sha256).digest()
        return base64.urlsafe_b64encode(digest).decode().rstrip("=")
