"""Two situations side by side."""
