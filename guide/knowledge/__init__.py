"""The knowledge as files and as a graph: reading, linking, checking."""
