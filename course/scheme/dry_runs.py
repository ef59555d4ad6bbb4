"""The dry runs that a lecturer sets for a class: ``[dry_runs.NAME]`` of a scheme."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from calculators import formula
from calculators.kitchen import Line
from course.scheme.declared import DRY_RUNS
from exercises.files.toml_file import TomlTable
from exercises.rehearsal.log import FREE, SURPRISED, comes

# A mirror glaze is a syrup that is set: it holds so much at the least, %.  The limits are
# far below those of any such glaze; common practice.
LEAST = (("water", "water", 12), ("sugar", "sugars", 5))


@dataclass(frozen=True)
class DryRun:
    """A run that the whole class does, each in their own browser.

    Parameters
    ----------
    name, title : str
        In the scheme, and on the page.
    way : str
        ``"guided"``, ``"free"`` or ``"with surprises"``.
    seed : str
        What surprises are drawn from, where none are named.
    surprises : tuple of str
        Those that come; empty where there are none, or where they are drawn.
    lines : tuple of Line
        Of another glaze; empty for the scheme's own.
    hand_in_by : date or None
        The day by which its log is handed in.
    """

    name: str
    title: str
    way: str = FREE
    seed: str = ""
    surprises: tuple[str, ...] = ()
    lines: tuple[Line, ...] = ()
    hand_in_by: datetime.date | None = None

    @property
    def meets(self) -> tuple[str, ...]:
        """The surprises that come, named or drawn."""
        return comes(self.way, self.seed, self.surprises)

    def __str__(self) -> str:
        """Return it in a line, for the lecturer."""
        comes = f" ({', '.join(self.meets)})" if self.meets else ""
        by = f", to be handed in by {self.hand_in_by}" if self.hand_in_by else ""
        glaze = ", with a glaze of its own" if self.lines else ""
        return f"Dry run {self.name}: {self.way}{comes}{glaze}{by}."


def read_dry_runs(
    top: TomlTable, lines_of: Callable[[TomlTable], tuple[Line, ...]]
) -> dict[str, DryRun]:
    """Read every run of a scheme; faults are told like all others."""
    runs = top.table("dry_runs", needed=False)
    made = {}
    for name in runs.data:
        table = runs.table(name)
        if table.sound():
            made[name] = _run(name, table, lines_of)
    runs.done()
    return made


def _run(name: str, table: TomlTable, lines_of: Callable[[TomlTable], tuple[Line, ...]]) -> DryRun:
    table.names_a_file("run")
    way, comes = DRY_RUNS["way"].read(table), DRY_RUNS["surprises"].read(table)
    if comes and way != SURPRISED and table.sound("way"):
        table.fault(
            "surprises",
            "are named, and the way has none",
            way,
            "Only a run with surprises meets any",
            f'Write way = "{SURPRISED}", or take the surprises out',
        )
    lines = lines_of(table) if "line" in table.data else ()
    table.known.add("line")
    for part, share, least in lacking(lines):
        table.fault(
            "line",
            f"holds too little {part} for a mirror glaze",
            f"{share:.0f} %",
            f"It must be at least {least} % of the whole",
            "Write all lines of the glaze, or leave them out for that of the scheme",
        )
    run = DryRun(
        name,
        DRY_RUNS["title"].read(table) or name.replace("-", " ").capitalize(),
        way,
        DRY_RUNS["seed"].read(table) or name,
        comes,
        lines,
        DRY_RUNS["hand_in_by"].read(table),
    )
    table.done()
    return run


def lacking(lines: tuple[Line, ...]) -> Iterator[tuple[str, float, int]]:
    """Yield what a glaze has too little of: the part, its share and the least, %."""
    if not lines or not all(line.ingredient and line.mass is not None for line in lines):
        return
    made = formula.Formula("glaze", lines)
    for part, word, least in LEAST:
        share = formula.share(made, word).m
        if share < least:
            yield part, share, least
