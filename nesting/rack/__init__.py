"""The rack: leftovers worth keeping, which later jobs draw on."""
