"""The commands that are not at home in a subject of their own."""
