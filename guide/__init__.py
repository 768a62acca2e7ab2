"""Offline guidance for the crew of an inflatable liferaft, driven by a sourced knowledge graph."""

__version__ = "0.1.0"
