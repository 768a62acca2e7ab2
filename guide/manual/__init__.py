"""Help by topic, the man page and shell completion: all from the parsers and one text file."""
