"""What a person wrote as an answer, read as a person would: and a real doubt stays one."""

from __future__ import annotations

import difflib
import re
import unicodedata
from functools import lru_cache
from typing import NamedTuple

from calculators.faults import FaultsError, fault_error
from calculators.units.reading import BOTH_MARKS, NUMBER, ODD_SIGNS, read_loosely
from calculators.units.registry import q, unit
from calculators.units.unit_names import CURRENCIES, LONGEST_TEXT, WRITTEN, folded_ways

# --- as a person would read it ---------------------------------------------------------


class Answer(NamedTuple):
    """What a person meant by an answer, as far as it can be said.

    Parameters
    ----------
    value : float
        Finite.
    unit_name : str or None
        The registry's name of the unit; None where no unit was written.
    loosely : bool
        Whether it was not plainly a number and a unit, so that it is told how it was read.
    about : bool
        Whether it was called an approximate number.
    spread : float
        What stood behind a ±, and 0 for nothing.
    spread_unit : str or None
        The unit of that, where it is another one.
    thing : str
        What was named beside the number, such as ``"water"``.
    others : tuple of (float, str or None)
        The other ways in which it can be read.
    unsure : bool
        Whether the first way has no better claim than the others.
    """

    value: float
    unit_name: str | None
    loosely: bool = False
    about: bool = False
    spread: float = 0.0
    spread_unit: str | None = None
    thing: str = ""
    others: tuple[tuple[float, str | None], ...] = ()
    unsure: bool = False


_BLANK = frozenset(
    """
    dont know|i dont know|do not know|i do not know|dunno|idk|no idea|not sure|im not sure
    na|n a|pass|skip|no answer|not answered|cant do it|cant do this|blank|no clue|unknown
    dont know how|i dont know how|i have no idea|i dont understand|i forgot|forgot|tbd
    weiss nicht|weiss ich nicht|ich weiss nicht|ich weiss es nicht|keine ahnung|ka|k a
    weis nicht|weiss es nicht|kein plan|keine antwort|je sais pas|je ne sais pas|aucune idee|no se|no lo se|ni idea|non so|non lo so
    nessuna idea|ran out of time|no time|cant remember|i cant remember|didnt do it|didnt do this
    i didnt do it|not done|dont know how to do this|dont know how to do it|keine zeit
    nicht gemacht|pas fait|pas le temps|no hecho|non fatto|non ho tempo
    """.replace("\n", "|")
    .replace("    ", "")
    .split("|")
) - {""}


_DIGIT = re.compile("[0-9]")


@lru_cache(maxsize=256)  # one answer is asked about several times while a sheet is marked
def is_blank(text: str) -> bool:
    """Tell whether somebody wrote nothing, a sign for nothing, or *don't know*.

    >>> [is_blank(text) for text in ("?", "-", "weiß nicht", "0 g")]
    [True, True, True, False]
    """
    if len(text) > LONGEST_TEXT or _DIGIT.search(text):
        return not text.strip()
    plain = unicodedata.normalize("NFKD", text.casefold().replace("ß", "ss"))
    plain = re.sub(r"['’`´]", "", plain)
    words = re.sub(r"[\s?.,!;:()/\\_\-–—−…]+", " ", plain)
    words = "".join(c for c in words if not unicodedata.combining(c)).strip()
    words = re.sub(r" (?:sorry|leider|desole|lo siento)$", "", words)
    return not words or words in _BLANK


@lru_cache(maxsize=256)
def read_answer(text: str, asked: str = "") -> Answer:
    """Read an answer as a fair person would; evaluate nothing, and decide no doubt.

    Parameters
    ----------
    text : str
        At most 64 characters.
    asked : str
        The registry's name of the unit that was asked for: where pounds are money,
        and degrees are of one scale, it says which.

    Returns
    -------
    Answer
        Refused like :func:`read_loosely` where it is not one number: a range, a
        limit, two numbers, a sum that was not worked out.

    >>> read_answer("about 2 h 13 min", "min").value
    133.0
    >>> read_answer("303,4 g Wasser", "g")[:2]
    (303.4, 'g')
    >>> read_answer("1.450 g", "g").others
    ((1450.0, 'g'),)

    *Watch out*: ``others`` holds the readings that were not taken; where ``unsure`` is
    set, none of them comes first, and a person has to choose.
    """
    wanted = _listed(asked)
    try:
        got = read_loosely(text)
        if got.unit_name == "degC" and wanted in CURRENCIES:  # "417 c" is money here
            return _Reader(wanted).line(_plain_line(text)) or Answer(got.value, got.unit_name)
    except FaultsError as error:
        plain = _plain_line(text)
        found = _Reader(wanted).line(plain) if plain else None
        if found is None:
            raise _clearer(error, text) from None
        return found
    others: list[tuple[float, str | None]] = []
    name = got.unit_name
    if _POINT_AND_THREE.match(text):
        others.append((1000 * got.value, name))
    if name is None and wanted in _TIMES and (clock := _POINT_AND_TWO.fullmatch(text)):
        whole = 60.0 * int(clock[1]) + int(clock[2])
        others += [(whole, "min"), (whole, "s")]
    if name in _BY_CONTEXT:
        name, more = _in_context(name, wanted, text)
        others += [(got.value, one) for one in more]
    return Answer(got.value, name, name != got.unit_name, others=tuple(others))


# Where a comma is the decimal mark, 1.250 is 1250 to many.
_POINT_AND_THREE = re.compile(r"\s*[+-]?\s?[1-9][0-9]{0,2}\.[0-9]{3}(?![0-9.,eE])")
# Some write 1.35 for an hour and 35 minutes.
_POINT_AND_TWO = re.compile(r"\s*([0-9]{1,2})[.,]([0-5][0-9])\s*")
_TIMES = ("s", "min", "h", "d")
_BY_CONTEXT = ("degree", "pound", "USD")
_SCALES = ("degC", "percent", "degree_baume")


def _in_context(name: str, wanted: str, written: str) -> tuple[str, tuple[str, ...]]:
    """Return the unit that a word of several meanings has here, and what else it may be."""
    if name == "degree" and wanted in _SCALES:
        return wanted, ("degF",) if wanted == "degC" else ()
    if name == "pound" and wanted == "GBP" and "pound" in written.casefold():
        return "GBP", ()
    if name == "USD" and wanted in ("CAD", "AUD", "NZD"):
        return wanted, ()
    return name, ()


@lru_cache(maxsize=256)
def _listed(asked: str) -> str:
    """Return a unit by the name that the list has for it; empty for a plain number."""
    if asked in ("", "dimensionless"):
        return ""
    names = dict.fromkeys(WRITTEN.values())
    return next((name for name in names if unit(name) == unit(asked)), asked)


def _clearer(error: FaultsError, text: str) -> FaultsError:
    """Return the fault with the reason a person would give."""
    fault = error.faults[0]
    behind = fault.problem.partition("not known: ")[2]
    if re.search(r"(?:^|[^\w/^])-?[0-9]", behind):
        return fault_error(
            "answer",
            "holds more than one number",
            text,
            "",
            'Write the result alone, like "1200 g"',
        )
    return error


# Signs that are one to a reader, and what may stand around an answer.
_ALIKE: dict[int, str] = {
    **dict.fromkeys(map(ord, "−–—‐‑"), "-"),
    **dict.fromkeys(map(ord, "’‘′´"), "'"),
    **dict.fromkeys(map(ord, "“”„″"), '"'),
    **dict.fromkeys(map(ord, "×✕"), "x"),
    **dict.fromkeys(map(ord, "≃∼≅"), "≈"),
    **dict.fromkeys(map(ord, "º˚⁰"), "°"),
    ord("⁄"): "/",
}
_PAIRS = {"(": ")", "[": "]", '"': '"', "'": "'", "*": "*", "`": "`"}


def _plain_line(text: object) -> str:
    """Return a text with one sign of each kind; empty where nobody can vouch for it."""
    if not isinstance(text, str) or len(text) > LONGEST_TEXT:
        return ""
    plain = text.translate(ODD_SIGNS)
    if any(unicodedata.category(c)[0] == "C" for c in plain):
        return ""
    plain = "".join(c for c in plain if c in "°℃℉" or unicodedata.category(c) != "So")
    return _bare(" ".join(plain.translate(_ALIKE).split()))


def _bare(text: str) -> str:
    """Return a text without brackets, quotes and end marks around it."""
    text = re.sub(r"\s*\(\?+\)$", "", text).rstrip(" ?!;,:")
    text = re.sub(r"^\*\*(.+)\*\*$", r"\1", text)
    while len(text) > 2 and _PAIRS.get(text[0]) == text[-1] and text[-1] not in text[1:-1]:
        text = text[1:-1].strip()
    return text


_ABOUT = (
    r"(?:(?:ca|circa|c(?=\.)|about|approx|approximately|roughly|around|etwa|ungefähr|ungefaehr|"
    r"rund|zirka|environ|aprox|aproximadamente|unos|unas)\b\.?|[≈~±]|\+/?-(?=\s?[0-9]))\s*"
)
_ASIDE = (
    r"(?:maybe|perhaps|probably|i think|i guess|vielleicht|wohl|peut-être|quizás?|forse|"
    r"exactly|genau|(?:the |my )?answer is|it is|it's|answer|antwort|ans|result|total|at|so|i g[eo]t|"
    r"i make it|it comes to|(?:you|we|i) need|after|"
    r"(?:it )?(?:takes?|took|costs?|weighs|boils|freezes)|"
    r"there (?:are|is))\b[.:]?\s*|=\s*|[a-p]\)\s*|[0-9]{1,2}[a-f][:)]\s"
)
_BEFORE = re.compile(f"(?P<about>{_ABOUT})|(?:{_ASIDE})", re.IGNORECASE)
_BEHIND = re.compile(
    r"\s*(?:\b(?P<about>ca|circa|approx|approximately|roughly|or so|about|etwa|environ)"
    r"|,?\s*\b(?:i think|i guess|maybe|exactly|above (?:the )?sea(?: level)?|a\.?s\.?l"
    r"|ü\. ?m))\.?$",
    re.IGNORECASE,
)
_BELOW_ZERO = re.compile(
    r"(?P<above>[0-9].*?) ?(?:below|unter|sous|bajo|sotto) (?:zero|0|null|zéro|cero)", re.IGNORECASE
)
_MINUS = re.compile(r"(?:minus|negative|moins|menos|meno)\s(?=[0-9.,])", re.IGNORECASE)
_WORDS = {
    word: number
    for words in (
        "one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
        "fifteen sixteen seventeen eighteen nineteen twenty",
        "eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf",
        "un deux trois quatre cinq six sept huit neuf dix onze douze",
        "uno dos tres cuatro cinco seis siete ocho nueve diez",
        "uno due tre quattro cinque sei sette otto nove dieci undici dodici",
    )
    for number, word in enumerate(words.split(), 1)
}
_SPELT = re.compile(rf"({'|'.join(_WORDS)})\b(?!-)", re.IGNORECASE)
_AN_HOUR = re.compile(r"an? (?=hour|minute)", re.IGNORECASE)
_SHARES = {
    word: parts
    for parts, words in {
        2: "half",
        3: "third thirds drittel tiers",
        4: "quarter quarters fourth fourths viertel quart quarts cuarto quarto",
        5: "fifth fifths",
    }.items()
    for word in words.split()
}
_ORDINALS = frozenset(["third", "fourth", "fifth"])  # a third is a share, third is a place
_SHARE = re.compile(
    r"(?:(?P<many>an?|one|two|three|four|ein|zwei|drei|une?|deux|trois|dos|tres|due|tre) )?"
    rf"(?P<share>{'|'.join(_SHARES)})(?: of)?(?: an?| the)?(?: |$)",
    re.IGNORECASE,
)
_AND_A_HALF = re.compile(r"(?<=[0-9])(?P<hour> hours?)? and a half\b", re.IGNORECASE)

_FRACTION_SIGNS = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_PARTS = (2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 100)  # what a proper fraction may be a part of
_FRACTION = re.compile(
    rf"(?P<minus>-)? ?(?:(?P<whole>[0-9]{{1,4}}) ?)?(?P<sign>[{_FRACTION_SIGNS}])"
    r"|(?:(?P<ones>[0-9]{1,4}) )?(?P<up>[0-9]{1,3}) ?/ ?(?P<down>[0-9]{1,3})(?![0-9.,])"
)
_GROUPS = re.compile(
    r"(?P<sign>[+-]?) ?(?:(?P<whole>[0-9]{1,3}(?:'[0-9]{3})+)(?:[.,](?P<part>[0-9]+))?"
    r"|(?P<dots>[0-9]{1,3}(?:\.[0-9]{3}){2,}|[0-9]{1,3}(?:,[0-9]{3}){2,}))(?![0-9.,'])"
)
_POWER = re.compile(
    r" ?[x·*] ?10(?:(?:\^|\*\*) ?(?P<plain>[+-]?[0-9]{1,2})|(?P<raised>[⁻⁺]?[⁰¹²³⁴-⁹]{1,2}))"
)
_RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+")


class _Number(NamedTuple):
    values: tuple[float, ...]  # more than one where it can be read in several ways
    unsure: bool
    rest: str


def _number_at(text: str) -> _Number | None:
    """Return the number with which a text begins, and what stands behind it."""
    if found := _FRACTION.match(text):
        if found["sign"]:
            value = float(found["whole"] or 0) + unicodedata.numeric(found["sign"])
            value = -value if found["minus"] else value
        else:
            up, down = int(found["up"]), int(found["down"])
            if not 0 < up < down or down not in _PARTS:
                return None
            value = float(found["ones"] or 0) + up / down
        return _Number((value,), False, text[found.end() :].strip())
    if found := _GROUPS.match(text):
        whole = re.sub(r"[.,']", "", found["whole"] or found["dots"])
        value = float(f"{found['sign']}{whole}.{found['part'] or 0}")
        return _Number((value,), False, text[found.end() :].strip())
    if both := re.match(BOTH_MARKS, text):
        text = re.sub(r"[.,]", "", both[0]) + text[both.end() :]
    found = re.match(NUMBER, text)
    if not found:
        return None
    sign, whole, mark, part, power = found.groups()
    value = float(f"{sign}{whole.replace(' ', '')}.{part or 0}e{power or 0}")
    rest = text[found.end() :]
    values: tuple[float, ...] = (value,)
    if raised := _POWER.match(rest):
        power = raised["plain"] or raised["raised"].translate(_RAISED)
        values, rest = (value * 10.0 ** int(power),), rest[raised.end() :]
    elif mark and not power and len(part) == 3 and len(whole) < 4 and whole.lstrip("0"):
        values = (value, 1000 * value)
    rest = re.sub(r"^[.,](?:-+|(?=[^\W\d]))|^[.,]$", "", rest).strip()  # "12,- €", "12.g"
    return _Number(values, len(values) > 1 and mark == ",", rest)


# Amounts in two units, as "2 h 13 min": which smaller ones may follow, and how many
# of them make the larger one.
_SMALLER = {
    "d": {"h": 24, "min": 1440},
    "h": {"min": 60, "s": 3600},
    "min": {"s": 60},
    "kg": {"g": 1000},
    "pound": {"ounce": 16},
    "foot": {"inch": 12},
    "m": {"cm": 100, "mm": 1000},
    "cm": {"mm": 10},
    "l": {"ml": 1000, "cl": 100},
}
# How many digits a second number has that needs no unit, as in "2 h 13".
_UNSAID = {"h": ("min", (1, 2)), "min": ("s", (1, 2)), "kg": ("g", (3,))}
_JOINED = re.compile(
    r"(?P<first>[0-9]{1,4}) ?(?P<unit>[^\W\d]+\.?|['€£$]),?(?: (?:and|und|et|y|e|ed|con|&|\+))? ?"
    r"(?P<next>[0-9]{1,4}(?:[.,][0-9]{1,2})?) ?(?P<small>[^\W\d]+\.?|[\"'])?"
    r"(?: (?P<last>[0-9]{1,2}) ?(?P<least>[^\W\d]+\.?))?"
)
_CLOCK = re.compile(
    r"(?P<first>[0-9]{1,3}):(?P<next>[0-5][0-9])(?P<last>:[0-5][0-9])? ?(?P<unit>[^\W\d]+\.?)?"
)
_HUNDREDTHS = {
    "c": "",
    "ct": "",
    "cent": "",
    "cents": "",
    "p": "GBP",
    "penny": "GBP",
    "pence": "GBP",
    **dict.fromkeys(["centime", "centimes", "céntimo", "céntimos", "centesimo", "centesimi"], ""),
}
# Units that the registry does not have, by one that it has.
_SCALED = {
    "dl": (100.0, "ml"),
    "dm³": (1.0, "l"),
    "dm3": (1.0, "l"),
    "hg": (100.0, "g"),
    "dag": (10.0, "g"),
    "dkg": (10.0, "g"),
    "dm²": (100.0, "cm**2"),
    "dm2": (100.0, "cm**2"),
    "‰": (0.1, "percent"),
}
_RATIOS = frozenset(name for name in WRITTEN.values() if "/" in name)
_COUNTED = frozenset(
    ["x", "piece", "pieces", "pcs", "pc", "stück", "stk", "pièces", "piezas", "pezzi"]
)
# Units that some people write before the number.
_UNIT_FIRST = frozenset(
    (*CURRENCIES, "g", "kg", "percent", "degree_baume", "degC", "leaf", "bloom")
)

# Substances, in the languages of the bench: what is named beside a number must not be
# another one than was asked for.
SUBSTANCES = {
    word: name
    for name, words in {
        "water": "water wasser eau agua acqua h2o",
        "sugar": "sugar sugars sucrose zucker sucre azúcar azucar zucchero saccharose",
        "glucose": "glucose glukose glucosa glucosio",
        "gelatin": "gelatin gelatine gélatine gelatina",
        "milk": "milk milch lait leche latte",
        "cream": "cream sahne crème creme nata panna",
        "fat": "fat fett graisse grasa grasso",
        "solids": "solids trockenmasse",
    }.items()
    for word in words.split()
}
_THINGS = frozenset(
    [
        "glaze",
        "glasur",
        "glaçage",
        "glaseado",
        "glassa",
        "syrup",
        "sirup",
        "sirop",
        "jarabe",
        "sciroppo",
        "base",
        "mass",
        "pan",
        "gold",
        "silver",
        "bronze",
        "platinum",
        "titanium",
        "powder",
        "whole",
        "cake",
        "cakes",
        "reading",
        "temperature",
        "temp",
        "time",
        "weight",
        "density",
        "area",
        "volume",
        "amount",
    ]
)
# Words that turn a remark into something else than a thing's name.
_TURNING = frozenset(
    [
        "not",
        "no",
        "or",
        "and",
        "oder",
        "ou",
        "und",
        "et",
        "less",
        "more",
        "than",
        "minus",
        "plus",
        "per",
        "too",
        "but",
        "nicht",
        "sure",
        "don't",
        "dont",
        "without",
        "instead",
        "to",
        "bis",
        "between",
        "if",
        "nor",
        "neither",
        "either",
        "except",
        "below",
        "above",
        "under",
        "over",
        "pro",
        "je",
        "par",
        "por",
        "each",
        "every",
        "idk",
        "squared",
        "square",
        "sq",
        "cubed",
        "cubic",
        "wrong",
        "false",
        "falsch",
        "incorrect",
        "twice",
        "double",
        "doubled",
        "half",
        "halves",
        "halved",
        "times",
        "pair",
        "pairs",
        "dozen",
        "hundred",
        "thousand",
        "million",
        "dutzend",
        "hundert",
        "tausend",
        "quarter",
        "quarters",
        "third",
        "thirds",
        "tenths",
        "fourth",
        "fourths",
        "fifth",
        "fifths",
        "vol",
        "volumen",
        "unter",
        "über",
        "sous",
        "sotto",
        "bajo",
    ]
)


def _remark(text: str, most: int = 4) -> bool:
    """Tell whether a text is a few plain words that take nothing back."""
    words = text.strip("()").split()
    return 0 < len(words) <= most and all(
        word.casefold() not in _TURNING
        and (all(c.isalpha() or c in "'-." for c in word) or word.casefold() in SUBSTANCES)
        for word in words
    )


def _known_thing(text: str) -> bool:
    return _remark(text, 2) and all(
        word in SUBSTANCES or word in _THINGS for word in text.casefold().split()
    )


class _Reader:
    """Reads one line for a question that asks for one unit."""

    def __init__(self, wanted: str) -> None:
        self.wanted = wanted
        self.timed = wanted in _TIMES

    def line(self, text: str) -> Answer | None:
        """Return what a whole line says, or None."""
        *earlier, text = text.split("=")
        found = self._labelled(text.strip())
        if found is None:
            return None
        for part in earlier:
            part = _bare(part.strip())
            if not part or found is None:
                continue
            if not re.search(r"[0-9]", part):
                found = self._with_label(found, part)
            elif (same := self._labelled(part)) is not None:
                if not _alike(same, found):
                    return None
                found = same if found.unit_name is None else found
        return found

    def _labelled(self, text: str) -> Answer | None:
        """Return what a text says behind a label, ``water: 303 g``."""
        label, colon, rest = text.partition(":")
        if colon and label and not re.search(r"[0-9]", label):
            found = self._about(rest.strip())
            return self._with_label(found, label.strip()) if found else None
        return self._about(text)

    def _with_label(self, found: Answer, label: str) -> Answer | None:
        while before := _BEFORE.match(label + " "):
            label = (label + " ")[before.end() :].strip()
        label = re.sub(r"^[a-zA-Z][(](\w+)[)]$", r"\1", label)  # "m(sugar)"
        if not label:
            return found
        name = self._unit(label) if len(label) > 2 or not label.isalpha() else None
        if name in _UNIT_FIRST:
            if found.unit_name not in (None, name):
                return None
            return found._replace(unit_name=name)
        return found._replace(thing=label) if _remark(label) else None

    def _about(self, text: str) -> Answer | None:
        """Return what a text says, with what stands around it taken away."""
        text = re.sub(r"[(]((?:±|\+/?-) ?[0-9.,]+)[)]", r"\1", text)
        about = either = False
        while before := _BEFORE.match(text):
            about = about or bool(before["about"])
            either = either or before[0][0] in "±+"
            text = text[before.end() :]
        if behind := _BEHIND.search(text):
            about = about or bool(behind["about"])
            text = text[: behind.start()]
        if below := _BELOW_ZERO.fullmatch(text):
            text = f"-{below['above']}"
        text = _bare(_MINUS.sub("-", text, count=1))
        found = self._amount(text) or self._with_words(text)
        if found is None:
            return None
        others = ((-found.value, found.unit_name),) if either else ()
        return found._replace(loosely=True, about=about, others=(*found.others, *others))

    def _with_words(self, text: str) -> Answer | None:
        """Return what a text says whose number is in words."""
        text = _AN_HOUR.sub("1 ", text, count=1) if _AN_HOUR.match(text) else text
        share = _SHARE.match(text)
        word = share["share"].casefold() if share else ""
        if share and (share["many"] or word not in _ORDINALS):
            many = _WORDS.get((share["many"] or "").casefold(), 1)
            found = self._amount(f"{many}/{_SHARES[word]} {text[share.end() :]}".strip())
            plain = found is not None and found.unit_name is None and self.wanted
            return None if plain else found  # half of what?
        if spelt := _SPELT.match(text):
            text = f"{_WORDS[spelt[1].casefold()]}{text[spelt.end() :]}"
        plain = _AND_A_HALF.sub(r" 1/2\g<hour>", text)
        return self._amount(plain) if plain[:1].isdigit() else None

    def _amount(self, text: str) -> Answer | None:
        """Return a number, a unit, and what stands beside them."""
        if compound := self._compound(text):
            return compound
        inside = re.fullmatch(r"(.+?) ?[(\[]([^()\[\]]*)[)\]]", text)
        if inside and self._unit(text[len(inside[1]) :]) is None:
            found = self._amount(inside[1])
            if found is not None and found.unit_name is None and (name := self._meant(inside[2])):
                return found._replace(unit_name=name)
            if found is not None and _remark(inside[2]):
                return found._replace(thing=found.thing or inside[2])
            same = self._amount(inside[2])
            if found is not None and same is not None and _alike(found, same):
                return found
        got = _number_at(text)
        if got is None:
            return self._unit_first(text)
        found = self._behind(got.values[0], got.rest)
        if found is None:
            return None
        more = [(found.value * value / got.values[0], found.unit_name) for value in got.values[1:]]
        return found._replace(others=(*found.others, *more), unsure=found.unsure or got.unsure)

    def _unit_first(self, text: str) -> Answer | None:
        """Return an amount with its unit, or a thing's name, before the number."""
        head = re.match(r"([^0-9+\-.,]+?)\.? ?(?=[+-]?[.,]?[0-9])", text)
        if not head:
            return None
        before, rest = head[1].strip(), text[head.end() :]
        name = self._meant(before)
        if name in _UNIT_FIRST:
            got = _number_at(rest)
            if got is None:
                return None
            if got.rest.startswith("/"):
                name, got = self._meant(name + got.rest), got._replace(rest="")
            if name and (not got.rest or self._unit(got.rest) == name):
                others = tuple((value, name) for value in got.values[1:])
                return Answer(got.values[0], name, others=others, unsure=got.unsure)
            found = self._behind(got.values[0], got.rest)
            if found is None and _remark(got.rest):
                found = Answer(got.values[0], None, thing=got.rest)
            if found and found.unit_name is None and name:
                return found._replace(unit_name=name)
            return None
        if _known_thing(before):
            found = self._amount(rest)
            return found._replace(thing=before) if found else None
        return None

    def _behind(self, value: float, rest: str) -> Answer | None:
        """Return an amount from its number and what stands behind it."""
        if not rest:
            return Answer(value, None)
        spread = re.fullmatch(r"(?P<unit>.*?) ?(?:±|\+/?-) ?(?P<spread>[0-9].*)", rest)
        if spread:
            return self._with_spread(value, spread["unit"], spread["spread"])
        word = rest.rstrip(".").casefold()
        if word in _HUNDREDTHS and self.wanted in CURRENCIES:
            return Answer(value / 100, _HUNDREDTHS[word] or self.wanted)
        if (name := self._unit(rest)) is not None:
            name, more = _in_context(name, self.wanted, rest)
            return Answer(value, name, others=tuple((value, one) for one in more))
        if word in _SCALED:
            factor, name = _SCALED[word]
            return Answer(value * factor, name)
        return self._with_thing(value, rest) or self._misspelt(value, rest)

    def _with_spread(self, value: float, unit: str, spread: str) -> Answer | None:
        wide = _number_at(spread)
        if wide is None or wide.unsure:
            return None
        name = self._unit(unit) if unit else None
        other = self._unit(wide.rest) if wide.rest else name
        if (unit and name is None) or (wide.rest and other is None):
            return None
        return Answer(value, name or other, spread=wide.values[0], spread_unit=other)

    def _with_thing(self, value: float, rest: str) -> Answer | None:
        """Return an amount with a thing's name after the unit, before it, or alone."""
        words = [word.rstrip(",") for word in rest.split()]
        most = 1 if "," in rest else 4  # behind a comma a word, and no sentence
        for count in range(len(words) - 1, 0, -1):
            name, behind = self._meant(" ".join(words[:count])), " ".join(words[count:])
            second = self._meant(behind)
            if name and (second == name or (not second and _remark(behind, most))):
                return Answer(value, name, thing=behind)
            name, before = self._meant(" ".join(words[-count:])), " ".join(words[:-count])
            if name and _known_thing(before):
                return Answer(value, name, thing=before)
        counted = self.wanted == "" and _remark(rest)
        return Answer(value, None, thing=rest) if counted or _known_thing(rest) else None

    def _meant(self, written: str) -> str:
        """Return the unit that is meant here; empty for none."""
        return _in_context(self._unit(written) or "", self.wanted, written)[0]

    def _misspelt(self, value: float, rest: str) -> Answer | None:
        """Return an amount whose unit is the one asked for with a slip of spelling."""
        rest = rest.lstrip("° ")
        if len(rest) < 5 or not rest.isalpha():
            return None
        ways = [way for way, name in folded_ways().items() if name == self.wanted]
        near = difflib.get_close_matches(rest.casefold(), ways, n=1, cutoff=0.8)
        return Answer(value, self.wanted) if near else None

    def _compound(self, text: str) -> Answer | None:
        """Return an amount in two or three units: ``2 h 13 min``, ``2:13 h``."""
        if clock := _CLOCK.fullmatch(text):
            return self._clock(clock)
        joined = _JOINED.fullmatch(text)
        if not joined:
            return None
        first, name = float(joined["first"]), self._larger(joined["unit"])
        if name in CURRENCIES and len(joined["next"]) == 2 and not joined["last"]:
            if (joined["small"] or "c").rstrip(".").casefold() in _HUNDREDTHS:
                return Answer(first + float(joined["next"]) / 100, name)
            return None
        if name not in _SMALLER:
            return None
        small, digits = joined["small"], joined["next"]
        if small:
            less = self._smaller(small, name)
        else:
            less, lengths = _UNSAID.get(name, ("", ()))
            if len(digits) not in lengths:
                return None
        many = _SMALLER[name].get(less)
        second = float(digits.replace(",", "."))
        if many is None or second >= many:
            return None
        value = first * many + second
        if joined["last"]:
            least = self._smaller(joined["least"], less)
            most = _SMALLER.get(less, {}).get(least)
            if most is None or float(joined["last"]) >= most:
                return None
            value, less = value * most + float(joined["last"]), least
        return self._in_wanted(value, less)

    def _in_wanted(self, value: float, name: str) -> Answer:
        """Return an amount in the unit that was asked for, where that is of its family."""
        if name in _SMALLER.get(self.wanted, {}):
            return Answer(value / _SMALLER[self.wanted][name], self.wanted)
        if self.wanted in _SMALLER.get(name, {}):
            return Answer(value * _SMALLER[name][self.wanted], self.wanted)
        return Answer(value, name)

    def _larger(self, word: str) -> str:
        if self.timed and word in ("m", "'"):
            return "min"
        return self._meant(word)

    def _smaller(self, word: str, larger: str) -> str:
        if larger in ("h", "d") and word in ("m", "'"):
            return "min"
        if larger == "min" and word == '"':
            return "s"
        return self._unit(word) or ""

    def _clock(self, found: re.Match[str]) -> Answer | None:
        """Return what ``2:13`` says: hours and minutes, or minutes and seconds."""
        if not self.timed:
            return None
        value = 60 * float(found["first"]) + float(found["next"])
        name = self._unit(found["unit"]) if found["unit"] else None
        if found["last"]:
            whole = 60 * value + float(found["last"][1:])
            return self._in_wanted(whole, "s") if name == "h" or not found["unit"] else None
        if name == "h":
            return self._in_wanted(value, "min")
        if name == "min":
            return self._in_wanted(value, "s")
        if found["unit"]:
            return None
        return Answer(value, "min", others=((value, "s"),), unsure=True)

    def _unit(self, written: str) -> str | None:
        """Return the registry's name of a unit as it is written, or None."""
        word = " ".join(written.split())
        if word in WRITTEN:
            return WRITTEN[word]
        if self.timed and word == "'":
            return "min"
        word = re.sub(r" ?(?:/| (?:per|pro|je|por|par) ) ?", "/", word)
        word = re.sub(r"cubic met(?:re|er)", "m³", word)
        if word in WRITTEN:
            return WRITTEN[word]
        whole, _, each = word.partition("/")
        if each and (ratio := f"{WRITTEN.get(whole)}/{WRITTEN.get(each)}") in _RATIOS:
            return ratio
        folded = word.casefold().rstrip(".")
        if self.wanted == "leaf" and folded in _COUNTED:
            return "leaf"
        return folded_ways().get(folded)


def _alike(one: Answer, other: Answer) -> bool:
    """Tell whether two amounts are the same, but for the rounding of a conversion."""
    first, second = (q(each.value, each.unit_name or "") for each in (one, other))
    pairs = [(one.value, other.value)] if None in (one.unit_name, other.unit_name) else []
    if first.is_compatible_with(second.units):
        pairs.append(tuple(each.to_base_units().magnitude for each in (first, second)))
    return any(abs(a - b) <= 0.002 * max(abs(a), abs(b)) for a, b in pairs)
