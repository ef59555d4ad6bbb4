"""What a scheme of work holds."""

from __future__ import annotations

import dataclasses
import datetime
import difflib
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from calculators import formula
from calculators.cooling import Method
from calculators.faults import Fault, fault_error
from calculators.kitchen import Cake, Jug, Kitchen, Line
from calculators.units import Quantity, is_quantity, q, say
from course.lessons.modules import modules
from course.scheme.dry_runs import DryRun, lacking
from course.scheme.own_ingredients import OwnIngredient
from course.scheme.practical import Group, Practical
from exercises.questions.outcomes import outcomes
from exercises.sheets.blueprint import BEST
from exercises.sheets.choice import PaperPlan, Rules

# The modules in the order in which they are taught, each with its lessons.
MODULES = {module.id: module.lessons for module in modules().values()}
ALWAYS = "kitchen"  # Kitchen first can't be left out

UNIT_ALONE = {
    True: "A right unit earns its mark beside a wrong number.",
    False: "The unit earns its mark only beside a right number.",
}


# --- what a scheme holds --------------------------------------------------------------


@dataclass(frozen=True)
class School:
    """Whose course it is, and the address at which it stands, where it has one."""

    name: str
    lecturer: str = ""
    site: str = ""


@dataclass(frozen=True)
class Bench:
    """The room and its machines; ``blade`` is the height of the blender's guard."""

    altitude: Quantity
    room: Quantity
    humidity: Quantity
    freezer: Quantity
    storage: Quantity
    display: Quantity
    hob: Quantity
    blender: Quantity
    jug: Quantity
    blade: Quantity


@dataclass(frozen=True)
class Stores:
    """What is on the shelf, and the steps in which the scales read.

    Parameters
    ----------
    gelatin_grade, gelatin_bloom : str, quantity
        The gelatin that is weighed.
    glucose : str
        The tub of the table that lessons work with.
    scale, fine_scale : quantity
        Steps of the two scales, g.
    more_gelatins : tuple of (str, quantity)
        Others on the shelf, by grade and bloom; the order list says what each would weigh.
    own_glucose : str
        An own syrup that is bought in place of the formula's; empty for none.
    """

    gelatin_grade: str
    gelatin_bloom: Quantity
    glucose: str
    scale: Quantity
    fine_scale: Quantity
    more_gelatins: tuple[tuple[str, Quantity], ...] = ()
    own_glucose: str = ""


@dataclass(frozen=True)
class Glaze:
    """The glaze that is made: its lines, and the gelatin that they are written for."""

    name: str
    lines: tuple[Line, ...]
    gelatin_grade: str
    gelatin_bloom: Quantity

    @property
    def mass(self) -> Quantity:
        """What all lines weigh together."""
        return formula.mass(self.as_formula())

    def as_formula(self) -> formula.Formula:
        """Return it as the calculators know it."""
        return formula.Formula(self.name, self.lines)


@dataclass(frozen=True)
class PouringWindow:
    """The temperatures between which this glaze is poured."""

    low: Quantity
    high: Quantity


@dataclass(frozen=True)
class Coat:
    """What stays on a cake, what share of the poured runs off, what to make more."""

    mass: Quantity
    run_off: Quantity
    spare: Quantity


@dataclass(frozen=True)
class Colour:
    """One jug of a marbled glaze: its share, and what colours it, if anything does.

    ``colourant`` is what the law knows it as; ``kind`` is how it is sold, which
    decides what it does to the consistency.
    """

    name: str
    share: Quantity
    colourant: str = ""
    kind: str = ""
    dose: Quantity | None = None


@dataclass(frozen=True)
class TermPlan:
    """The weeks of a term: the first day, how many, class time in each, where one reads."""

    begins: datetime.date
    weeks: int
    class_time: Quantity
    reading: str


@dataclass(frozen=True)
class Paper:
    """What a paper asks: outcomes, how many questions of each level, marks, dates.

    ``include`` and ``exclude`` name questions that it asks in any case, or never; ``only``
    names all of them, in the order of the sheet, and then no level counts.
    """

    name: str
    title: str
    use: str
    outcomes: tuple[str, ...]
    levels: dict[str, int]
    marks: int | None
    opens_on: datetime.date | None
    hand_in_by: datetime.date | None
    must_pass: tuple[str, ...]
    include: tuple[str, ...] = ()
    exclude: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    sittings: str = ""  # empty: as for all papers

    @property
    def questions(self) -> int:
        """How many questions a sheet has at least: ``include`` may hold more of one level."""
        return len(self.only) or max(sum(self.levels.values()), len(self.include))

    @property
    def asks(self) -> str:
        """How many questions on how many outcomes, in words."""
        count, about = self.questions, len(self.outcomes)
        return (
            f"{count} {'question' if count == 1 else 'questions'} on "
            f"{about} {'outcome' if about == 1 else 'outcomes'}"
        )


@dataclass(frozen=True)
class PassRule:
    """The share of marks that passes, what must be met beside it, and which sitting counts."""

    share: Quantity
    must_pass: tuple[str, ...]
    sittings: str = BEST


@dataclass(frozen=True)
class Marking:
    """The policy for units, by the words of :data:`exercises.marking.rules.POLICY`."""

    missing_unit: str
    other_unit: str
    unit_alone: bool

    @property
    def policy(self) -> dict[str, str | bool]:
        """The policy as marking takes it."""
        return dataclasses.asdict(self)


@dataclass(frozen=True)
class LocalRules:
    """The school's own rules: where they stand, who decides, how long glaze is held."""

    link: str = ""
    contact: str = ""
    discard_after: Quantity | None = None


@dataclass(frozen=True)
class Scheme:
    """A whole scheme of work, checked.

    Parameters
    ----------
    directory : Path
        The folder of the file; what the scheme names lies beside it.
    """

    title: str
    school: School
    region: str
    currency: str
    modules: tuple[str, ...]
    kitchen: Bench
    stores: Stores
    formula: Glaze
    window: PouringWindow
    coat: Coat
    cooling: Method
    term: TermPlan | None
    cakes: tuple[Cake, ...]
    colours: tuple[Colour, ...]
    group: Group
    papers: dict[str, Paper]
    pass_rule: PassRule
    marking: Marking
    local_rules: LocalRules
    keep_data: Quantity
    lessons_folder: Path | None
    questions_folder: Path | None
    pictures_folder: Path | None
    directory: Path
    practical: Practical = field(default_factory=Practical)
    own_ingredients: tuple[OwnIngredient, ...] = ()
    earlier_books: tuple[Path, ...] = ()  # of other terms, whose questions come last
    dry_runs: dict[str, DryRun] = field(default_factory=dict)

    @property
    def lessons(self) -> tuple[str, ...]:
        """The lessons of the modules, in the order in which they are taught."""
        return tuple(lesson for name in self.modules for lesson in MODULES[name])

    @property
    def left_out(self) -> tuple[str, ...]:
        """The outcomes that go with the modules left out."""
        taught = set(self.lessons)
        return tuple(o.id for o in outcomes().values() if o.lesson not in taught)

    def glaze_faults(self) -> list[Fault]:
        """Return why the lessons can't be computed for the glaze, if they can't.

        They are on a syrup that is set: with hardly any water, or any sugar, there is
        none.
        """
        return [
            Fault(
                "formula",
                f"holds too little {part} for a mirror glaze",
                say(q(share, "percent")),
                f"It must be at least {least} % of the whole",
                "Write all lines of the glaze, with its water and its sugar; a coating of "
                "chocolate and fat alone is another technique",
            )
            for part, share, least in lacking(self.formula.lines)
        ]

    def kitchen_values(self) -> dict[str, Quantity]:
        """Return what a question may ask of this kitchen, by name."""
        return {
            **vars(self.kitchen),
            "gelatin": self.stores.gelatin_bloom,
            "scale": self.stores.scale,
            "window_low": self.window.low,
            "window_high": self.window.high,
        }

    def as_kitchen(self) -> Kitchen:
        """Return the kitchen as the lessons know it."""
        return Kitchen(
            **vars(self.kitchen),
            scale=self.stores.scale,
            gelatin_grade=self.stores.gelatin_grade,
            gelatin_bloom=self.stores.gelatin_bloom,
            gelatin_wanted=self.formula.gelatin_grade,
            gelatin_wanted_bloom=self.formula.gelatin_bloom,
            glucose=self.stores.glucose,
            window_low=self.window.low,
            window_high=self.window.high,
            region=self.region,
            formula_name=self.formula.name,
            formula=self.formula.lines,
            cakes=self.cakes,
            jugs=tuple(Jug(c.name, c.share, c.colourant) for c in self.colours),
            coat=self.coat.mass,
            run_off=self.coat.run_off,
            spare=self.coat.spare,
            cooled_to=self.cooling.out,
            local_rules=self.local_rules.link,
            local_contact=self.local_rules.contact,
            own=tuple(one.label.as_text() for one in self.own_ingredients),
            own_glucose=self.stores.own_glucose or None,
        )

    def paper_plan(self, name: str) -> PaperPlan:
        """Return a paper as it is issued, with the rules that the whole scheme sets.

        An outcome that must be passed in the course must be passed in every paper
        that asks about it.
        """
        if name not in self.papers:
            near = difflib.get_close_matches(name, self.papers, n=1, cutoff=0.5)
            raise fault_error(
                "paper",
                "is not in the scheme",
                name,
                f"The scheme has: {', '.join(self.papers) or 'no paper yet'}",
                f"Did you mean {near[0]}?" if near else f"Add it: [papers.{name}]",
            )
        paper = self.papers[name]
        must = [o for o in self.pass_rule.must_pass if o in paper.outcomes]
        return PaperPlan(
            name=paper.name,
            title=paper.title,
            outcomes=paper.outcomes,
            levels=paper.levels,
            marks=paper.marks,
            opens_on=paper.opens_on.isoformat() if paper.opens_on else "",
            hand_in_by=paper.hand_in_by.isoformat() if paper.hand_in_by else "",
            must_pass=tuple(dict.fromkeys((*paper.must_pass, *must))),
            policy=self.marking.policy,
            pass_share=float(self.pass_rule.share.m_as("")),
            sittings=paper.sittings or self.pass_rule.sittings,
            kitchen=self.kitchen_values(),
            rules=Rules(self.local_rules.link, self.local_rules.contact),
            include=paper.include,
            exclude=paper.exclude,
            only=paper.only,
        )

    @property
    def digest(self) -> str:
        """A digest of all that the scheme says; comments and order don't count."""
        content = _plain(self)
        for place in ("directory", "earlier_books"):
            del content[place]
        text = json.dumps(content, sort_keys=True, ensure_ascii=False)
        return hashlib.sha256(text.encode()).hexdigest()


def _plain(thing: Any) -> Any:
    """Return a value of a scheme as what JSON can hold."""
    if is_quantity(thing):
        return [repr(float(thing.magnitude)), str(thing.units)]
    if dataclasses.is_dataclass(thing) and not isinstance(thing, type):
        thing = vars(thing)
    if isinstance(thing, Mapping):
        return {key: _plain(value) for key, value in thing.items()}
    if isinstance(thing, tuple | list):
        return [_plain(item) for item in thing]
    if isinstance(thing, Path):
        return thing.name
    return thing.isoformat() if isinstance(thing, datetime.date) else thing
