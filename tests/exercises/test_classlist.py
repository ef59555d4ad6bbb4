"""Class lists: both forms, odd encodings, and every fault at once with its line."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from calculators.faults import FaultsError
from exercises.sheets.class_list import LARGEST_FILE, read_class

PLAIN = """id,name,extra_time,other_date,print
s01,Ana Brook,,,
s02,"Dijk, Bram van",25 %,,large
s03,Zoë Årø,2 d,2027-03-12,plain
"""
# Header rows of OneRoster 1.2 and 1.1 (1EdTech), users.csv.
ROSTER_12 = (
    "sourcedId,status,dateLastModified,enabledUser,username,userIds,givenName,"
    "familyName,middleName,identifier,email,sms,phone,agentSourcedIds,grades,password,"
    "userMasterIdentifier,preferredGivenName,preferredMiddleName,preferredFamilyName,"
    "primaryOrgSourcedId,pronouns"
)
ROSTER_11 = (
    "sourcedId,status,dateLastModified,enabledUser,orgSourcedIds,role,username,userIds,"
    "givenName,familyName,middleName,identifier,email,sms,phone,agentSourcedIds,grades,"
    "password"
)


def put(tmp_path: Path, text: str | bytes, encoding: str = "utf-8") -> Path:
    path = tmp_path / "class.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
    return path


def faults_of(path: Path) -> list[str]:
    with pytest.raises(FaultsError) as caught:
        read_class(path)
    return [str(fault).replace(str(path), "class.csv") for fault in caught.value.faults]


def test_a_plain_list_is_read_with_its_arrangements(tmp_path):
    found = read_class(put(tmp_path, PLAIN))
    assert [s.id for s in found.students] == ["s01", "s02", "s03"]
    assert found.students[1].name == "Dijk, Bram van"
    assert found.students[1].extra_time == "25 %"
    assert found.students[1].print == "large"
    assert found.students[2].other_date == "2027-03-12"
    assert found.form == "plain list"
    assert found.notes == ()


@pytest.mark.parametrize("mark", [";", "\t"])
def test_other_marks_between_cells_are_read(tmp_path, mark):
    text = f"ID{mark}Name{mark}Large\r\ns1{mark}Ana{mark}yes\r\n"
    (student,) = read_class(put(tmp_path, text)).students
    assert (student.id, student.name, student.print) == ("s1", "Ana", "large")


@pytest.mark.parametrize(
    ("encoding", "said"),
    [
        ("utf-8", ""),
        ("utf-8-sig", ""),
        ("utf-16", "UTF-16"),
        ("utf-16-le", "UTF-16"),
        ("utf-16-be", "UTF-16"),
        ("windows-1252", "Windows-1252"),
    ],
)
def test_an_odd_encoding_is_recognised_and_said(tmp_path, encoding, said):
    found = read_class(put(tmp_path, PLAIN, encoding))
    assert found.students[2].name == "Zoë Årø"
    assert bool(found.notes) == bool(said)
    assert said in "".join(found.notes)


def test_letters_written_in_two_ways_become_one(tmp_path):
    (student,) = read_class(put(tmp_path, "id,name\ns1,Zoe\u0308\n")).students
    assert student.name == "Zoë"


def test_every_fault_of_a_list_is_told_with_its_line(tmp_path):
    text = (
        "id,name,extra_time,other_date,print\n"
        "s01,Ana Brook,,,\n"
        "s01,Ana Brook,,,\n"
        "s02,,,,\n"
        ",Nobody,,,\n"
        "\n"
        "s03,=1+1,,,\n"
        "s04,Dee,much,soon,huge\n"
        "S01,Ada,,,\n"
        "s05,a,b,c,d,e\n"
    )
    told = faults_of(put(tmp_path, text))
    assert [fault.split(": ")[0] for fault in told] == [
        "class.csv:3",
        "class.csv:4",
        "class.csv:5",
        "class.csv:7",
        "class.csv:8, extra_time",
        "class.csv:8, other_date",
        "class.csv:8, print",
        "class.csv:9",
        "class.csv:10",
    ]
    assert "names a student a second time (given: s01). The first time is line 2." in told[0]
    assert "has no name" in told[1]
    assert "has no id" in told[2]
    assert "a spreadsheet would run as a formula (given: =1+1)" in told[3]
    assert 'Write it like "25 %" or "2 d"' in told[4]
    assert "large, plain" in told[6]


def test_extra_minutes_and_pictures_in_words_are_read(tmp_path):
    text = (
        "id,name,extra_time,extra_minutes,words\n"
        "s1,A,2 d,15,yes\ns2,B,,25 %,\ns3,C,,1.5 h,\ns4,D,2 d + 15 min,,no\n"
    )
    found = read_class(put(tmp_path, text)).students
    assert [one.extra_time for one in found] == [
        "2 d + 15 min",
        "25 %",
        "1.5 h",
        "2 d + 15 min",
    ]
    assert [one.print for one in found] == ["words", "", "", ""]
    told = faults_of(put(tmp_path, "id,name,extra_minutes\ns1,A,a quarter\ns2,B,3 kg\ns3,C,-5\n"))
    assert [fault.split(": ")[0] for fault in told] == [
        f"class.csv:{line}, extra_minutes" for line in (2, 3, 4)
    ]
    assert all('Write it like "25 %" or "15 min"' in fault for fault in told)
    (told,) = faults_of(put(tmp_path, "id,name,extra_time\ns1,A,1.500 h\n"))
    assert "two ways" in told
    assert 'Write "1500 h" or "1.5 h"' in told


def test_a_student_is_doubled_even_where_a_line_has_another_fault(tmp_path):
    told = faults_of(put(tmp_path, "id,name\ns1,=1+1\nS1,Ana\ns2,Ben\ns2,\n+4,Di\n"))
    assert [fault.split(": ")[0] for fault in told] == [
        "class.csv:2",
        "class.csv:3",
        "class.csv:5",
        "class.csv:5",
        "class.csv:6",
    ]
    assert "a second time (given: S1). The first time is line 2." in told[1]
    assert "a second time (given: s2). The first time is line 4." in told[3]
    assert "has an id that a spreadsheet" in told[4]


@pytest.mark.parametrize("name", ["=A1", "+1", "-x", "@SUM(A1)", "＝1", '"\'=1"', "-2+3", "＠x"])
def test_text_that_a_spreadsheet_would_run_is_refused(tmp_path, name):
    (told,) = faults_of(put(tmp_path, f"id,name\ns1,{name}\n"))
    assert "formula" in told


def test_missing_and_doubled_columns_are_told_together(tmp_path):
    told = faults_of(put(tmp_path, "name,name,print\nAna,Ana,\n"))
    assert len(told) == 2
    assert "has no column id (given: name, name, print)" in told[0]
    assert "has a column twice (given: name)" in told[1]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (b"", "is empty"),
        (b"\n\n", "is empty"),
        (b"id,name\n", "has a head and no student"),
        (
            b"PK\x03\x04\x00\x01" + bytes(range(256)),
            "is no text file and no OneRoster archive",
        ),
        (b'id,name\ns1,"open\n', "can't be taken apart into cells"),
        (b"a" * (LARGEST_FILE + 1), "is too large"),
    ],
)
def test_what_is_no_class_list_is_refused(tmp_path, text, said):
    assert said in faults_of(put(tmp_path, text))[0]


def test_a_file_that_is_not_there_is_refused(tmp_path):
    assert "can't be read" in faults_of(tmp_path / "none.csv")[0]


def test_invisible_characters_in_a_name_are_refused(tmp_path):
    (told,) = faults_of(put(tmp_path, "id,name\ns1,A\u202ena\n"))
    assert "invisible character in name" in told
    assert "\\u202e" in told


def test_oneroster_1_2_is_read_by_its_header(tmp_path):
    row = ["u-1", "", "", "true", "ana", "", "Ana", "Brook", "", "7001", "a@b.example"]
    row += [""] * 6 + ["Annie", "", "", "", ""]
    text = ROSTER_12 + "\n" + ",".join(row) + "\n"
    found = read_class(put(tmp_path, text))
    (student,) = found.students
    assert found.form == "OneRoster"
    assert (student.id, student.name) == ("u-1", "Annie Brook")
    assert student.about == {
        "identifier": "7001",
        "username": "ana",
        "email": "a@b.example",
    }


_USERS = "sourcedId,status,enabledUser,givenName,familyName\n" + "".join(
    f"u{n},,true,Given{n},Family{n}\n" for n in range(4)
)
_ROLES = "sourcedId,status,userSourcedId,role\n" + "".join(
    f"r{n},,u{n},{'teacher' if n == 3 else 'student'}\n" for n in range(4)
)


def _enrolled(*classes):
    return "sourcedId,status,classSourcedId,userSourcedId,role\n" + "".join(
        f"e{n},,{one},u{n},student\n" for n, one in enumerate(classes)
    )


def _zipped(tmp_path, **files):
    path = tmp_path / "roster.zip"
    with zipfile.ZipFile(path, "w") as made:
        for name, text in {"manifest": "propertyName,value\n", **files}.items():
            made.writestr(f"{name}.csv", text)
    return path


def test_a_oneroster_archive_is_read_and_its_teachers_get_no_sheet(tmp_path):
    found = read_class(_zipped(tmp_path, users=_USERS, roles=_ROLES))
    assert [one.id for one in found.students] == ["u0", "u1", "u2"]
    assert found.notes == ("1 of users.csv left out: no students of this class.",)
    path = _zipped(tmp_path, users=_USERS, roles=_ROLES, enrollments=_enrolled("c1", "c1"))
    assert [one.id for one in read_class(path).students] == ["u0", "u1"]
    found = read_class(_zipped(tmp_path, users=_USERS))
    assert len(found.students) == 4
    assert found.notes == ("Everyone in users.csv counts as a student.",)


def test_the_roles_that_lie_beside_users_csv_are_heeded(tmp_path):
    (tmp_path / "users.csv").write_text(_USERS, encoding="utf-8")
    (tmp_path / "roles.csv").write_text(_ROLES, encoding="utf-8")
    found = read_class(tmp_path / "users.csv")
    assert [one.id for one in found.students] == ["u0", "u1", "u2"]


def test_an_archive_of_several_classes_or_of_no_roster_is_refused(tmp_path):
    path = _zipped(tmp_path, users=_USERS, enrollments=_enrolled("c1", "c2"))
    (told,) = faults_of(path)
    assert "holds more than one class (given: c1, c2)" in told
    (told,) = faults_of(_zipped(tmp_path, other=_USERS))
    assert "holds no users.csv. Save the list from your spreadsheet as CSV" in told
    path = _zipped(tmp_path, users=_USERS.replace("Given1,Family1", ","))
    (told,) = faults_of(path)
    assert "users.csv:3: has no givenName" in told


def test_a_list_that_names_its_mark_between_cells_first_is_read(tmp_path):
    path = put(tmp_path, "sep=;\r\nid;name\r\nA1;Ada\r\nA1;Bo\r\n")
    (told,) = faults_of(path)
    assert ":4: names a student a second time" in told
    path = put(tmp_path, "sep=;\nid;name;E-Mail\nA1;Ada;\n")
    assert read_class(path).notes == ("Columns left unread: E-Mail.",)


def test_oneroster_1_1_leaves_out_teachers_and_who_has_left(tmp_path):
    rows = [
        ["u1", "", "", "true", "o", "student", "a", "", "Ana", "Brook"],
        ["u2", "", "", "true", "o", "teacher", "b", "", "Tea", "Cher"],
        ["u3", "tobedeleted", "", "true", "o", "student", "c", "", "Gone", "By"],
        ["u4", "", "", "false", "o", "student", "d", "", "Off", "Line"],
    ]
    text = "\r\n".join([ROSTER_11, *(",".join(row + [""] * 8) for row in rows)])
    assert [s.id for s in read_class(put(tmp_path, text)).students] == ["u1"]


def test_a_oneroster_row_without_a_name_is_told_with_its_line(tmp_path):
    told = faults_of(put(tmp_path, "sourcedId,givenName,familyName\nu1,,\n,A,B\n"))
    assert [fault.split(":")[1] for fault in told] == ["2", "3"]


def test_columns_that_are_not_known_are_said(tmp_path):
    found = read_class(put(tmp_path, "id,name,shoe size\ns1,Ana,39\n"))
    assert found.notes == ("Columns left unread: shoe size.",)
