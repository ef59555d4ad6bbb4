"""What ``glossbook describe`` asks, and the scheme of work that it writes from the answers.

About ten questions are asked.  Everything else stands in the file as a remark with
its usual value, ready to be changed.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import NamedTuple

from calculators import safety
from calculators.faults import Fault, FaultsError, fault_error
from calculators.units import Measure, say
from course.scheme.checking import LAW_NOT_HERE, LEAF_LINE, POWDER_LINE
from course.scheme.declared import BLADE, JUG, METRES, POWDER, ROOM, grades
from exercises.files.toml_file import text_fault


class Ask(NamedTuple):
    """One question: its key, its words, what is offered, and what checks the answer.

    ``check`` takes the answer as it was typed and returns it as it is written into
    the scheme; what it can't take it refuses.
    """

    key: str
    question: str
    default: str
    check: Callable[[str], str]


def questions() -> list[Ask]:
    """Return what is asked, in the order in which it is asked."""
    return [
        Ask("title", "What is the course called?", "The mirror glaze", partial(_text, "title")),
        Ask("school", "What is the school called?", "Our pastry school", partial(_text, "school")),
        Ask(
            "contact",
            "Whom does a student ask in the kitchen?",
            "the kitchen supervisor",
            partial(_text, "contact"),
        ),
        Ask(
            "region",
            "Whose law holds here? " + ", ".join(safety.regions()),
            "EU",
            partial(_one_of, "region", safety.regions(), step=LAW_NOT_HERE),
        ),
        Ask(
            "altitude",
            "How high above the sea is the kitchen?",
            "100 m",
            partial(_measured, "altitude", METRES),
        ),
        Ask("room", "How warm is the kitchen?", "21 °C", partial(_measured, "room", ROOM)),
        Ask("jug", "How wide is the blending jug inside?", "12 cm", partial(_measured, "jug", JUG)),
        Ask(
            "blade",
            "How high is the guard of the stick blender?",
            "4 cm",
            partial(_measured, "blade", BLADE),
        ),
        Ask(
            "gelatin_held",
            "Which gelatin is in stores? " + ", ".join(grades()),
            "gold",
            partial(_one_of, "gelatin_held", grades()),
        ),
        Ask(
            "gelatin_wanted",
            "Which gelatin is your glaze written for? " + ", ".join(grades()),
            "gold",
            partial(_one_of, "gelatin_wanted", grades()),
        ),
        Ask(
            "cakes",
            "How many round cakes of 18 cm are glazed?",
            "6",
            partial(_whole, "cakes", 1, 2000),
        ),
        Ask(
            "students",
            "How many students are in the group?",
            "12",
            partial(_whole, "students", 1, 5000),
        ),
    ]


def write(answers: Mapping[str, str]) -> str:
    """Return a commented scheme of work from the answers.

    Parameters
    ----------
    answers : mapping of str to str
        By the keys of :func:`questions`, as typed; a question without an answer, or
        with an empty one, gets what was offered.

    Returns
    -------
    str
        TOML that :func:`course.scheme.reading.read_scheme` accepts.

    Raises
    ------
    FaultsError
        With every answer that can't be taken, and every key that nobody asked for.
    """
    asked = {ask.key: ask for ask in questions()}
    faults = [
        Fault(key, "is not a question that is asked", answers[key], ", ".join(asked))
        for key in answers
        if key not in asked
    ]
    taken = {}
    for key, ask in asked.items():
        try:
            taken[key] = ask.check(answers.get(key, "").strip() or ask.default)
        except FaultsError as error:
            faults += error.faults
    if faults:
        raise FaultsError(faults)
    written = {
        key: value if key in ("cakes", "students") else _quoted(value)
        for key, value in taken.items()
    }
    powder = taken["gelatin_wanted"] == POWDER
    written["gelatin"] = _quoted(POWDER_LINE if powder else LEAF_LINE)
    written["stations"] = str(max(1, int(taken["students"]) // 2))
    return re.sub(r"<(\w+)>", lambda gap: written[gap[1]], _SCHEME)


def _quoted(text: str) -> str:
    """Return text between the quote marks of TOML."""
    return json.dumps(text, ensure_ascii=False)


# --- what checks an answer ---------------------------------------------------------------


def _text(key: str, answer: str) -> str:
    fault = text_fault(key, answer)
    if fault:
        raise FaultsError([fault])
    return answer.strip()


def _one_of(
    key: str, words: tuple[str, ...], answer: str, step: str = "Choose one of these"
) -> str:
    for word in words:
        if answer.strip().lower() == word.lower():
            return word
    raise fault_error(
        key,
        "is not a known choice",
        answer,
        f"It must be one of: {', '.join(words)}",
        step,
    )


def _measured(key: str, measure: Measure, answer: str) -> str:
    value, fault = measure.written(key, answer)
    if fault:
        raise FaultsError([replace(fault, given=answer)])
    return say(value, digits=6).replace("−", "-")


def _whole(key: str, low: int, high: int, answer: str) -> str:
    digits = answer.strip()
    if not (digits.isascii() and digits.isdigit() and len(digits) < 8) or not (
        low <= int(digits) <= high
    ):
        raise fault_error(
            key,
            "is not a number that fits",
            answer,
            f"It must be a whole number from {low} to {high}",
            "Write it in digits",
        )
    return str(int(digits))


# --- the scheme that is written ----------------------------------------------------------

# A line that begins with "#: " is a value left at its usual: take the sign away to
# change it.  The tests hold these values against those that the reader takes.
_SCHEME = """\
# Your scheme of work.  Change what you like, then run: glossbook check scheme.toml
# A quantity is a number and its unit between quote marks: "430 m", "21 °C", "2.5 kg".
# A line that begins with "#: " holds the usual value; take "#: " away to change it.

title = <title>
region = <region>        # whose law on colours and allergens holds
#: keep_data = "400 d"   # how long answers and marks are kept with names

# The modules in the order in which they are taught.  "kitchen" always stays.
#: modules = ["kitchen", "syrup", "glucose", "gelatin", "base", "colour", "pour"]

[school]
name = <school>
#: lecturer = ""
# site = "https://..."     # where the course will stand; letters link to it

[kitchen]
altitude = <altitude>    # decides where water and syrup boil
room = <room>
#: humidity = "55 %"
#: freezer = "-18 °C"
#: storage = "4 °C"      # the fridge in which the glaze rests
#: display = "4 °C"
#: hob = "2 kW"
#: blender = "600 W"
jug = <jug>              # the width of the blending jug, inside
blade = <blade>          # from the floor of the jug to the top of the blender's guard

[stores]
gelatin_grade = <gelatin_held>
# gelatin_bloom = "... bloom"   # what the pack says, where it says it
#: glucose = "confectioner"
#: scale = "1 g"         # the step of the bench scale
#: fine_scale = "0.1 g"  # the step of the small scale

[formula]                # put your own glaze here
#: name = "Glaze"
gelatin_grade = <gelatin_wanted>   # what the formula is written for

[[formula.line]]
ingredient = "water"
mass = "230 g"           # of it 90 g to soak the gelatin
# price = "1.20 EUR"     # of a pack, where you know it
# pack = "1 kg"

[[formula.line]]
ingredient = "sugar"
mass = "280 g"

[[formula.line]]
ingredient = "glucose syrup"
mass = "280 g"

[[formula.line]]
ingredient = "sweetened condensed milk"
mass = "190 g"

[[formula.line]]
ingredient = "white chocolate"
mass = "280 g"

[[formula.line]]
ingredient = <gelatin>
mass = "18 g"

#: [window]              # between these the glaze is poured
#: low = "31 °C"
#: high = "34 °C"

#: [coat]                # weigh your own cakes and put your numbers here
#: mass = "0.22 g/cm²"   # what a frozen cake keeps
#: run_off = "50 %"      # what runs off, of all that is poured
#: spare = "10 %"        # made beyond what is poured

#: [cooling]             # how the glaze is cooled the day before
#: bath = "10 °C"        # at 2 °C or below there is ice in it
#: out = "21 °C"         # of the glaze when it leaves the bath
# tray = "2 cm"          # how deep it lies in the fridge; without it, in its jug

[[cakes]]                # one for each kind: cylinder, ring, dome, log, slab ...
shape = "cylinder"
diameter = "18 cm"
height = "4.5 cm"
count = <cakes>

# For a marble, one for each jug; the shares make 100 %.
# [[colours]]
# name = "ivory"
# share = "100 %"

[group]
students = <students>
stations = <stations>
# practical = 2027-03-23
#: start = "09:00"       # the clock at the first word
# hours = "4 h"          # contact hours of that day
#: assessors = 1         # each sees one pour at a time

#: [equipment]           # of the whole kitchen; what is left out is not counted
# blenders = 2           # and hobs, baths, jugs, trays
#: ice = true            # ice enough for the baths
#: wall = "steel"        # of the jugs: steel, plastic or glass
# fridge = "20 l"        # room for tubs
# freezer = "1 m²"       # shelf for cakes

# [[allergies]]          # of the class: how many, and never who
# allergen = "milk"
# students = 1

[papers.first-paper]
#: title = "First paper"
#: use = "assessed"      # or "practice"
# Their names: glossbook questions.  An outcome is judged by two questions or more, one
# that must be met by three.  Kitchen first comes before hot sugar: leave it in.
outcomes = ["kitchen-hazards", "syrup-strength", "boiling-water-lost", "gelatin-leaf", "gelatin-rule"]
must_pass = ["kitchen-hazards"]
#: recall = 0            # how many questions of each level
carry_out = 6
decide = 6
# opens_on = 2027-03-08
# hand_in_by = 2027-03-15

# A rehearsal in the browser for the whole class, before the practical; never marked.
# [dry_runs.before-the-pour]
# way = "with surprises" # or guided, or free
# surprises = ["frost"]  # left out, two are drawn from the seed
# seed = "spring"        # another one draws other surprises
# hand_in_by = 2027-03-22

#: [pass]
#: share = "50 %"        # of the marks
#: must_pass = []        # outcomes that must be met beside it
#: sittings = "best"     # which counts: best, last, or capped (a resit: a pass at most)

#: [marking]
#: missing_unit = "asked"   # a number without unit loses that mark; or "assumed"
#: other_unit = "accepted"  # 0.5 kg is as good as 500 g; or "asked"
#: unit_alone = false       # a right unit earns its mark beside a wrong number

#: [own]                 # folders of your own, beside this file
#: lessons = ""
#: questions = ""
#: pictures = ""
# earlier_books = ["last-term.db"]   # questions asked in these come last

[local_rules]
contact = <contact>
# link = "https://..."   # where the rules of your kitchen stand
# discard_after = "2 h"  # how long a warm milk glaze is held with you, in all
"""
