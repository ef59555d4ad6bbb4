"""How to share a glaze out into colours, layer them in a jug, and what comes of it.

Shares, cling and pour order are plain reckoning and common practice.  The patterns
follow a published model of ink on water.  They illustrate shares: nobody can
foretell the marble of a real pour.  No published table of marbled glazes was found.
"""

from calculators.marbling.marble import (
    Patch,
    Pattern,
    Point,
    Tine,
    Vortex,
    Wave,
    pattern,
    polygon_area,
)
from calculators.marbling.shares import (
    Dominance,
    Shares,
    dominance,
    dominant_share,
    layers,
    left_over_colour,
    pour_order,
    split,
    split_with_cling,
)

__all__ = [
    "Dominance",
    "Patch",
    "Pattern",
    "Point",
    "Shares",
    "Tine",
    "Vortex",
    "Wave",
    "dominance",
    "dominant_share",
    "layers",
    "left_over_colour",
    "pattern",
    "polygon_area",
    "pour_order",
    "split",
    "split_with_cling",
]
