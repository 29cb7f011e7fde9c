"""How far a job has come: steps ticked, pieces spoiled or measured, and what lies on the bench because of it."""
