"""The service: pages at the bench and an HTTP API."""
