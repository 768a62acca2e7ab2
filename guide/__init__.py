"""Offline guidance for the crew of an inflatable liferaft, driven by a sourced knowledge graph."""

__version__ = "0.1.0"

SAFETY = ("This guide trains and supports. It never replaces your raft's own instructions,\n"
          "the person in charge, the rescue services or a doctor.")
"""What stands on every page and in every overview."""
