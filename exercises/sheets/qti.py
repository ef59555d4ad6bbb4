"""A sheet as a QTI 3.0 package, for a school's own platform.

Question and Test Interoperability 3.0 (1EdTech, final release of 1 May 2022): one test, an
item for each question, and a manifest.  Names of elements and their order are those of
the information model.  A package holds the right answers: it is for the platform, and
no student gets it.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as ET

from calculators.units import symbol
from exercises.files.zipped import zipped
from exercises.questions.parts import (
    DrawnChoice,
    DrawnOrder,
    DrawnPart,
    DrawnQuantity,
    DrawnQuestion,
    DrawnTable,
)
from exercises.sheets.sheet import Sheet, exhibit_shown

ASI = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
PACKAGING = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
ASI_SCHEMA = "imsqti_asiv3p0_v1p0.xsd"
PACKAGING_SCHEMA = "imsqtiv3p0_imscpv1p2_v1p0.xsd"
_SCHEMAS = "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/"
NOT_CARRIED = (
    "Marked otherwise there: a unit is given and earns nothing, nothing follows through, "
    "and an order is right or wrong as a whole."
)


@dataclass(frozen=True)
class Package:
    """A package and what it could not carry.

    Parameters
    ----------
    data : bytes
        The archive.
    marks : float
        What the test is worth there: units are given, and earn nothing.
    left_out : tuple of str
        Parts of a type that it has no interaction for, such as ``2b (sketch)``.
    """

    data: bytes
    marks: float
    left_out: tuple[str, ...]


def package(sheet: Sheet) -> Package:
    """Return a sheet as a QTI 3.0 package, with the numbers of this very sheet."""
    files: dict[str, str | bytes] = {}
    items: list[tuple[str, list[str]]] = []
    left: list[str] = []
    marks = 0.0
    for place, question in enumerate(sheet.questions, 1):
        made = _Item(place, question, sheet.words)
        left += made.left_out
        if not made.marks:
            continue
        files |= made.files()
        items.append((made.identifier, [made.href, *made.pictures]))
        marks += made.marks
    files["test.xml"] = _text(_test(sheet, [name for name, _ in items]))
    files["imsmanifest.xml"] = _text(_manifest(sheet, items))
    return Package(zipped(files), marks, tuple(left))


# --- elements ---------------------------------------------------------------------------


def _dashed(attributes: Mapping[str, str]) -> dict[str, str]:
    return {key.replace("_", "-"): value for key, value in attributes.items()}


def _root(name: str, namespace: str, schema: str, **attributes: str) -> ET.Element:
    return ET.Element(
        name,
        {
            "xmlns": namespace,
            "xmlns:xsi": "http://www.w3.org/2001/XMLSchema-instance",
            "xsi:schemaLocation": f"{namespace} {_SCHEMAS}{schema}",
            **_dashed(attributes),
        },
    )


def _add(parent: ET.Element, name: str, text: str = "", **attributes: str) -> ET.Element:
    made = ET.SubElement(parent, name, _dashed(attributes))
    made.text = _NO_XML.sub(" ", text) or None
    return made


# What XML 1.0 has no place for, even escaped.
_NO_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def _text(root: ET.Element) -> str:
    ET.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, "unicode") + "\n"


def _declare(parent: ET.Element, identifier: str, most: float | None = None) -> None:
    more = {} if most is None else {"normal_maximum": f"{most:g}", "normal_minimum": "0"}
    declared = _add(
        parent,
        "qti-outcome-declaration",
        identifier=identifier,
        cardinality="single",
        base_type="float",
        **more,
    )
    _add(_add(declared, "qti-default-value"), "qti-value", "0")


# --- an item ------------------------------------------------------------------------------


class _Item:
    """One question: its declarations, its body, and how it is scored."""

    def __init__(self, place: int, question: DrawnQuestion, words: bool) -> None:
        self.identifier = f"question-{place}"
        self.href = f"items/{self.identifier}.xml"
        self.marks = 0.0
        self.left_out: list[str] = []
        self.pictures: dict[str, bytes] = {}
        self.responses: list[ET.Element] = []
        self.body = ET.Element("qti-item-body")
        self.rules: list[ET.Element] = []
        self.place, self.question = place, question
        self._shows(words)
        for part in question.parts:
            carry = _CARRIED.get(type(part))
            if carry is None:
                self.left_out.append(f"{place}{part.name} ({part.kind})")
            else:
                carry(self, f"{place}{part.name}", part)

    def files(self) -> dict[str, str | bytes]:
        """Return the item and its pictures, by their names in the package."""
        root = _root(
            "qti-assessment-item",
            ASI,
            ASI_SCHEMA,
            identifier=self.identifier,
            title=f"Question {self.place}",
            adaptive="false",
            time_dependent="false",
        )
        root.set("xml:lang", "en-GB")
        root.extend(self.responses)
        _declare(root, "SCORE", self.marks)
        root.append(self.body)
        _add(root, "qti-response-processing").extend(self.rules)
        return {self.href: _text(root), **self.pictures}

    def _shows(self, words: bool) -> None:
        """Put the stem and the exhibit into the body."""
        for line in self.question.stem.split("\n"):
            if line.strip():
                _add(self.body, "p", line)
        exhibit = exhibit_shown(self.question.exhibit, words)
        if exhibit is None:
            return
        _add(_add(self.body, "p"), "strong", exhibit["title"])
        if exhibit["picture"]:
            head, _, coded = exhibit["picture"].partition(",")
            ending = head.removeprefix("data:image/").removesuffix(";base64").removesuffix("+xml")
            name = f"items/{self.identifier}.{ending}"
            self.pictures[name] = base64.b64decode(coded)
            src = name.rpartition("/")[2]
            _add(_add(self.body, "p"), "img", src=src, alt=exhibit["alt"])
        if exhibit["words"]:
            _add(self.body, "p", exhibit["words"])
        if exhibit["rows"]:
            table = _add(self.body, "table")
            row = _add(_add(table, "thead"), "tr")
            for cell in exhibit["head"]:
                _add(row, "th", cell, scope="col")
            rest = _add(table, "tbody")
            for cells in exhibit["rows"]:
                row = _add(rest, "tr")
                for cell in cells:
                    _add(row, "td", cell)

    def _response(
        self, key: str, cardinality: str, base_type: str, right: Sequence[str]
    ) -> tuple[str, ET.Element]:
        name = "RESPONSE-" + key.replace(".", "-")
        declared = ET.Element(
            "qti-response-declaration",
            {"identifier": name, "cardinality": cardinality, "base-type": base_type},
        )
        correct = _add(declared, "qti-correct-response")
        for value in right:
            _add(correct, "qti-value", value)
        self.responses.append(declared)
        return name, declared

    def _scored(self, marks: float, test: ET.Element, won: ET.Element | None = None) -> None:
        """Add marks to the score where a test holds: so many, or what an expression says."""
        self.marks += marks
        condition = ET.Element("qti-response-condition")
        holds = _add(condition, "qti-response-if")
        holds.append(test)
        total = _add(_add(holds, "qti-set-outcome-value", identifier="SCORE"), "qti-sum")
        _add(total, "qti-variable", identifier="SCORE")
        if won is None:
            _add(total, "qti-base-value", f"{marks:g}", base_type="float")
        else:
            total.append(won)
        self.rules.append(condition)

    @staticmethod
    def _is_right(name: str, how: str = "qti-match", **attributes: str) -> ET.Element:
        test = ET.Element(how, _dashed(attributes))
        _add(test, "qti-variable", identifier=name)
        _add(test, "qti-correct", identifier=name)
        return test

    # -- the interactions -----------------------------------------------------------------

    def choice(self, key: str, part: DrawnChoice) -> None:
        """Ask for one option, or for several: a right one earns a share, a wrong one costs it."""
        several = part.several
        cardinality = "multiple" if several else "single"
        name, declared = self._response(key, cardinality, "identifier", list(part.right))
        total = float(part.total)
        if several:
            share = total / len(part.right)
            mapping = _add(
                declared,
                "qti-mapping",
                lower_bound="0",
                upper_bound=f"{total:g}",
                default_value="0",
            )
            for one in part.options:
                worth = share if one.key in part.right else -share
                _add(mapping, "qti-map-entry", map_key=one.key, mapped_value=f"{worth:.6g}")
            answered = ET.Element("qti-not")
            _add(_add(answered, "qti-is-null"), "qti-variable", identifier=name)
            won = ET.Element("qti-map-response", {"identifier": name})
            self._scored(total, answered, won)
        else:
            self._scored(total, self._is_right(name))
        asked = _add(
            self.body,
            "qti-choice-interaction",
            response_identifier=name,
            shuffle="false",
            max_choices="0" if several else "1",
        )
        _add(asked, "qti-prompt", f"{key} {part.prompt}")
        for one in part.options:
            _add(asked, "qti-simple-choice", one.text, identifier=one.key)

    def order(self, key: str, part: DrawnOrder) -> None:
        """Ask for an order of steps; right or wrong as a whole."""
        name, _ = self._response(key, "ordered", "identifier", [f"step-{n}" for n in part.right])
        self._scored(float(part.total), self._is_right(name))
        asked = _add(
            self.body,
            "qti-order-interaction",
            response_identifier=name,
            shuffle="false",
            orientation="vertical",
        )
        _add(asked, "qti-prompt", f"{key} {part.prompt}")
        for n, step in enumerate(part.steps, 1):
            _add(asked, "qti-simple-choice", step, identifier=f"step-{n}")

    def quantity(self, key: str, part: DrawnQuantity) -> None:
        """Ask for a number; its unit stands beside the box."""
        _add(self.body, "p", f"{key} {part.prompt}")
        self._number(key, part)

    def table(self, key: str, part: DrawnTable) -> None:
        """Ask for a number in each row."""
        _add(self.body, "p", f"{key} {part.prompt}")
        for box, row in part.boxes(key):
            if isinstance(row, DrawnQuantity):
                self._number(box, row)

    def _number(self, key: str, part: DrawnQuantity) -> None:
        right = part.as_quantity(part.answer).magnitude
        width = abs(part.as_quantity(part.answer + part.tolerance).magnitude - right)
        name, _ = self._response(key, "single", "float", [f"{right:.10g}"])
        near = self._is_right(
            name, "qti-equal", tolerance_mode="absolute", tolerance=f"{width:.10g}"
        )
        self._scored(float(part.marks.get("value", part.total)), near)
        line = _add(self.body, "p", f"{part.label}: " if part.label else "")
        box = _add(
            line, "qti-text-entry-interaction", response_identifier=name, expected_length="12"
        )
        sign = "leaves" if part.unit == "leaf" else symbol(part.unit)
        box.tail = "" if part.is_plain else f" {sign}"


_CARRIED: dict[type[DrawnPart], Callable[..., None]] = {
    **dict.fromkeys((DrawnChoice, *DrawnChoice.__subclasses__()), _Item.choice),
    DrawnOrder: _Item.order,
    DrawnQuantity: _Item.quantity,
    DrawnTable: _Item.table,
}


# --- the test and the manifest ------------------------------------------------------------


def _test(sheet: Sheet, items: Sequence[str]) -> ET.Element:
    root = _root(
        "qti-assessment-test",
        ASI,
        ASI_SCHEMA,
        identifier=f"sheet-{sheet.token}",
        title=sheet.title,
    )
    root.set("xml:lang", "en-GB")
    _declare(root, "SCORE")
    part = _add(
        root,
        "qti-test-part",
        identifier="part",
        navigation_mode="nonlinear",
        submission_mode="simultaneous",
    )
    section = _add(
        part, "qti-assessment-section", identifier="section", title=sheet.title, visible="true"
    )
    if sheet.cautions:
        told = _add(section, "qti-rubric-block", use="instructions", view="candidate")
        body = _add(told, "qti-content-body")
        for one in sheet.cautions:
            line = _add(body, "p")
            _add(line, "strong", f"{one['hazard']}.").tail = f" {one['do']} {one['who']}"
    for name in items:
        _add(section, "qti-assessment-item-ref", identifier=name, href=f"items/{name}.xml")
    processing = _add(root, "qti-outcome-processing")
    total = _add(_add(processing, "qti-set-outcome-value", identifier="SCORE"), "qti-sum")
    _add(total, "qti-test-variables", variable_identifier="SCORE")
    return root


def _manifest(sheet: Sheet, items: Sequence[tuple[str, Sequence[str]]]) -> ET.Element:
    root = _root("manifest", PACKAGING, PACKAGING_SCHEMA, identifier=f"manifest-{sheet.token}")
    about = _add(root, "metadata")
    _add(about, "schema", "QTI Package")
    _add(about, "schemaversion", "3.0.0")
    _add(root, "organizations")
    resources = _add(root, "resources")
    test = _add(
        resources, "resource", identifier="test", type="imsqti_test_xmlv3p0", href="test.xml"
    )
    _add(test, "file", href="test.xml")
    for name, _ in items:
        _add(test, "dependency", identifierref=name)
    for name, files in items:
        item = _add(
            resources, "resource", identifier=name, type="imsqti_item_xmlv3p0", href=files[0]
        )
        for file in files:
            _add(item, "file", href=file)
    return root
