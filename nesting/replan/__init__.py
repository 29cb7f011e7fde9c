"""Planning anew from what is left: least new money first, then as little change as possible, then few settings."""
