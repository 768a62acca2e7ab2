"""What a sentence of a talk is about: what was said before, the clues to its topic, and the choice among them."""
