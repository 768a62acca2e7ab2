"""Labels of the evidence weights that are neither topics nor facts."""

INSIDE = "inside"
"""This guide's business."""
OUTSIDE = "outside"
"""Not this guide's business."""
NONE = "none"
"""No yes/no fact is told."""
