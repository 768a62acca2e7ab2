"""From typed text to readings: clauses, kind, polarity, amounts, topics."""
