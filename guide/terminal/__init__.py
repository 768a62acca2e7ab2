"""The chat on a terminal: prompting and rendering, nothing that decides."""
