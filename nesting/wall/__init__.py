"""From a wall and the tools to hang to rows of cleats, allowed splices, holders and where they hang."""
