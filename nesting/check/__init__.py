"""The independent checker: replays a plan and takes nobody's word; shares no code with the solver."""
