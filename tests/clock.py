"""Limits of time that hold on a machine that has other work to do."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")


def within(seconds: float, work: Callable[[], T], tries: int = 3) -> T:
    """Return what some work gives; fail where it takes longer each time that it is done.

    What is slow is slow each time; what was held up for a moment is not.

    Parameters
    ----------
    seconds : float
        The most that one time may take of the processor.
    work : callable
        Does the same each time.
    tries : int
        How often it may be done.
    """
    took = []
    for _ in range(tries):
        start = time.process_time()
        result = work()
        took.append(time.process_time() - start)
        if took[-1] < seconds:
            return result
    raise AssertionError(f"took {took} s, {seconds} s at most")
