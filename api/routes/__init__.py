"""The addresses of the service, one module for each kind of thing."""
