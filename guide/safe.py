"""Text that is safe to print: nothing in it moves the cursor, changes colours or turns the direction of a line."""
from __future__ import annotations


def safe(text: str) -> str:
    """The text with `?` for each character that would act on a terminal instead of being shown; line breaks stay."""
    return text if text.isprintable() else "".join(c if c.isprintable() or c == "\n" else "?" for c in text)
