"""What outlives a crash: projects, plans and their papers, keys; in SQLite or PostgreSQL."""
