"""A scheme file, checked: every fault at once, each with its line."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from calculators import coating, gelatin, safety
from calculators.cooling.clock import USUAL, Method
from calculators.faults import FaultsError
from calculators.ingredients import ingredient, ingredients
from calculators.kitchen import Cake, Line
from calculators.units import CURRENCIES, Measure, Quantity, read, say
from course.scheme.declared import (
    BLOOM,
    CAKES,
    COATING,
    COLOURS,
    COOLING,
    FORMULA,
    KITCHEN,
    LEVEL_KEYS,
    LINE,
    LOCAL_RULES,
    MARKING,
    OWN,
    PAPERS,
    PASS,
    POWDER,
    SCHOOL,
    STORES,
    TERM,
    TOP,
    WINDOW,
    colourants,
    shapes,
)
from course.scheme.dry_runs import read_dry_runs
from course.scheme.model import (
    ALWAYS,
    MODULES,
    Bench,
    Coat,
    Colour,
    Glaze,
    LocalRules,
    Marking,
    Paper,
    PassRule,
    PouringWindow,
    Scheme,
    School,
    Stores,
    TermPlan,
)
from course.scheme.own_ingredients import OwnIngredient, density_of, pack_of, read_own
from course.scheme.practical import read_group, read_practical
from course.scheme.tables import rows_of, whole
from exercises.files.toml_file import LONGEST_LINE_OF_TEXT as LONGEST_NAME
from exercises.files.toml_file import TomlFile, TomlTable, text_fault
from exercises.files.toml_keys import Text, Words
from exercises.questions.outcomes import outcomes
from exercises.reports.signposts import ADDRESS

LAW_NOT_HERE = (
    "Choose the one whose law you go by (the UK is GB, or NI in Northern Ireland; a "
    "country of the European Union that is not listed is EU); for any other, choose "
    "elsewhere: then all is to be asked, and no foreign law is told as yours"
)


LEAF_LINE, POWDER_LINE = "gelatin leaf", "gelatin powder"  # in a formula


def _grades() -> dict[str, tuple[float, float, float]]:
    """Return the bloom of each grade of leaf: lowest, usual, highest; and of powder."""
    leaves = {
        grade.name: (grade.bloom.low.m, grade.bloom.typical.m, grade.bloom.high.m)
        for grade in gelatin.GRADES.values()
    }
    return {**leaves, POWDER: (BLOOM.low or 0.0, 200.0, BLOOM.high or 0.0)}


# --- checking it -------------------------------------------------------------------------


class Checked:
    """A whole scheme under check: each part reads one table of the file."""

    def __init__(self, file: TomlFile) -> None:
        self.file, self.path, self.data = file, file.path, file.data
        self.fault = file.fault
        self.own: dict[str, OwnIngredient] = {}

    def scheme(self) -> Scheme:
        """Check every part, tell all faults at once, or return the scheme."""
        top = self.file.top
        self.currency = TOP["currency"].read(top)
        own = top.table("own", needed=False)
        parts: dict[str, Any] = {
            "title": TOP["title"].read(top),
            "region": self._region(top),
            "modules": self._modules(top),
            "keep_data": TOP["keep_data"].read(top),
            "school": self._school(top.table("school")),
            "own_ingredients": self._own_ingredients(top, own),
            "kitchen": whole(Bench, KITCHEN, top.table("kitchen")),
            "stores": self._stores(top.table("stores")),
            "formula": self._glaze(top.table("formula")),
            "window": self._window(top.table("window", needed=False)),
            "coat": whole(Coat, COATING, top.table("coat", needed=False)),
            "cooling": self._cooling(top.table("cooling", needed=False)),
            "term": self._term(top.table("term", needed=False)) if "term" in top.data else None,
            "cakes": self._cakes(top),
            "group": read_group(top.table("group")),
            "marking": whole(Marking, MARKING, top.table("marking", needed=False)),
            "local_rules": self._local(top.table("local_rules", needed=False)),
        }
        parts["colours"] = self._colours(top)
        parts["practical"] = read_practical(top, parts["group"], self._lines)
        parts["papers"] = self._papers(top, parts["modules"])
        parts["dry_runs"] = read_dry_runs(top, self._lines)
        parts["pass_rule"] = self._pass_rule(top.table("pass", needed=False), parts["papers"])
        parts["lessons_folder"] = self._folder(own, "lessons")
        parts["questions_folder"] = self._folder(own, "questions")
        parts["pictures_folder"] = self._folder(own, "pictures")
        parts["earlier_books"] = self._books(own)
        own.done()
        top.done()
        self.file.tell()
        return Scheme(**parts, currency=self.currency, directory=self.path.resolve().parent)

    # -- the parts -------------------------------------------------------------------

    def _own_ingredients(self, top: TomlTable, own: TomlTable) -> tuple[OwnIngredient, ...]:
        """Read the labels, and the file of labels that stands under [own]."""
        name = OWN["ingredients"].read(own)
        made = read_own(top, name if own.sound("ingredients") else "", self._price)
        self.own = {one.label.name: one for one in made}
        return made

    def _region(self, top: TomlTable) -> str:
        region = top.data.get("region")
        if isinstance(region, str) and region.upper() not in map(str.upper, safety.regions()):
            top.known.add("region")
            top.fault(
                "region",
                "is not a region whose law is in the table",
                region,
                f"It must be one of: {', '.join(safety.regions())}",
                LAW_NOT_HERE,
            )
            return ""
        return str(TOP["region"].read(top))

    def _modules(self, top: TomlTable) -> tuple[str, ...]:
        chosen = TOP["modules"].read(top)
        if chosen and ALWAYS not in chosen and top.sound("modules"):
            self.fault(
                ("modules",),
                "leaves out Kitchen first",
                ", ".join(chosen),
                "Kitchen first is part of every course",
                f'Add "{ALWAYS}" to the list',
            )
        elif chosen and chosen[0] != ALWAYS and ALWAYS in chosen:
            self.fault(
                ("modules",),
                "does not begin with Kitchen first",
                ", ".join(chosen),
                "Nobody goes to the bench before it",
                f'Put "{ALWAYS}" first',
            )
        return chosen

    def _school(self, table: TomlTable) -> School:
        held = SCHOOL.read(table, "site")
        school = School(**held, site=self._address(table, SCHOOL["site"]))
        table.done()
        return school

    def _stores(self, table: TomlTable) -> Stores:
        grade, bloom = self._gelatin(table)
        stores = Stores(
            grade,
            bloom,
            STORES["glucose"].read(table),
            STORES["scale"].read(table),
            STORES["fine_scale"].read(table),
            self._more_gelatins(table),
            table.word("own_glucose", self._own_syrups(), ""),
        )
        table.done()
        return stores

    def _own_syrups(self) -> tuple[str, ...]:
        names = (n for n, one in self.own.items() if one.label.kind == "glucose syrup")
        return tuple(names) or ("a glucose syrup under [[own_ingredients]]",)

    def _more_gelatins(self, table: TomlTable) -> tuple[tuple[str, Quantity], ...]:
        """Read the other gelatins on the shelf, each with its grade and bloom."""
        made = []
        for row in rows_of(table, "more_gelatins", "there is no other gelatin"):
            made.append(self._gelatin(row))
            row.done()
        return tuple(made)

    def _gelatin(self, table: TomlTable) -> tuple[str, Quantity]:
        """Read a grade and its bloom; the bloom must be one that the grade may have."""
        grade = STORES["gelatin_grade"].read(table)
        low, typical, high = _grades()[grade or POWDER]
        key = dataclasses.replace(STORES["gelatin_bloom"], default=f"{typical:g} bloom")
        bloom = key.read(table)
        if grade and bloom is not None and not low <= bloom.m <= high:
            table.fault(
                "gelatin_bloom",
                f"is not what {grade} gelatin is sold at",
                say(bloom),
                f"For {grade} it must be from {low:g} to {high:g} bloom",
                "Read the bloom on the pack, or change gelatin_grade",
            )
        return grade, bloom

    def _glaze(self, table: TomlTable) -> Glaze:
        name = FORMULA["name"].read(table)
        grade, bloom = self._gelatin(table)
        made = self._lines(table)
        table.done()
        return Glaze(name, made, grade, bloom)

    def _lines(self, table: TomlTable) -> tuple[Line, ...]:
        """Read the lines of a glaze, each with its price and pack."""
        made = []
        for row in table.tables("line", "the glaze has no ingredients"):
            name = self._ingredient(row)
            line = Line(
                name,
                LINE["mass"].read(row),
                self._price(row),
                pack_of(row, density_of(name) if name else None),
            )
            own = self.own.get(name)
            if own is not None and line.pack is None and line.price is None:
                line = dataclasses.replace(line, price=own.price, pack=own.pack)
            if line.price is not None and line.pack is None and row.sound("pack"):
                row.fault(
                    "price",
                    "has no pack beside it",
                    row.data["price"],
                    "A price is the price of a pack",
                    'Add the pack, like pack = "1 kg"',
                )
            row.done()
            made.append(line)
        return tuple(made)

    def _ingredient(self, row: TomlTable) -> str:
        """Read an ingredient by any of its names; return the name of the table."""
        written = row.text("ingredient")
        if not written:
            return ""
        try:
            known = ingredient(written)
        except FaultsError as error:
            if not self._labelled(written):  # where the label is at fault, that is told
                first = error.faults[0]
                row.fault("ingredient", first.problem, written, "", first.next_step)
            return ""
        if known.name not in self.own and known.name not in ingredients():
            row.fault(  # on the shelf of another scheme
                "ingredient",
                "is not in the ingredient table",
                written,
                "",
                "Write its label under [[own_ingredients]]",
            )
            return ""
        self._lawful(row, "ingredient", known.colourant)
        return known.name

    def _labelled(self, name: str) -> bool:
        """Tell whether a label of the scheme has this name, right or not."""
        rows = self.data.get("own_ingredients")
        held = [row for row in rows if isinstance(row, dict)] if isinstance(rows, list) else []
        return name.strip().casefold() in [str(row.get("name")).strip().casefold() for row in held]

    def _lawful(self, row: TomlTable, key: str, colourant: str) -> None:
        """Refuse a colourant that may not go into food in the scheme's region."""
        region = self.data.get("region")
        if not colourant or region not in safety.regions():
            return
        permission = safety.allowed(colourant, region)
        if permission.answer == "no":
            row.fault(
                key,
                f"may not go into food in {safety.REGIONS[region]}",
                colourant,
                str(permission.notes[0]),
                "Take it out; the course teaches a route without it",
            )

    def _price(self, row: TomlTable) -> Quantity | None:
        """Read a price; the first one decides the currency where none is given."""
        if "price" not in row.data:
            row.known.add("price")
            return None
        written = str(row.data["price"])
        named = re.search(r"\b[A-Z]{3}\b", written)
        if named and named[0] not in CURRENCIES:
            row.known.add("price")
            row.fault(
                "price",
                "is in a currency that is not in the table",
                written,
                "It must be one of: " + ", ".join(CURRENCIES),
                "Leave the prices out, or write all of them in one of these",
            )
            return None
        if not self.currency:
            try:
                unit_name = str(read(written).units)
            except FaultsError:
                unit_name = ""
            self.currency = unit_name if unit_name in CURRENCIES else ""
        return row.quantity("price", Measure(self.currency or "EUR", 0, 1e6), None)

    def _window(self, table: TomlTable) -> PouringWindow:
        low, high = WINDOW.read(table).values()
        if low is not None and high is not None and not low.m < high.m:
            table.fault(
                "high",
                "is not above the low end of the pouring window",
                say(high),
                f"The low end is {say(low)}",
                "Swap the two, or mend one",
            )
        table.done()
        return PouringWindow(low, high)

    def _cooling(self, table: TomlTable) -> Method:
        """Read how the glaze is cooled; one that its bath never reaches is refused."""
        bath, out, tray = COOLING.read(table).values()
        if bath is None or out is None:
            table.done()
            return USUAL
        way = Method(bath, out, tray)
        if out.m < way.coldest.m:
            table.fault(
                "out",
                "is colder than the bath can make it",
                say(out),
                f"In a bath at {say(bath)} it must be at least {say(way.coldest)}",
                "Take it out warmer, or give the bath ice: 1 °C",
            )
        table.done()
        return way

    def _term(self, table: TomlTable) -> TermPlan | None:
        """Read the weeks over which the lessons are laid."""
        begins, weeks, class_time, reading = TERM.read(table).values()
        if begins is None and table.sound("begins"):
            table.fault("begins", "is not given", "", "", "Write it like begins = 2027-01-11")
        table.done()
        if begins is None or weeks is None or class_time is None:
            return None
        return TermPlan(begins, weeks, class_time, reading)

    def _cakes(self, top: TomlTable) -> tuple[Cake, ...]:
        cakes = []
        for row in top.tables("cakes", "there is no cake to glaze"):
            sizes = {}
            if "area" in row.data:
                shape = CAKES["shape"].read(row)
                sizes["area"] = CAKES["area"].read(row)
            else:
                shape = row.word("shape", tuple(shapes()))
                for name in shapes().get(shape, ()):
                    sizes[name] = row.quantity(name, CAKES[name].measure)
            count = CAKES["count"].read(row)
            if shape == "ring" and len(sizes) > 1 and None not in sizes.values():
                self._ring(row, sizes)
            elif sizes and None not in sizes.values():
                self._fits(row, shape, sizes)
            row.done(quiet=not shape)
            cakes.append(Cake(shape, sizes, count))
        return tuple(cakes)

    def _fits(self, row: TomlTable, shape: str, sizes: dict[str, Quantity]) -> None:
        """Tell sizes that don't go together at the line of the first."""
        try:
            coating.shape(shape, sizes)
        except FaultsError as error:
            for fault in error.faults:
                row.fault(
                    fault.where.rpartition(", ")[2],
                    fault.problem,
                    fault.given,
                    fault.limit,
                    fault.next_step,
                )

    def _ring(self, row: TomlTable, sizes: dict[str, Quantity]) -> None:
        wide, hole = (sizes[name] for name in shapes()["ring"][:2])
        if hole >= wide:
            row.fault(
                shapes()["ring"][1],
                "is not smaller than the ring itself",
                say(hole),
                f"The ring is {say(wide)} wide",
                "Swap the two, or mend one",
            )

    def _colours(self, top: TomlTable) -> tuple[Colour, ...]:
        made: list[Colour] = []
        for row in rows_of(top, "colours", "there is no colour"):
            jug = Colour(**COLOURS.read(row))
            self._lawful(row, "colourant", jug.colourant)
            if jug.kind != jug.colourant and jug.kind in colourants():  # as the law names it
                self._lawful(row, "kind", jug.kind)
                jug = dataclasses.replace(jug, colourant=jug.colourant or jug.kind)
            if jug.name and jug.name in {other.name for other in made}:
                row.fault(
                    "name",
                    "is the name of another jug too",
                    jug.name,
                    "Each jug has a name of its own",
                    "Call one of them something else",
                )
            row.done()
            made.append(jug)
        shares = [jug.share.m for jug in made if jug.share is not None]
        if made and len(shares) == len(made) and abs(sum(shares) - 100) > 0.01:
            self.fault(
                ("colours",),
                "have shares that do not make up the whole",
                f"{sum(shares):g} %",
                "Together they must be 100 %",
                "Mend the shares",
            )
        return tuple(made)

    def _papers(self, top: TomlTable, modules: Iterable[str]) -> dict[str, Paper]:
        papers = top.table("papers", needed=False)
        taught = {lesson for name in modules for lesson in MODULES[name]}
        made = {}
        for name in papers.data:
            plan = papers.table(name)
            if plan.sound():
                made[name] = self._paper(name, plan, taught)
        papers.done()
        return made

    def _paper(self, name: str, table: TomlTable, taught: set[str]) -> Paper:
        table.names_a_file("paper")
        asked = self._outcomes(table, PAPERS["outcomes"])
        for place, outcome in enumerate(table.listed("outcomes")):
            if outcome in asked and outcomes()[outcome].lesson not in taught:
                lesson = outcomes()[outcome].lesson
                module = next(m for m, held in MODULES.items() if lesson in held)
                self.fault(
                    (*table.path, "outcomes", place),
                    "belongs to a module left out",
                    outcome,
                    f"It is taught in the module {module}",
                    f'Add "{module}" to modules, or take the outcome out',
                )
        levels = {level: PAPERS[key].read(table) for level, key in LEVEL_KEYS.items()}
        names = ", ".join(LEVEL_KEYS.values())
        include, exclude, only = (
            PAPERS[key].read(table) for key in ("include", "exclude", "questions")
        )
        sound = all(map(table.sound, LEVEL_KEYS.values()))
        if only and sum(levels.values()) and sound:
            table.fault(
                "questions",
                "names all questions, and the paper counts levels as well",
                len(only),
                "The two can't both hold",
                f"Take out {names}, or use include for the questions that must come",
            )
        if not sum(levels.values()) and sound and not only and not include:
            self.fault(
                table.path,
                "asks no question",
                "0",
                "A paper has at least one",
                f"Say how many of each level: {names}",
            )
        opens, closes = PAPERS["opens_on"].read(table), PAPERS["hand_in_by"].read(table)
        if opens and closes and closes <= opens:
            table.fault(
                "hand_in_by",
                "is not after the day on which the paper opens",
                closes,
                f"It opens on {opens}",
                "Give a later day",
            )
        must = self._outcomes(table, PAPERS["must_pass"])
        for place, outcome in enumerate(table.listed("must_pass")):
            if outcome in must and outcome not in asked:
                self.fault(
                    (*table.path, "must_pass", place),
                    "is not asked in this paper",
                    outcome,
                    "",
                    "Add it to the outcomes of the paper too",
                )
        plan = Paper(
            name,
            PAPERS["title"].read(table) or name.replace("-", " ").capitalize(),
            PAPERS["use"].read(table),
            asked,
            levels,
            PAPERS["marks"].read(table),
            opens,
            closes,
            must,
            include,
            exclude,
            only,
            PAPERS["sittings"].read(table),
        )
        table.done()
        return plan

    def _outcomes(self, table: TomlTable, key: Words) -> tuple[str, ...]:
        """Read ids of outcomes; one that no sheet can prove is refused."""
        ids = key.read(table)
        for place, outcome in enumerate(table.listed(key.name)):
            if outcome in ids and outcomes()[outcome].evidence == "do":
                self.fault(
                    (*table.path, key.name, place),
                    "is one that no sheet can prove",
                    outcome,
                    "It is shown with the hands, at the bench",
                    "Take it out here, and watch for it in the practical",
                )
        return ids

    def _pass_rule(self, table: TomlTable, papers: Mapping[str, Paper]) -> PassRule:
        rule = PassRule(
            PASS["share"].read(table),
            self._outcomes(table, PASS["must_pass"]),
            PASS["sittings"].read(table),
        )
        asked = {o for p in papers.values() if p.use == "assessed" for o in p.outcomes}
        for place, outcome in enumerate(table.listed("must_pass")):
            if outcome in rule.must_pass and outcome not in asked:
                self.fault(
                    (*table.path, "must_pass", place),
                    "is asked in no assessed paper",
                    outcome,
                    "Nobody could pass",
                    "Add it to the outcomes of a paper",
                )
        table.done()
        return rule

    def _local(self, table: TomlTable) -> LocalRules:
        link = self._address(table, LOCAL_RULES["link"], " and give a contact")
        rules = LocalRules(link, **LOCAL_RULES.read(table, "link"))
        table.done()
        return rules

    def _address(self, table: TomlTable, key: Text, instead: str = "") -> str:
        address = key.read(table)
        if address and not ADDRESS.fullmatch(address):
            table.fault(
                key.name,
                "is not the address of a page",
                address,
                "It begins with https:// or http:// and has no blanks",
                f"Copy it from the browser, or leave it out{instead}",
            )
        return address

    def _folder(self, table: TomlTable, key: str) -> Path | None:
        name = OWN[key].read(table)
        if not name or not table.sound(key):
            return None
        folder = self.path.parent / name
        if not folder.is_dir():
            table.fault(
                key,
                "is not a folder beside the scheme",
                name,
                "",
                "Make the folder, or mend its name",
            )
        elif not folder.resolve().is_relative_to(self.path.resolve().parent):
            table.fault(
                key,
                "is outside the scheme's folder",
                name,
                "What is in it is run or shown as yours",
                "Put the folder beside the scheme",
            )
        return folder.resolve()

    def _books(self, table: TomlTable) -> tuple[Path, ...]:
        """Read the mark books of earlier terms; one that is not there is a fault."""
        books = []
        for place, name in enumerate(OWN["earlier_books"].read(table)):
            at = (*table.path, "earlier_books", place)
            wrong = text_fault("", name, LONGEST_NAME)
            if wrong:
                self.fault(at, wrong.problem, wrong.given, wrong.limit, wrong.next_step)
                continue
            book = self.path.parent / name
            if not book.is_file():
                self.fault(
                    at,
                    "is not a file beside the scheme",
                    name,
                    "",
                    "Mend its name, or leave it out",
                )
            books.append(book.resolve())
        return tuple(books)
