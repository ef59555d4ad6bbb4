"""Sheets in QTI 3.0: what the standard asks of structure, and what an answer earns."""

from __future__ import annotations

import io
import os
import zipfile
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.building import build
from exercises.questions.parts import DrawnOrder, DrawnQuantity
from exercises.questions.registry import bank
from exercises.sheets.qti import ASI, ASI_SCHEMA, PACKAGING, package
from exercises.sheets.sheet import Sheet
from tests.exercises.marked_class import right
from tests.exercises.sheets_for_tests import TOKEN, a_sheet

# The information model of QTI 3.0 (1EdTech, final release 1 May 2022): the children of
# each element that we write, in their order, and the attributes that it must have.  A
# part of the model, from memory of its tables; the whole of it is the schema, which a
# test further down takes from the cache where somebody has put it there.
FLOW = ("p", "div", "table", "qti-choice-interaction", "qti-order-interaction")
MODEL = {
    "qti-assessment-item": (
        (
            "qti-response-declaration",
            "qti-outcome-declaration",
            "qti-item-body",
            "qti-response-processing",
        ),
        ("identifier", "title", "time-dependent"),
    ),
    "qti-response-declaration": (
        ("qti-correct-response", "qti-mapping"),
        ("identifier", "cardinality", "base-type"),
    ),
    "qti-correct-response": (("qti-value",), ()),
    "qti-mapping": (("qti-map-entry",), ("default-value",)),
    "qti-map-entry": ((), ("map-key", "mapped-value")),
    "qti-outcome-declaration": (("qti-default-value",), ("identifier", "cardinality")),
    "qti-default-value": (("qti-value",), ()),
    "qti-value": ((), ()),
    "qti-choice-interaction": (("qti-prompt", "qti-simple-choice"), ("response-identifier",)),
    "qti-order-interaction": (("qti-prompt", "qti-simple-choice"), ("response-identifier",)),
    "qti-simple-choice": ((), ("identifier",)),
    "qti-prompt": ((), ()),
    "qti-text-entry-interaction": ((), ("response-identifier",)),
    "qti-response-condition": (("qti-response-if",), ()),
    "qti-assessment-test": (
        ("qti-outcome-declaration", "qti-test-part", "qti-outcome-processing"),
        ("identifier", "title"),
    ),
    "qti-test-part": (
        ("qti-assessment-section",),
        ("identifier", "navigation-mode", "submission-mode"),
    ),
    "qti-assessment-section": (
        ("qti-rubric-block", "qti-assessment-item-ref"),
        ("identifier", "title", "visible"),
    ),
    "qti-rubric-block": (("qti-content-body",), ("view",)),
    "qti-assessment-item-ref": ((), ("identifier", "href")),
    "qti-set-outcome-value": (None, ("identifier",)),
    "manifest": (("metadata", "organizations", "resources"), ("identifier",)),
    "metadata": (("schema", "schemaversion"), ()),
    "resources": (("resource",), ()),
    "resource": (("file", "dependency"), ("identifier", "type")),
}
# One expression for each operator, and how many operands it has.
OPERANDS = {
    "qti-match": 2,
    "qti-equal": 2,
    "qti-not": 1,
    "qti-is-null": 1,
    "qti-variable": 0,
    "qti-correct": 0,
    "qti-base-value": 0,
    "qti-map-response": 0,
}


def local(element):
    return element.tag.rpartition("}")[2]


def opened(made):
    with zipfile.ZipFile(io.BytesIO(made.data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def pages(made):
    return {n: ET.fromstring(data) for n, data in opened(made).items() if n.endswith(".xml")}


@pytest.fixture(scope="module")
def made():
    return package(a_sheet())


@pytest.fixture(scope="module")
def whole_bank():
    """Return packages with every question of the bank that needs no kitchen's values."""
    from course.scheme.reading import read_scheme

    scheme = read_scheme(Path(__file__).parents[2] / "course" / "demo" / "scheme.toml")
    kitchen = scheme.kitchen_values()
    drawn = [build(card, "qti", kitchen) for card in bank().values()]
    return [
        package(Sheet(TOKEN, "Ada", "All of it", drawn[n : n + 40]))
        for n in range(0, len(drawn), 40)
    ]


# --- structure --------------------------------------------------------------------------


def check(element):
    name = local(element)
    if name in MODEL:
        children, needed = MODEL[name]
        assert not [key for key in needed if key not in element.attrib], name
        if children is not None:
            places = [children.index(local(child)) for child in element]
            assert places == sorted(places), name
    if name == "qti-sum":
        assert len(element) >= 1
    if name in OPERANDS:
        assert len(element) == OPERANDS[name], name
    if name == "qti-item-body":
        assert {local(child) for child in element} <= set(FLOW)
        assert not (element.text or "").strip()
    for child in element:
        check(child)


def test_every_file_has_the_elements_and_the_order_of_the_standard(made, whole_bank):
    for one in (made, *whole_bank):
        for name, root in pages(one).items():
            space = PACKAGING if name == "imsmanifest.xml" else ASI
            assert root.tag.startswith("{" + space + "}")
            check(root)


def test_identifiers_are_names_of_xml_and_no_two_of_an_item_are_the_same(whole_bank):
    for one in whole_bank:
        for root in pages(one).values():
            for element in root.iter():
                for key in ("identifier", "response-identifier"):
                    text = element.get(key, "a")
                    assert text[0].isalpha() or text[0] == "_"
                    assert " " not in text
            declared = [e.get("identifier") for e in root if "declaration" in e.tag]
            assert len(declared) == len(set(declared))
            used = {e.get("response-identifier") for e in root.iter()} - {None}
            assert used <= set(declared)


def test_the_manifest_names_every_file_and_each_is_there(made, whole_bank):
    for one in (made, *whole_bank):
        held = opened(one)
        root = ET.fromstring(held["imsmanifest.xml"])
        files = [e.get("href") for e in root.iter() if local(e) == "file"]
        assert sorted(files) == sorted(set(held) - {"imsmanifest.xml"})
        about = {local(e): e.text for e in root.iter() if e.text}
        assert (about["schema"], about["schemaversion"]) == ("QTI Package", "3.0.0")
        ids = {e.get("identifier") for e in root.iter() if local(e) == "resource"}
        assert {e.get("identifierref") for e in root.iter() if local(e) == "dependency"} < ids


def test_the_test_refers_to_each_item_once(made):
    root = pages(made)["test.xml"]
    refs = [e.get("href") for e in root.iter() if local(e) == "qti-assessment-item-ref"]
    assert sorted(refs) == sorted(n for n in opened(made) if n.startswith("items/") and "xml" in n)


def test_the_published_schema_finds_no_fault_where_it_is_in_the_cache(whole_bank):
    cache = os.environ.get("GLOSSBOOK_CACHE") or str(Path.home() / ".cache" / "glossbook")
    schema = Path(cache) / "qti" / ASI_SCHEMA
    if not schema.exists():
        pytest.skip(f"the published schema is not in the cache: {schema}")
    xmlschema = pytest.importorskip("xmlschema")
    checks = xmlschema.XMLSchema11(str(schema))
    for one in whole_bank:
        for name, data in opened(one).items():
            if name.endswith(".xml") and name != "imsmanifest.xml":
                checks.validate(io.BytesIO(data))


# --- what a package says and what an answer earns ---------------------------------------------


def score(root, given):
    """Return what a platform makes of answers, by the rules of the standard."""
    declared = {e.get("identifier"): e for e in root if "response-declaration" in e.tag}
    held = {"SCORE": 0.0, **dict.fromkeys(declared), **given}

    def correct(name):
        values = [e.text for e in declared[name].iter() if local(e) == "qti-value"]
        kind = declared[name].get("cardinality")
        return {"single": lambda: values[0], "ordered": lambda: values}.get(kind, lambda: values)()

    def value(e):
        match local(e), [c for c in e]:
            case "qti-variable", _:
                return held[e.get("identifier")]
            case "qti-correct", _:
                return correct(e.get("identifier"))
            case "qti-base-value", _:
                return float(e.text)
            case "qti-is-null", [one]:
                return value(one) is None
            case "qti-not", [one]:
                return not value(one)
            case "qti-match", [one, two]:
                return value(one) == value(two)
            case "qti-equal", [one, two]:
                got = value(one)
                if got is None:
                    return False
                return abs(float(got) - float(value(two))) <= float(e.get("tolerance"))
            case "qti-sum", terms:
                return sum(value(one) for one in terms)
            case "qti-map-response", _:
                mapping = next(c for c in declared[e.get("identifier")] if "mapping" in c.tag)
                worth = {c.get("map-key"): float(c.get("mapped-value")) for c in mapping}
                won = sum(worth.get(k, 0.0) for k in held[e.get("identifier")])
                low, high = float(mapping.get("lower-bound")), float(mapping.get("upper-bound"))
                return min(high, max(low, won))
        raise AssertionError(e.tag)

    for rule in next(e for e in root if "response-processing" in e.tag):
        test, *then = rule[0]
        if value(test):
            for one in then:
                held[one.get("identifier")] = value(one[0])
    return held["SCORE"]


def answers(item, wrong=False):
    """Return what somebody answers who knows the key, or gets all of it wrong."""
    out = {}
    for e in item:
        if "response-declaration" not in e.tag:
            continue
        values = [c.text for c in e.iter() if local(c) == "qti-value"]
        if e.get("base-type") == "float":
            out[e.get("identifier")] = str(float(values[0]) * 9 + 77) if wrong else values[0]
        elif e.get("cardinality") == "single":
            out[e.get("identifier")] = "none" if wrong else values[0]
        else:
            out[e.get("identifier")] = values[::-1] if wrong and len(values) > 1 else values
            if wrong and e.get("cardinality") == "multiple":
                out[e.get("identifier")] = []
    return out


def test_right_answers_earn_all_marks_and_no_answer_earns_none(made, whole_bank):
    for one in (made, *whole_bank):
        total = 0.0
        for name, root in pages(one).items():
            if name.startswith("items/"):
                most = next(
                    float(e.get("normal-maximum")) for e in root if "outcome-declaration" in e.tag
                )
                assert score(root, answers(root)) == pytest.approx(most, abs=1e-4)
                assert score(root, {}) == 0
                assert score(root, answers(root, wrong=True)) == 0
                total += most
        assert total == pytest.approx(one.marks)


def test_the_answers_are_those_of_the_sheet_with_their_units_beside_the_box():
    sheet = a_sheet()
    items = pages(package(sheet))
    for key in answer_boxes(sheet.questions):
        item = items[f"items/question-{key.place}.xml"]
        name = "RESPONSE-" + key.key.replace(".", "-")
        (declared,) = [e for e in item if e.get("identifier") == name]
        values = [e.text for e in declared.iter() if local(e) == "qti-value"]
        if isinstance(key.part, DrawnQuantity):
            shown, _, unit = right(key).partition(" ")
            assert float(values[0]) == pytest.approx(float(shown), rel=1e-6)
            (box,) = [e for e in item.iter() if e.get("response-identifier") == name]
            assert box.tail.strip() == unit
        elif isinstance(key.part, DrawnOrder):
            assert values == [f"step-{n}" for n in key.part.right]
        else:
            assert values == list(key.part.right)


def test_a_number_is_right_within_the_tolerance_of_the_sheet_and_not_beyond():
    sheet = a_sheet()
    items = pages(package(sheet))
    (key,) = [k for k in answer_boxes(sheet.questions) if k.key == "1a"]
    item = items["items/question-1.xml"]
    centre = key.part.as_quantity(key.part.answer).magnitude
    width = key.part.as_quantity(key.part.answer + key.part.tolerance).magnitude - centre
    marks = key.part.marks["value"]
    assert score(item, {"RESPONSE-1a": str(centre + 0.99 * width)}) == marks
    assert score(item, {"RESPONSE-1a": str(centre + 1.01 * width)}) == 0


def test_several_choices_cost_what_they_would_cost_on_the_sheet():
    sheet = a_sheet()
    item = pages(package(sheet))["items/question-2.xml"]
    part = next(k.part for k in answer_boxes(sheet.questions) if k.key == "2b")
    wrong = next(one.key for one in part.options if one.key not in part.right)
    name = "RESPONSE-2b"
    assert score(item, {name: [*part.right, wrong]}) == pytest.approx(
        part.total * (len(part.right) - 1) / len(part.right)
    )
    assert score(item, {name: [wrong]}) == 0


def test_what_it_has_no_interaction_for_is_left_out_by_name():
    from dataclasses import replace

    from exercises.questions.parts.part import DrawnPart

    class Sketch(DrawnPart):
        kind = "sketch"

        def earned(self, text, box, sheet):
            raise NotImplementedError

        right_answer = wrong_answer = solution = lambda self: ""
        public = lambda self, place, name_units: None  # noqa: E731

    sheet = a_sheet()
    first = sheet.questions[0]
    strange = replace(first, parts=(*first.parts, Sketch(name="c")))
    whole = package(replace(sheet, questions=[strange, *sheet.questions[1:]]))
    assert whole.left_out == ("1c (sketch)",)
    assert whole.marks == package(sheet).marks
    alone = package(replace(sheet, questions=[replace(first, parts=(Sketch(name="a"),))]))
    assert alone.left_out == ("1a (sketch)",)
    assert [n for n in opened(alone) if n.startswith("items/")] == []


def test_cautions_come_with_the_test_and_a_student_name_does_not():
    sheet = a_sheet()
    held = b"".join(opened(package(sheet)).values()).decode("utf-8", "ignore")
    assert sheet.cautions
    for one in sheet.cautions:
        assert one["hazard"] in held
    assert sheet.student not in held


def test_the_same_sheet_gives_the_same_bytes():
    assert package(a_sheet()).data == package(a_sheet()).data
