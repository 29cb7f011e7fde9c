"""The project file: what is asked for, read whole or refused with every fault at once."""
