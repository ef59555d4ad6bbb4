"""Tokens: which sheet came back, unguessable and safe to copy by hand."""

from __future__ import annotations

import re
import secrets
from operator import mul

from calculators.faults import fault_error

# --- tokens -------------------------------------------------------------------------

# Twenty-three signs (a prime number) that nobody takes for one another, without
# 0 O D, 1 I L, 2 Z, 5 S, 8 B, 6 G and U.  Nineteen drawn ones hold 85 bits.
ALPHABET = "346789ACEFHJKMNPQRTVWXY"
DRAWN = 19
_PLACE = {sign: place for place, sign in enumerate(ALPHABET)}
_WEIGHTS = range(1, DRAWN + 2)
_AS_KEPT = re.compile(rf"[{ALPHABET}]{{4}}(?:-[{ALPHABET}]{{4}}){{4}}")
_SPACING = re.compile(r"[\s\-‐‑–—_.]+")


def new_token() -> str:
    """Return a token that nobody can guess, in five groups of four.

    The last sign is a check: one mistyped sign, or two exchanged ones, never give
    another token.
    """
    drawn = [secrets.randbelow(len(ALPHABET)) for _ in range(DRAWN)]
    total = sum(weight * value for weight, value in enumerate(drawn, 1))
    size = len(ALPHABET)
    check = -total * pow(DRAWN + 1, -1, size) % size
    signs = "".join(ALPHABET[value] for value in [*drawn, check])
    return "-".join(signs[start : start + 4] for start in range(0, len(signs), 4))


def read_token(text: str, where: str = "token") -> str:
    """Return a token as it is kept, from one as a person typed it.

    Blanks, hyphens and small letters do not matter.

    Raises
    ------
    FaultsError
        Where it was mistyped, saying how.
    """
    if isinstance(text, str) and _AS_KEPT.fullmatch(text) and _agrees(text):
        return text
    if not isinstance(text, str) or len(text) > 64:
        raise fault_error(where, "is not a token", str(text)[:24], "", _TOKEN_STEP)
    signs = _SPACING.sub("", text).upper()
    strange = sorted({sign for sign in signs if sign not in _PLACE})
    if strange:
        raise fault_error(
            where,
            f"holds {', '.join(strange)}, which no token has",
            text.encode("ascii", "backslashreplace").decode(),
            f"A token is written with {ALPHABET}",
            _TOKEN_STEP,
        )
    if len(signs) != DRAWN + 1:
        raise fault_error(
            where,
            f"has {len(signs)} signs",
            text,
            f"A token has {DRAWN + 1}",
            _TOKEN_STEP,
        )
    if not _agrees(signs):
        raise fault_error(
            where, "is mistyped: its check sign does not agree", text, "", _TOKEN_STEP
        )
    return "-".join(signs[start : start + 4] for start in range(0, len(signs), 4))


def _agrees(token: str) -> bool:
    """Tell whether the check sign of a token agrees with the others."""
    places = map(_PLACE.__getitem__, token.replace("-", ""))
    return sum(map(mul, _WEIGHTS, places)) % len(ALPHABET) == 0


_TOKEN_STEP = "Compare it sign by sign with the head of the sheet"
