"""Each bench card is one A4 page in the print of the browser that is there."""

import dataclasses
import shutil
import subprocess

import pytest

from calculators.units import q
from course.demo import FOLDER
from course.practical.handout import printed
from course.scheme.practical import Allergy, Decisions
from course.scheme.reading import read_scheme

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "chrome"))), None)
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not BROWSER or not shutil.which("pdfinfo"), reason="no browser or pdfinfo"),
]
pytest.importorskip("ortools", reason="the solver is an extra")
DEMO = read_scheme(FOLDER / "scheme.toml")


def big():
    cakes = tuple(
        dataclasses.replace(cake, count=n) for cake, n in zip(DEMO.cakes, (6, 3, 60), strict=True)
    )
    group = dataclasses.replace(DEMO.group, students=30, stations=6, hours=q(6, "h"))
    practical = dataclasses.replace(DEMO.practical, allergies=(Allergy("milk", 2),))
    return dataclasses.replace(DEMO, cakes=cakes, group=group, practical=practical)


def two_rounds():
    practical = dataclasses.replace(DEMO.practical, decisions=Decisions(rounds=2))
    rules = dataclasses.replace(DEMO.local_rules, discard_after=None)
    return dataclasses.replace(DEMO, practical=practical, local_rules=rules)


def pages(path, fragment, folder):
    out = folder / "card.pdf"
    subprocess.run(
        [
            BROWSER,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-pdf-header-footer",
            f"--print-to-pdf={out}",
            f"{path.as_uri()}{fragment}",
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    told = subprocess.run(["pdfinfo", out], check=True, capture_output=True, text=True).stdout
    facts = dict(line.split(":", 1) for line in told.splitlines() if ":" in line)
    assert "A4" in facts["Page size"]
    return int(facts["Pages"])


@pytest.mark.parametrize("scheme", [DEMO, big(), two_rounds()], ids=["demo", "big", "two rounds"])
def test_a_card_alone_is_one_page_of_a4(scheme, tmp_path):
    path = tmp_path / "practical.html"
    path.write_text(printed(scheme)[0], encoding="utf-8")
    assert pages(path, "#bench-1", tmp_path) == 1
    assert pages(path, "#lecturer", tmp_path) == 1


def test_the_whole_handout_has_one_page_for_each_card(tmp_path):
    html = printed(DEMO)[0]
    path = tmp_path / "practical.html"
    path.write_text(html, encoding="utf-8")
    sheets = html.count('<section class="page')
    long = 2  # the risk sheet and the day before may run on to a second page
    assert sheets <= pages(path, "", tmp_path) <= sheets + long
