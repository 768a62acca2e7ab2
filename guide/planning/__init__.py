"""What comes next, and why, from knowledge and state."""
