"""From layouts to steps: which cut comes next, at which station, with which setting."""
