"""What the trade knows, without any solver: bevels, stations, rules of the saw."""
