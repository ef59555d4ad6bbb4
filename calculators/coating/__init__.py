"""How much glaze it takes to cover these cakes.

The area of a cake is plain geometry.  How much glaze stays on a square centimetre
is known only as a band from memory, so weigh your own cakes: a coat found by
:func:`coat` is better than any number here.  No published table of coats was found.
"""

from calculators.coating.amount import (
    coat,
    coat_band,
    glaze_needed,
    reuse,
    thickness,
)
from calculators.coating.shapes import (
    OTHER,
    SHAPES,
    Cylinder,
    Dome,
    Egg,
    Heart,
    Loaf,
    Measured,
    Ring,
    Savarin,
    Shape,
    Slab,
    Torus,
    YuleLog,
    area,
    shape,
    volume,
)

__all__ = [
    "OTHER",
    "SHAPES",
    "Cylinder",
    "Dome",
    "Egg",
    "Heart",
    "Loaf",
    "Measured",
    "Ring",
    "Savarin",
    "Shape",
    "Slab",
    "Torus",
    "YuleLog",
    "area",
    "coat",
    "coat_band",
    "glaze_needed",
    "reuse",
    "shape",
    "thickness",
    "volume",
]
