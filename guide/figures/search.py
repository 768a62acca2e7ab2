"""Being searched for: how wide the search begins, and the chance that one pass finds the raft."""

from __future__ import annotations

import math

from guide.figures.model import Answer, Figure, Input, Source, range_note

FIRST_RADIUS_FACTOR = 1.1
ROUGH_FACTOR = 0.6


def position_error(drift_error_nm: float, fix_error_nm: float, searcher_error_nm: float) -> Answer:
    """Total probable error in nm of where the raft is, from three independent errors in nm.

    Detail: `first_radius_nm`, the radius of the first search. Source: IAMSAR volume II (memory).
    """
    error = math.sqrt(drift_error_nm**2 + fix_error_nm**2 + searcher_error_nm**2)
    return Answer(
        error,
        {"first_radius_nm": FIRST_RADIUS_FACTOR * error},
        ("A later search is wider, as drift adds error by the hour.",),
    )


def detection_chance(sweep_width_nm: float, track_spacing_nm: float) -> Answer:
    """Chance, 0 to 1, that one search with that sweep width and track spacing (nm) finds the raft.

    Random search, the lower of the two usual curves. Source: IAMSAR, 1 - exp(-coverage) (memory).
    """
    coverage = sweep_width_nm / track_spacing_nm
    chance = 1 - math.exp(-coverage)
    rough = 1 - math.exp(-ROUGH_FACTOR * coverage)
    return Answer(
        chance,
        {"coverage": coverage},
        (
            range_note(rough, chance, "fraction", "The short end is rough weather, which cuts the sweep width to 0.6."),
            "A perfect parallel search does better, 0.78 against 0.63 at a coverage of 1.",
            "No pass is the last.",
        ),
    )


FIGURES = (
    Figure(
        id="position_error",
        unit="nm",
        title="how far out the searchers' idea of the raft may be",
        sentence=(
            "The error is about {value:.1f} nautical miles, so a first search goes out to {first_radius_nm:.1f} nm."
        ),
        inputs=(
            Input("drift_error_nm", "error of the drift", "nm", 0, 500),
            Input("fix_error_nm", "error of the first fix", "nm", 0, 500),
            Input("searcher_error_nm", "error of the searchers' own position", "nm", 0, 500),
        ),
        assumption="Three errors, each independent of the others.",
        limits="The searchers decide the area; this only explains it.",
        sources=(Source("IAMSAR volume II, total probable error and first radius", "memory"),),
        function=position_error,
    ),
    Figure(
        id="detection_chance",
        unit="fraction",
        title="the chance that one pass of the search finds the raft",
        sentence=(
            "One search with tracks {track_spacing_nm} nm apart has a chance of about {value:.2f} to find the raft."
        ),
        inputs=(
            Input("sweep_width_nm", "width of the sweep for a raft in that weather", "nm", 0, 50),
            Input("track_spacing_nm", "distance between the searchers' tracks", "nm", 0.01, 100),
        ),
        assumption="The raft is inside the area searched, and the search is no better than random.",
        limits="A planner's average over many searches.",
        sources=(Source("IAMSAR, chance of detection by coverage", "memory"),),
        function=detection_chance,
    ),
)
