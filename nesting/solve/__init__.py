"""The solver; OR-Tools and compiled search live here."""
