"""Debriefs: what a played drill shows, as text, as one HTML page and as JSON; a season of them; the record of a drill."""
