"""A file is changed in its place: what somebody wrote beside it stays."""

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from course.demo import FOLDER
from course.scheme.declared import ORDER, TABLES
from course.scheme.wizard import write
from exercises.files.toml_edit import TomlEdit

DEMO = (FOLDER / "scheme.toml").read_text(encoding="utf-8")


def edited(text, *steps):
    held = TomlEdit(text, ORDER)
    for what, *args in steps:
        getattr(held, what)(*args)
    tomllib.loads(held.text)  # it can still be read
    return held.text


def remarks(text):
    return {line.partition("#")[2].strip() for line in text.splitlines() if "#" in line}


def test_a_value_is_changed_and_all_else_stays():
    new = edited(DEMO, ("put", ("kitchen", "altitude"), "900 m"))
    assert new == DEMO.replace('altitude = "430 m"', 'altitude = "900 m"')


def test_a_new_key_comes_in_the_order_of_the_table():
    text = '[kitchen]\naltitude = "430 m"   # high up\njug = "11 cm"\n\n[stores]\n'
    new = edited(text, ("put", ("kitchen", "room"), "22 °C"))
    assert new == text.replace("# high up\n", '# high up\nroom = "22 °C"\n')
    first = edited("[kitchen]\n", ("put", ("kitchen", "room"), "22 °C"))
    assert first == '[kitchen]\nroom = "22 °C"\n'


def test_a_key_whose_remark_waits_for_it_takes_that_line():
    text = write({})
    assert '#: humidity = "55 %"\n' in text
    new = edited(text, ("put", ("kitchen", "humidity"), "70 %"))
    assert new == text.replace('#: humidity = "55 %"', 'humidity = "70 %"')
    new = edited(text, ("put", ("kitchen", "storage"), "3 °C"))
    assert 'storage = "3 °C"      # the fridge in which the glaze rests\n' in new


def test_a_remark_that_only_looks_like_a_key_is_left_alone():
    text = "[kitchen]\n# room = warm in summer\n"
    new = edited(text, ("put", ("kitchen", "room"), "22 °C"))
    assert "# room = warm in summer\n" in new
    assert tomllib.loads(new)["kitchen"] == {"room": "22 °C"}


def test_a_table_whose_remark_waits_for_it_takes_that_line():
    new = edited(write({}), ("put", ("coat", "mass"), "0.3 g/cm²"))
    assert "\n[coat]                # weigh your own cakes and put your numbers here\n" in new
    assert 'mass = "0.3 g/cm²"   # what a frozen cake keeps\n' in new
    assert '#: run_off = "50 %"' in new
    assert tomllib.loads(new)["coat"] == {"mass": "0.3 g/cm²"}


def test_a_new_table_comes_after_what_stands_before_it():
    new = edited(DEMO, ("put", ("equipment", "hobs"), 2))
    held = tomllib.loads(new)
    assert held["equipment"] == {"hobs": 2}
    assert new.index("[group]") < new.index("[equipment]") < new.index("[papers.")
    assert new.replace("\n[equipment]\nhobs = 2\n", "") == DEMO


def test_what_is_taken_out_leaves_its_remark():
    new = edited(DEMO, ("take_out", ("kitchen", "storage")))
    assert "storage" not in tomllib.loads(new)["kitchen"]
    assert "# storage: the fridge in which the glaze rests overnight\n" in new


def test_a_table_without_keys_goes_and_its_remark_stays():
    text = '[window]   # of ours\nlow = "31 °C"\n\n[coat]\nmass = "0.2 g/cm²"\n'
    new = edited(text, ("take_out", ("window", "low")))
    assert new == '# of ours\n\n[coat]\nmass = "0.2 g/cm²"\n'


def test_one_of_many_goes_and_the_remark_on_the_next_stays():
    new = edited(DEMO, ("drop", ("cakes", 2)))
    assert len(tomllib.loads(new)["cakes"]) == 2
    assert remarks(new) == remarks(DEMO)
    assert "\n\n\n" not in new
    new = edited(DEMO, ("drop", ("colours", 1)))
    assert [one["name"] for one in tomllib.loads(new)["colours"]] == ["ivory", "spinach green"]
    assert remarks(new) == remarks(DEMO)  # what both said is said once more


def test_one_more_of_many_comes_after_the_last():
    new = edited(DEMO, ("add", ("cakes", 3)), ("put", ("cakes", 3, "shape"), "slab"))
    assert tomllib.loads(new)["cakes"][3] == {"shape": "slab"}
    assert new.replace('\n[[cakes]]\nshape = "slab"\n', "") == DEMO


def test_the_first_of_many_comes_where_its_remark_waits():
    text = write({})
    new = edited(text, ("add", ("colours", 0)), ("put", ("colours", 0, "name"), "rose"))
    assert "# For a marble, one for each jug; the shares make 100 %.\n[[colours]]\nname = " in new
    assert tomllib.loads(new)["colours"] == [{"name": "rose"}]


def test_rows_inside_one_of_many_stay_with_it():
    text = '[[allergies]]\nallergen = "milk"\n\n[[allergies]]\nallergen = "eggs"\n'
    new = edited(
        text,
        ("add", ("allergies", 0, "line", 0)),
        ("put", ("allergies", 0, "line", 0, "mass"), "3 g"),
    )
    assert tomllib.loads(new)["allergies"][0] == {"allergen": "milk", "line": [{"mass": "3 g"}]}


def test_a_paper_is_added_and_taken_out_by_its_name():
    new = edited(DEMO, ("put", ("papers", "resit", "carry_out"), 3))
    assert tomllib.loads(new)["papers"]["resit"] == {"carry_out": 3}
    assert new.index("[papers.syrup-practice]") < new.index("[papers.resit]") < new.index("[pass]")
    back = edited(new, ("drop", ("papers", "resit")))
    assert tomllib.loads(back) == tomllib.loads(DEMO)


def test_a_new_key_of_a_paper_comes_in_its_order_too():
    new = edited(DEMO, ("put", ("papers", "syrup-practice", "recall"), 2))
    assert '"boiling-point"]\nrecall = 2\ncarry_out = 4\n' in new


def test_what_is_written_in_line_is_changed_too():
    text = 'kitchen = { altitude = "430 m" }  # up\ncakes = [{ shape = "dome", count = 3 }]\n'
    new = edited(text, ("put", ("kitchen", "room"), "22 °C"), ("put", ("cakes", 0, "count"), 4))
    assert tomllib.loads(new) == {
        "kitchen": {"altitude": "430 m", "room": "22 °C"},
        "cakes": [{"shape": "dome", "count": 4}],
    }
    assert "# up" in new
    out = edited(new, ("take_out", ("kitchen", "altitude")))
    assert tomllib.loads(out)["kitchen"] == {"room": "22 °C"}


@pytest.mark.parametrize("wanted", [["a"], ["a", "b", "c"], ["c", "a"], ["b", "a"], []])
def test_remarks_inside_a_list_are_kept(wanted):
    text = 'outcomes = [\n  "a",  # first\n  "b",  # then\n]\n'
    new = edited(text, ("put", ("outcomes",), wanted))
    assert tomllib.loads(new)["outcomes"] == wanted
    assert all(one in new for one in ("# first", "# then"))


def test_a_long_list_is_written_over_several_lines():
    names = [f"outcome-number-{n}" for n in range(12)]
    new = edited("", ("put", ("must_pass",), names))
    assert tomllib.loads(new)["must_pass"] == names
    assert max(map(len, new.splitlines())) <= 100


SINGLE = [(table.way, key.name) for table in TABLES if not table.many for key in table.keys]
STEPS = st.lists(
    st.tuples(st.sampled_from(SINGLE), st.sampled_from([None, "x", 3, True, ["a", "b"]])),
    max_size=12,
)


@settings(max_examples=60, deadline=None)
@given(steps=STEPS, text=st.sampled_from([DEMO, write({}), ""]))
def test_whatever_is_changed_the_file_says_that_and_no_remark_is_lost(steps, text):
    held, meant = TomlEdit(text, ORDER), tomllib.loads(text)
    for (way, name), value in steps:
        path = (*(way.split(".") if way else ()), name)
        inner = meant
        for step in path[:-1]:
            inner = inner.setdefault(step, {}) if value is not None else inner.get(step, {})
        if value is None:
            held.take_out(path)
            inner.pop(name, None)
            if way and not inner:
                meant.pop(way, None)
        else:
            held.put(path, value)
            inner[name] = value
    assert tomllib.loads(held.text) == meant
    words = {w for line in text.splitlines() for w in line.partition(" # ")[2].split()}
    assert words <= set(held.text.split())
