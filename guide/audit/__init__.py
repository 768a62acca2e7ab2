"""The knowledge opened for whoever answers for it: what is said, what it rests on, and what is wrong with it."""
