"""Every key that a scheme of work may have: what it means, its unit, its range, its usual value.

The reader (:mod:`course.scheme.checking`) takes values by these, and the forms of the
desk are made from them.  What two keys mean together is checked by the reader.
"""

from __future__ import annotations

import dataclasses
import datetime
from collections.abc import Sequence
from typing import ClassVar

from calculators import coating, colour, gelatin, glucose, safety, sources
from calculators.cooling.clock import USUAL
from calculators.labels import ON_LABEL, kinds, origins
from calculators.units import CURRENCIES, Measure, say
from course.lessons.modules import modules
from exercises.files.toml_file import TomlTable
from exercises.files.toml_keys import Day, Key, Keys, Size, Text, Whole, Word, Words, YesNo
from exercises.observing.rows import Limits
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import LEVELS
from exercises.rehearsal import log
from exercises.rehearsal.surprises import SURPRISES
from exercises.sheets.blueprint import BEST, SITTINGS

# --- what is allowed ------------------------------------------------------------------------

METRES = Measure("m", -430, 5000)
ROOM = Measure("degC", 5, 40)
HUMIDITY = Measure("percent", 5, 95)
FREEZER = Measure("degC", -40, -5)
COLD = Measure("degC", -2, 15)
HOB = Measure("W", 300, 10_000)
BLENDER = Measure("W", 50, 2000)
JUG = Measure("cm", 5, 40)
BLADE = Measure("cm", 0.5, 15)
BLOOM = Measure("bloom", 50, 300)
STEP = Measure("g", 0.001, 50)
MASS = Measure("g", None, 100_000, above=0)
POUR = Measure("degC", 15, 60)
COAT = Measure("g/cm**2", 0.05, 1.5)
RUN_OFF = Measure("percent", 0, 80)
SPARE = Measure("percent", 0, 50)
SHARE = Measure("percent", None, 100, above=0)
DOSE = Measure("g/kg", None, 100, above=0)
SIZE = Measure("cm", None, 200, above=0)
AREA = Measure("cm**2", 1, 40_000)
COLD_BATH = Measure("degC", 0, 20)
CLASS_TIME = Measure("min", 30, 600)  # of class in a week
OUT_OF_BATH = Measure("degC", 2, 60)
TRAY = Measure("cm", 0.5, 10)
KEEP = Measure("d", 1, 3660)
HOLD = Measure("h", 0.25, 24)
HOURS = Measure("h", 0.5, 14)
FRIDGE_ROOM = Measure("l", 0.5, 5000)
FREEZER_ROOM = Measure("cm**2", 50, 1_000_000)
TRAY_SIDE = Measure("cm", 10, 100)
COAT_BAND, COVER = Measure("percent", 3, 60), Measure("cm", 0.5, 5)
OUT_BY = Measure("degC", 0.1, 3)
PART = Measure("percent", 0, 100)  # of 100 g, or of the marks
DENSITY = Measure("g/ml", 0.2, 3)
DE = Measure("percent", 3, 100)

USES = ("assessed", "practice")
WHEN = ("day before", "same day")
WAYS = ("bath", "ice bath", "ice bath to the end", "tray", "ice bath and tray")
WALLS = ("steel", "plastic", "glass")
FIRST_START = "09:00"
POWDER = "powder"


def shapes() -> dict[str, tuple[str, ...]]:
    """Return the sizes by which each shape of cake is measured."""
    return {
        name: tuple(size.name for size in dataclasses.fields(shape))
        for name, shape in coating.SHAPES.items()
    }


def grades() -> tuple[str, ...]:
    """Return what gelatin may be: a grade of leaf, or powder."""
    return (*gelatin.GRADES, POWDER)


def colourants() -> tuple[str, ...]:
    """Return every colour on which there is a note of law, in the order of its table."""
    return tuple(
        dict.fromkeys(
            row["subject"]
            for row in sources.records("legal")
            if row["status"] in ("permitted", "forbidden", "unclear")
        )
    )


def _modules() -> tuple[str, ...]:
    return tuple(module.id for module in modules().values())


def _allergens() -> tuple[str, ...]:
    return tuple(safety.allergens())


# --- two keys that are read in a way of their own -------------------------------------------


class Clock(Key):
    """A time of day, as text or as TOML has it."""

    @property
    def limit(self) -> str:
        """Its range."""
        return "A time is hour and minute, from 0:00 to 23:59"

    def read(self, table: TomlTable) -> str:
        """Take its value out of a table."""
        written = table.data.get(self.name, self.default)
        table.known.add(self.name)
        if isinstance(written, datetime.time):
            return written.strftime("%H:%M")
        try:
            return datetime.datetime.strptime(str(written).strip(), "%H:%M").strftime("%H:%M")
        except ValueError:
            step = f'Write it like {self.name} = "08:30"'
            table.fault(self.name, "is not a time of day", written, self.limit, step)
            return str(self.default)


class Minutes(Key):
    """Minutes from the first word, one for each task of a plan."""

    kind: ClassVar[str] = "words"

    def read(self, table: TomlTable) -> tuple[int, ...]:
        """Take its value out of a table."""
        table.known.add(self.name)
        given = table.data.get(self.name, [])
        if isinstance(given, list) and all(type(m) is int and 0 <= m < 1440 for m in given):
            return tuple(given)
        table.fault(
            self.name,
            "are not minutes from the first word",
            given,
            "Each is a whole number from 0 to 1439",
            "Copy the line from the printed plan, or leave it out",
        )
        return ()


# What each policy for units does, as a paper says it.
MISSING_UNIT = {
    "asked": "A number without its unit can earn the marks for the value; "
    "the mark for the unit is lost, because the unit was asked for.",
    "assumed": "A number without its unit is taken in the unit that was asked for, "
    "and loses no mark.",
}
OTHER_UNIT = {
    "accepted": "An answer in another unit of the same kind is converted, and earns all marks.",
    "asked": "An answer in another unit of the same kind is converted; the mark for "
    "the unit is lost, because that unit was asked for.",
}
# --- the tables -----------------------------------------------------------------------------

_GRADE = Word("gelatin_grade", "of the gelatin on the shelf", choices=grades)
_BLOOM = Size(
    "gelatin_bloom",
    "what the pack says, where it says it",
    None,
    measure=BLOOM,
    without="the usual bloom of that grade",
)
_PRICE = Key("price", "of a pack, with its currency: 1.35 EUR", None, without="no price is known")
_PACK = Key("pack", "what a pack holds, as 1 kg or 750 ml", None, without="no pack is known")

TOP = Keys(
    "",
    "Title, law and order",
    (
        Text("title", "what the course is called"),
        Word("region", "whose law on colours and allergens holds", choices=safety.regions),
        Word(
            "currency",
            "of every price",
            "",
            choices=lambda: tuple(CURRENCIES),
            without="that of the first price",
        ),
        Size("keep_data", "how long answers and marks are kept with names", "400 d", measure=KEEP),
        Words(
            "modules",
            "in the order in which they are taught; kitchen always comes first",
            _modules(),
            choices=_modules,
            one="module",
            without="all of them",
        ),
    ),
)
SCHOOL = Keys(
    "school",
    "The school",
    (
        Text("name", "what the school is called"),
        Text("lecturer", "whose name stands under letters", ""),
        Text("site", "the address at which the course will stand; letters link to it", ""),
    ),
)
KITCHEN = Keys(
    "kitchen",
    "The kitchen",
    (
        Size("altitude", "above the sea: it decides where water and syrup boil", measure=METRES),
        Size("room", "how warm the kitchen is", "21 °C", measure=ROOM),
        Size("humidity", "of the kitchen's air", "55 %", measure=HUMIDITY),
        Size("freezer", "in which the cakes are frozen", "-18 °C", measure=FREEZER),
        Size("storage", "the fridge in which the glaze rests", "4 °C", measure=COLD),
        Size("display", "the fridge in which cakes are shown", "4 °C", measure=COLD),
        Size("hob", "the power of one ring", "2 kW", measure=HOB),
        Size("blender", "the power of the stick blender", "600 W", measure=BLENDER),
        Size("jug", "the width of the blending jug, inside", "12 cm", measure=JUG),
        Size(
            "blade",
            "from the floor of the jug to the top of the blender's guard",
            "4 cm",
            measure=BLADE,
        ),
    ),
)
STORES = Keys(
    "stores",
    "The stores",
    (
        _GRADE,
        _BLOOM,
        Word(
            "glucose",
            "the tub that lessons work with",
            next(iter(glucose.TUBS)),
            choices=lambda: tuple(glucose.TUBS),
        ),
        Size("scale", "the step of the bench scale", "1 g", measure=STEP),
        Size(
            "fine_scale",
            "the step of the small scale, for gelatin and colour",
            "0.1 g",
            measure=STEP,
        ),
        Key(
            "own_glucose",
            "a glucose syrup of your own labels, bought in place of the formula's",
            "",
            without="none is bought in its place",
        ),
    ),
)
MORE_GELATINS = Keys(
    "stores.more_gelatins",
    "Other gelatins on the shelf",
    (_GRADE, _BLOOM),
    "The order list says what each of them would weigh.",
    "rows",
    "gelatin",
)
FORMULA = Keys(
    "formula",
    "The formula",
    (
        Text("name", "what this glaze is called", "Glaze"),
        dataclasses.replace(_GRADE, about="what the formula is written for"),
        dataclasses.replace(_BLOOM, about="what the formula is written for"),
    ),
    "Put your own glaze here.",
)
LINE = Keys(
    "formula.line",
    "Lines of the formula",
    (
        Key("ingredient", "by any of its names, or by that of a label of your own"),
        Size("mass", "in the formula as it is written", measure=MASS),
        _PRICE,
        _PACK,
    ),
    "",
    "rows",
    "line",
    at_once=8,
)
WINDOW = Keys(
    "window",
    "The pouring window",
    (
        Size("low", "not poured colder than this", "31 °C", measure=POUR),
        Size("high", "not poured warmer than this", "34 °C", measure=POUR),
    ),
    "Of this glaze: beside it come the spoon and a trial pour on a frozen offcut.",
)
COATING = Keys(
    "coat",
    "The coat",
    (
        Size("mass", "what a frozen cake keeps", "0.22 g/cm²", measure=COAT),
        Size("run_off", "what runs off, of all that is poured", "50 %", measure=RUN_OFF),
        Size("spare", "made beyond what is poured", "10 %", measure=SPARE),
    ),
    "Weigh your own cakes and put your numbers here.",
)
COOLING = Keys(
    "cooling",
    "How the glaze is cooled",
    (
        Size(
            "bath",
            "of the bath; at 2 °C or below there is ice in it",
            say(USUAL.bath),
            measure=COLD_BATH,
        ),
        Size("out", "of the glaze when it leaves the bath", say(USUAL.out), measure=OUT_OF_BATH),
        Size(
            "tray",
            "how deep it lies in the fridge",
            None,
            measure=TRAY,
            without="it stands in its jug",
        ),
    ),
)
TERM = Keys(
    "term",
    "The term",
    (
        Day("begins", "the first day of the term"),
        Whole("weeks", "how many", low=1, high=60),
        Size("class", "time of class in each week", measure=CLASS_TIME),
        Word("reading", "where lessons are read", "home", choices=lambda: ("home", "class")),
    ),
    "Give this, and the lessons are laid over the weeks.",
)
_COUNT = Whole("count", "how many of it are glazed", low=1, high=2000)
_AREA = Size("area", "in place of sizes: all that takes glaze, top and sides", None, measure=AREA)
CAKES = Keys(
    "cakes",
    "Cakes",
    (
        Word(
            "shape",
            "other, where only its area is known",
            choices=lambda: (*shapes(), coating.OTHER),
        ),
        _COUNT,
        *(
            Size(
                name,
                "for: " + ", ".join(shape for shape, sizes in shapes().items() if name in sizes),
                None,
                measure=SIZE,
            )
            for name in dict.fromkeys(size for sizes in shapes().values() for size in sizes)
        ),
        _AREA,
    ),
    "",
    "rows",
    "cake",
)
COLOURS = Keys(
    "colours",
    "Colours",
    (
        Text("name", "of the jug; each has one of its own"),
        Size("share", "of the glaze; all shares make 100 %", measure=SHARE),
        Word(
            "colourant",
            "what the law knows it as",
            "",
            choices=colourants,
            without="nothing colours it",
        ),
        Word(
            "kind",
            "how it is sold: it decides what it does to the glaze",
            "",
            choices=lambda: tuple(colour.kinds()),
            without="not said",
        ),
        Size("dose", "of the colour in the jug", None, measure=DOSE, without="to taste"),
    ),
    "",
    "rows",
    "colour",
    at_once=3,
)
_GROUP = (
    Whole("students", "how many", low=1, high=5000),
    Whole("stations", "how many benches", 1, low=1, high=500),
    Day("practical", "the day of the pour", None, without="not fixed yet"),
    Clock("start", "the clock at the first word", FIRST_START),
    Size("hours", "contact hours of that day", None, measure=HOURS, without="no end is set"),
    Size(
        "hours_before",
        "contact hours of the day before",
        None,
        measure=HOURS,
        without="no end is set",
    ),
    Whole("assessors", "each watches one pour at a time", 1, low=1, high=50),
)
GROUP = Keys(
    "group",
    "The group",
    (Text("name", "of the group, where there are several", ""), *_GROUP),
)
MORE_GROUPS = Keys(
    "more_groups",
    "Other groups",
    (Text("name", "of the group"), *_GROUP),
    "Each with a day or hours of its own.",
    "rows",
    "group",
)
ALLERGIES = Keys(
    "allergies",
    "Allergies in the class",
    (
        Word("allergen", "that somebody can't have", choices=_allergens),
        Whole("students", "how many have it, and never who", 1, low=1, high=5000),
    ),
    "With a formula without it, one bench is kept free of it.",
    "rows",
    "allergy",
)
ALLERGY_LINE = dataclasses.replace(
    LINE, way="allergies.line", heading="a formula without it, line by line"
)
_NOT_COUNTED = "not counted"
EQUIPMENT = Keys(
    "equipment",
    "The equipment",
    (
        *(
            Whole(name, about, None, low=low, high=500, without=_NOT_COUNTED)
            for name, about, low in (
                ("jugs", "for blending", 1),
                ("blenders", "stick blenders", 1),
                ("hobs", "rings to cook on", 1),
                ("baths", "sinks or bowls for a cold bath", 1),
                ("trays", "shallow, to cool glaze in", 0),
            )
        ),
        Size("tray_length", "inside", "40 cm", measure=TRAY_SIDE),
        Size("tray_breadth", "inside", "30 cm", measure=TRAY_SIDE),
        YesNo("ice", "enough for the baths", True),
        Word("wall", "of the jugs: how fast a bath works", WALLS[0], choices=lambda: WALLS),
        Size("fridge", "room for tubs of glaze", None, measure=FRIDGE_ROOM, without=_NOT_COUNTED),
        Size("freezer", "shelf for cakes", None, measure=FREEZER_ROOM, without=_NOT_COUNTED),
    ),
    "Of the whole kitchen, all benches together; the plan keeps to it.",
)
_OPEN = "the planner chooses"
PLAN = Keys(
    "plan",
    "What is decided of the plan",
    (
        Word("when", "the glaze is made", "", choices=lambda: WHEN, without=_OPEN),
        Word("cooling", "how the glaze is cooled", "", choices=lambda: WAYS, without=_OPEN),
        Whole("benches", "in use", None, low=1, high=500, without=_OPEN),
        Whole("batches", "of glaze that are cooked", None, low=1, high=500, without=_OPEN),
        Whole("rounds", "of pouring", None, low=1, high=4, without=_OPEN),
        YesNo(
            "helped",
            "more is made than poured, or a colour thinned, where that helps",
            None,
            without=_OPEN,
        ),
        Whole("pours", "cakes that each student pours before an assessor", 2, low=1, high=6),
        Minutes(
            "starts",
            "the minutes at which tasks begin, as the printed plan lists them",
            (),
            without=_OPEN,
        ),
    ),
)
OBSERVATION = Keys(
    "observation",
    "What is watched at the bench",
    (
        Size(
            "coat_band",
            "how far a coat may weigh from the one wanted",
            say(Limits().coat_band),
            measure=COAT_BAND,
        ),
        Size(
            "thermometer",
            "how far a thermometer may be out",
            say(Limits().thermometer),
            measure=OUT_BY,
        ),
        Size("cover", "how much glaze covers the blade", say(Limits().cover), measure=COVER),
    ),
)
LEVEL_KEYS = {level: level.replace(" ", "_") for level in LEVELS}
_SITTINGS = Word(
    "sittings",
    "which counts: best, last, or capped (a resit: a pass at most)",
    BEST,
    choices=lambda: SITTINGS,
)


def _outcomes() -> Sequence[str]:
    return tuple(outcomes())


PAPERS = Keys(
    "papers",
    "Papers",
    (
        Words(
            "outcomes",
            "what it asks about; two questions or more for each that is judged",
            choices=_outcomes,
            one="outcome",
        ),
        *(
            Whole(key, f"how many questions of the level {level}", 0, low=0, high=60)
            for level, key in LEVEL_KEYS.items()
        ),
        Words(
            "include",
            "questions that it asks in any case",
            (),
            one="question",
            without="none is fixed",
        ),
        Words(
            "exclude",
            "questions that it never asks",
            (),
            one="question",
            without="none is left out",
        ),
        Words(
            "questions",
            "all its questions, in the order of the sheet; then no level counts",
            (),
            one="question",
            without="they are drawn",
        ),
        Day("opens_on", "the day from which it is worked on", None, without="not said"),
        Day("hand_in_by", "the last day on which it is handed in", None, without="not said"),
        Words(
            "must_pass",
            "outcomes without which it is not passed; three questions for each",
            (),
            choices=_outcomes,
            one="outcome",
            without="none",
        ),
        Text("title", "as the sheet is headed", "", without="the paper's name"),
        Word("use", "assessed, or for practice", USES[0], choices=lambda: USES),
        Whole("marks", "in all", None, low=1, high=1000, without="what its questions bring"),
        dataclasses.replace(_SITTINGS, default="", without="as for all papers"),
    ),
    "",
    "named",
    "paper",
)
DRY_RUNS = Keys(
    "dry_runs",
    "Dry runs",
    (
        Word("way", "how it is led", log.FREE, choices=lambda: log.WAYS),
        Words(
            "surprises",
            "that come, in a run with surprises",
            (),
            choices=lambda: tuple(SURPRISES),
            one="surprise",
            without="they are drawn from the seed",
        ),
        Text("title", "as the page offers it", "", without="the run's name"),
        Text(
            "seed",
            "what surprises are drawn from",
            "",
            without="the run's name",
            most=log.LONGEST_NAME,
        ),
        Day("hand_in_by", "the last day on which its log is handed in", None, without="not said"),
    ),
    "A run that the whole class does, each in their own browser.",
    "named",
    "dry run",
)
DRY_RUN_LINE = dataclasses.replace(
    LINE, way="dry_runs.line", heading="another glaze for it, line by line"
)
PASS = Keys(
    "pass",
    "To pass",
    (
        Size("share", "of the marks", "50 %", measure=PART),
        Words(
            "must_pass",
            "outcomes that must be met, whatever the marks",
            (),
            choices=_outcomes,
            one="outcome",
            without="none",
        ),
        _SITTINGS,
    ),
)
MARKING = Keys(
    "marking",
    "How it is marked",
    (
        Word(
            "missing_unit",
            "asked: a number without its unit loses that mark",
            "asked",
            choices=lambda: tuple(MISSING_UNIT),
        ),
        Word(
            "other_unit",
            "accepted: 0.5 kg is as good as 500 g",
            "accepted",
            choices=lambda: tuple(OTHER_UNIT),
        ),
        YesNo("unit_alone", "a right unit earns its mark beside a wrong number", False),
    ),
)
OWN = Keys(
    "own",
    "What is your own",
    (
        Text("lessons", "a folder beside the scheme", "", without="no lessons of your own"),
        Text("questions", "a folder beside the scheme", "", without="no questions of your own"),
        Text("pictures", "a folder beside the scheme", "", without="no pictures of your own"),
        Text(
            "ingredients",
            "a file of labels beside the scheme",
            "",
            without="labels stand in the scheme",
        ),
        Words(
            "earlier_books",
            "mark books of other terms: what they asked comes last",
            (),
            one="file name",
            without="none",
        ),
    ),
)
LOCAL_RULES = Keys(
    "local_rules",
    "Your own rules",
    (
        Text("link", "where the rules of your kitchen stand", ""),
        Text("contact", "whom a student asks in the kitchen", ""),
        Size(
            "discard_after",
            "how long a warm milk glaze is held with you, in all",
            None,
            measure=HOLD,
            without="the course tells students to ask",
        ),
    ),
    "They come before everything that the course says.",
)
LABELS = Keys(
    "own_ingredients",
    "Labels of your own",
    (
        Text("name", "as formula and stores call it"),
        Word("kind", "what it is used as", choices=kinds),
        Word("of", "what it is made of: it decides who may eat it", choices=origins),
        Words("allergens", "that the label names as contained", choices=_allergens, one="allergen"),
        Words(
            "may_contain",
            "that the label warns of",
            (),
            choices=_allergens,
            one="allergen",
            without="no warning",
        ),
        *(
            Size(name.replace(" ", "_"), "in 100 g", None, measure=PART, without="not on the label")
            for name in ON_LABEL
        ),
        Size(
            "density",
            "to weigh a pack that is sold by volume",
            None,
            measure=DENSITY,
            without="not on the label",
        ),
        Size(
            "de",
            "dextrose equivalent of a glucose syrup",
            None,
            measure=DE,
            without="not on the label",
        ),
        Word(
            "colourant",
            "of a colour: what the law knows it as",
            "",
            choices=colourants,
            without="it is no colour",
        ),
        _PRICE,
        _PACK,
    ),
    "",
    "rows",
    "label",
)

# In the order in which they are shown, part by part.
PARTS = (
    ("The course", (TOP, SCHOOL, TERM)),
    ("Kitchen and stores", (KITCHEN, STORES, MORE_GELATINS)),
    ("The glaze", (FORMULA, LINE, LABELS, WINDOW, COATING, COOLING)),
    ("Cakes and colours", (CAKES, COLOURS)),
    (
        "The class at the bench",
        (GROUP, MORE_GROUPS, ALLERGIES, ALLERGY_LINE, EQUIPMENT, PLAN, OBSERVATION),
    ),
    ("Papers and marks", (PAPERS, DRY_RUNS, DRY_RUN_LINE, PASS, MARKING)),
    ("Your own", (LOCAL_RULES, OWN)),
)
TABLES = tuple(table for _, tables in PARTS for table in tables)
# The keys of each table, in the order in which a file has them.
ORDER = {table.way: [key.name for key in table.keys] for table in TABLES}
