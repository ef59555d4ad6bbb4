"""What can hurt at the bench, what the law says here, and who has the last word.

Every caution and every note on the law in lessons, sheets and bench plans comes
from this module and its tables.  None of them is the last word: the local rules
and the supervisor are.
"""

from calculators.safety.allergen_list import (
    Allergen,
    allergens,
)
from calculators.safety.burns import (
    BurnTime,
    contact_burn,
    scald_times,
)
from calculators.safety.growth import (
    NEAR_IS_NOT_BELOW,
    cold_or_not,
    may_grow,
)
from calculators.safety.hazards import (
    LAST_WORD,
    Caution,
    FirstAid,
    HasLocalRules,
    caution,
    cautions,
    first_aid,
    last_word,
)
from calculators.safety.law import (
    ELSEWHERE,
    EVERYWHERE,
    REGIONS,
    LegalNote,
    Permission,
    allowed,
    laws_of,
    legal_note,
    legal_subjects,
    regions,
)

__all__ = [
    "ELSEWHERE",
    "EVERYWHERE",
    "LAST_WORD",
    "NEAR_IS_NOT_BELOW",
    "REGIONS",
    "Allergen",
    "BurnTime",
    "Caution",
    "FirstAid",
    "HasLocalRules",
    "LegalNote",
    "Permission",
    "allergens",
    "allowed",
    "caution",
    "cautions",
    "cold_or_not",
    "contact_burn",
    "first_aid",
    "last_word",
    "laws_of",
    "legal_note",
    "legal_subjects",
    "may_grow",
    "regions",
    "scald_times",
]
