"""Stores: what a pack holds, which one the waters call for, what was found in it, and what a grab bag adds."""
