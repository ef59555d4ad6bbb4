"""What makes a drawing hard to read: small words, words on words, words cut off."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from itertools import combinations
from typing import Any

import pytest

from course.kit import figures

SMALLEST = 12.5  # px in a phone's drawing, which is shown a little larger than life


@contextmanager
def watched() -> Iterator[list[str]]:
    """Collect what is hard to read in each drawing that is made meanwhile."""
    found: list[str] = []
    settle = figures._settled

    def watch(figure: Any) -> None:
        settle(figure)
        found.extend(hard_to_read(figure))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(figures, "_settled", watch)
        yield found


def hard_to_read(figure: Any) -> list[str]:
    """Return what is hard to read in a drawing that was settled, in words."""
    where = figures.either("page", "phone")
    edge, found = figure.bbox, []
    written = [(text, text.get_window_extent()) for text in _written(figure)]
    for text, box in written:
        if figures.either(False, text.get_fontsize() < SMALLEST):
            found.append(f"{where}: {text.get_text()!r} is small")
        if min(box.x0, box.y0, edge.x1 - box.x1, edge.y1 - box.y1) < -1:
            found.append(f"{where}: {text.get_text()!r} is cut off")
    for (one, a), (other, b) in combinations(written, 2):
        across = min(a.x1, b.x1) - max(a.x0, b.x0)
        along = min(a.y1, b.y1) - max(a.y0, b.y0)
        if min(across, along) > 1:
            found.append(f"{where}: {one.get_text()!r} stands on {other.get_text()!r}")
    return found


def _written(figure: Any) -> list[Any]:
    texts = list(figure.texts)
    for axes in figure.axes:
        texts += [*axes.texts, axes.title, axes._left_title]
        if not axes.axison:
            continue
        for axis in (axes.xaxis, axes.yaxis):
            texts += [axis.label, *(tick.label1 for tick in axis._update_ticks())]
    return [text for text in texts if text.get_visible() and text.get_text().strip()]
