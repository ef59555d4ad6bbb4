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
    may_grow,
)
from calculators.safety.hazards import (
    LAST_WORD,
    Caution,
    HasLocalRules,
    caution,
    cautions,
    last_word,
)
from calculators.safety.law import (
    EVERYWHERE,
    REGIONS,
    LegalNote,
    Permission,
    allowed,
    legal_note,
    legal_subjects,
    regions,
)

__all__ = [
    "EVERYWHERE",
    "LAST_WORD",
    "REGIONS",
    "Allergen",
    "BurnTime",
    "Caution",
    "HasLocalRules",
    "LegalNote",
    "Permission",
    "allergens",
    "allowed",
    "caution",
    "cautions",
    "contact_burn",
    "last_word",
    "legal_note",
    "legal_subjects",
    "may_grow",
    "regions",
    "scald_times",
]
