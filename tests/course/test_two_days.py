"""A plan that breaks its own rule is not printed: it says where, by how much, and the mend."""

import dataclasses

import pytest

from calculators.cooling import USUAL, Method
from calculators.faults import FaultsError
from calculators.units import q
from course.demo import FOLDER
from course.practical.page import page
from course.practical.planning import plan
from course.practical.two_days import clock_of
from course.scheme.reading import read_scheme


@pytest.fixture(scope="module")
def scheme():
    return read_scheme(FOLDER / "scheme.toml")


@pytest.fixture(scope="module")
def made(scheme):
    return plan(scheme)


def test_the_plan_of_the_demo_keeps_its_rules_on_both_days(made):
    assert made.clocks == clock_of(made)
    for clock in made.clocks:
        assert clock.keeps
        assert clock.held.warm <= q(3, "h")


def test_the_clock_runs_over_the_steps_of_the_plan(made):
    (clock,), (station,) = made.clocks, made.stations
    titles = [step.title.lower() for step in station.steps]
    named = [phase.name for phase in clock.phases if phase.name in titles]
    first, last = titles.index("warm the glaze"), titles.index("pour")
    assert named == titles[first : last + 1]


@pytest.mark.parametrize("region", ["EU", "AU", "US"])
def test_a_jug_left_to_the_fridge_is_refused_with_step_rule_and_mend(scheme, region):
    old = dataclasses.replace(scheme, cooling=USUAL, region=region)
    with pytest.raises(FaultsError) as met:
        plan(old)
    for fault in met.value.faults:
        text = str(fault)
        assert "Stations 1, 2, 3, day before, in the fridge: breaks a rule" in text
        assert "too long" in text
        assert "The rule: " in text
        assert 'Write under [cooling]: bath = "1 °C", out = ' in text


def test_what_the_mend_says_can_be_written_into_a_scheme_and_keeps_the_rules(scheme, tmp_path):
    text = (FOLDER / "scheme.toml").read_text(encoding="utf-8")
    path = tmp_path / "scheme.toml"
    path.write_text(
        text.replace('bath = "1 °C"', 'bath = "1 °C"\ntray = "2 cm"').replace(
            'region = "EU"', 'region = "AU"'
        ),
        encoding="utf-8",
    )
    read = read_scheme(path)
    assert read.cooling == Method(q(1, "degC"), q(5, "degC"), q(2, "cm"))
    assert all(clock.keeps for clock in plan(read).clocks)


@pytest.mark.parametrize(
    ("region", "words"),
    [("AU", "Throw it out"), ("US", "Throw it out"), ("NZ", "Throw it out")],
)
def test_what_is_left_over_depends_on_the_region_and_the_school(scheme, region, words):
    (station,) = plan(dataclasses.replace(scheme, region=region)).stations
    (left,) = [step for step in station.steps if step.title == "What is left over"]
    assert any(line.startswith(words) for line in left.does)


def test_the_page_shows_the_clock_and_that_near_is_not_within(made):
    text = page(made)
    assert text.count("The clock of both days") == len(made.stations)
    assert "stirred in the bath" in text
    assert "Near is not within" in text


def test_a_bath_that_can_not_reach_its_end_is_a_fault_with_its_line(tmp_path):
    text = (FOLDER / "scheme.toml").read_text(encoding="utf-8")
    path = tmp_path / "scheme.toml"
    path.write_text(text.replace('bath = "1 °C"', 'bath = "12 °C"'), encoding="utf-8")
    with pytest.raises(FaultsError, match=r"cooling\.out: is colder than the bath can make it"):
        read_scheme(path)
