"""Drills: a scenario played against a simulated raft, from a log of what was typed, and scored."""
