"""The lines of a TOML file's keys, held against files whose lines are counted by hand."""

import tomllib

from hypothesis import given, settings
from hypothesis import strategies as st

from exercises.files.toml_lines import lines

FILE = '''\
# a comment with [a.table] and "quotes" in it
title = "A [title] # with signs"
"odd key" = 1

[kitchen]   # a comment
altitude = "430 m"
oven.fan.speed = 3
numbers = [
  1,  # one
  "two, ]",
  { x = 5, y = [6, 7] },
]

[[cakes]]
count = 1
  [cakes.glaze]
  colour = 'a\\'

[[cakes]]
count = 2
text = """
count = "not a key"
a quote at the end""""
after = 1979-05-27

[papers."week one"]
marks = 30
inline = { a = "x", b.c = 2 }
'''


def test_the_file_of_these_tests_is_toml():
    assert tomllib.loads(FILE)["cakes"][1]["count"] == 2


def test_every_kind_of_key_is_found_on_its_line():
    found = lines(FILE)
    assert found[("title",)] == 2
    assert found[("odd key",)] == 3
    assert found[("kitchen",)] == 5
    assert found[("kitchen", "altitude")] == 6
    assert found[("kitchen", "oven", "fan", "speed")] == 7
    assert found[("kitchen", "numbers")] == 8
    assert [found[("kitchen", "numbers", n)] for n in range(3)] == [9, 10, 11]
    assert found[("kitchen", "numbers", 2, "y", 1)] == 11
    assert found[("cakes", 0)] == 14
    assert found[("cakes", 0, "count")] == 15
    assert found[("cakes", 0, "glaze")] == 16
    assert found[("cakes", 0, "glaze", "colour")] == 17
    assert found[("cakes", 1)] == 19
    assert found[("cakes", 1, "count")] == 20
    assert found[("cakes", 1, "text")] == 21
    assert found[("cakes", 1, "after")] == 24
    assert found[("papers", "week one")] == 26
    assert found[("papers", "week one", "marks")] == 27
    assert found[("papers", "week one", "inline", "b", "c")] == 28


def test_a_text_over_several_lines_holds_no_keys():
    assert sum(key[-1] == "count" for key in lines(FILE)) == 2


def test_windows_line_ends_give_the_same_lines():
    assert lines(FILE.replace("\n", "\r\n")) == lines(FILE)


def test_the_last_line_needs_no_end():
    assert lines("a = 1\nb = 2")[("b",)] == 2


@settings(deadline=None, max_examples=50)
@given(st.lists(st.from_regex(r"[a-z]{1,6}", fullmatch=True), unique=True, max_size=8))
def test_a_key_on_each_line_is_found_on_that_line(names):
    text = "".join(f'{name} = "#[{name}"\n' for name in names)
    assert lines(text) == {(name,): n for n, name in enumerate(names, 1)}
