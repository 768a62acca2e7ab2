"""What an instructor answers for: who signed which claim, what changed since, and the report."""
