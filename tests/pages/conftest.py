"""The pages of a whole service in this process, as the API's tests have it."""

from tests.api.conftest import _plain_logs, made_before, service, serving, store

__all__ = ["_plain_logs", "made_before", "service", "serving", "store"]
