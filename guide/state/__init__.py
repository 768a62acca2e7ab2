"""What is known: a fold over an append-only journal."""
