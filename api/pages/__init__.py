"""The pages for people: drawn up on the server, whole without JavaScript, quicker with it.

Routers over the same parts as the API's (:class:`~api.access.Parts`); names are data, escaped by every template.
"""
