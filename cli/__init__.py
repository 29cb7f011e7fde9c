"""The command line: one module a command; it translates, the work is done in ``nesting``."""
