"""How much gelatin sets it, and what spoils the set.

Grades and bloom, one gelatin for another, soaking, warming, and the heat, acid and
fresh fruit that take the set away.

Two rules of swapping live side by side in the trade, and they disagree.  *Leaf for
leaf* keeps mass times bloom: leaves are sold so that one leaf replaces one leaf.  The
*square root* keeps concentration squared times bloom: how strength really grows, and
the rule for powder.  This module follows the square root unless it is told otherwise,
and whoever shows a number shows :func:`rule_in_words` with it.

Two independent published tables exist here for the bloom test only
([bloom-test] and JIS K6503, one method); bromelain is published by two laboratories
([sriwatanapongse2000], [jutamongkon2010]).  What heat, acid and time cost, and where gels melt, is from
memory: those answers are bands.
"""

from calculators.gelatin.grades import (
    BENCH,
    BLOOM_TEST,
    GRADES,
    LEAF_FOR_LEAF,
    RULES,
    SOAK_RATIO,
    SQUARE_ROOT,
    Grade,
    LeafSwap,
    leaf_swap,
    leaves,
    leaves_weigh,
    rule_in_words,
    swap,
)
from calculators.gelatin.losses import (
    FRUITS,
    Fruit,
    HeatVerdict,
    enzyme_half_life,
    good_for_gelatin,
    strength_left,
)
from calculators.gelatin.setting import (
    gel_strength,
    melting_point,
    setting_point,
    solution,
)
from calculators.gelatin.soaking import (
    gelatin_in_mass,
    pick_up,
    soak,
    soaked_water,
)

__all__ = [
    "BENCH",
    "BLOOM_TEST",
    "FRUITS",
    "GRADES",
    "LEAF_FOR_LEAF",
    "RULES",
    "SOAK_RATIO",
    "SQUARE_ROOT",
    "Fruit",
    "Grade",
    "HeatVerdict",
    "LeafSwap",
    "enzyme_half_life",
    "gel_strength",
    "gelatin_in_mass",
    "good_for_gelatin",
    "leaf_swap",
    "leaves",
    "leaves_weigh",
    "melting_point",
    "pick_up",
    "rule_in_words",
    "setting_point",
    "soak",
    "soaked_water",
    "solution",
    "strength_left",
    "swap",
]
