"""A whole number decided by keys alone: the same for ever, under every Python."""

from __future__ import annotations

import hashlib

from calculators.faults import fault_error


def pick(seed: str, question: str, name: str, counter: int, size: int) -> int:
    """Return a whole number from 0 to size - 1, decided by the four keys alone.

    Rejection keeps it free of bias: a hash above the largest multiple of ``size``
    is drawn again with the next salt.
    """
    if size < 1:
        raise fault_error(f"{question}, {name}", "has nothing to draw from", size)
    limit = (1 << 64) - (1 << 64) % size
    salt = 0
    while True:
        key = "\x1f".join((seed, question, name, str(counter), str(salt)))
        value = int.from_bytes(hashlib.blake2b(key.encode(), digest_size=8).digest(), "big")
        if value < limit:
            return value % size
        salt += 1
