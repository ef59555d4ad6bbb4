"""What a class may hand in at the worst: right, wrong, late, cut, renamed, twice, packed, empty."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Sequence
from typing import Any

from course.demo.demonstration import answers_of, one_part_wrong, weak, without_units
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.parts import DrawnQuantity
from tests.exercises.pile_of_ours import notebook_file

PICTURE = b"\xff\xd8\xff\xe0\x00\x10JFIF" + bytes(range(256)) * 8
LATE = "2027-03-20T21:14:00"  # after the last day of the demo's paper


def file_of(
    sheet: Any,
    answers: dict[str, str],
    *,
    working: dict[str, str] | None = None,
    saved: str = "2027-03-10T18:30:00",
) -> bytes:
    """Return an answer file as the worksheet's page saves it."""
    held = {"glossbook": 1, "token": sheet.token, "answers": answers, "working": working or {}}
    return json.dumps({**held, "saved": saved}, ensure_ascii=False).encode()


def packed(files: dict[str, bytes]) -> bytes:
    """Return an archive of files."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return held.getvalue()


def number_of(sheet: Any, place: int) -> Any:
    """Return a part of the sheet that asks for a number."""
    numbers = [box for box in answer_boxes(sheet.questions) if isinstance(box.part, DrawnQuantity)]
    return numbers[place % len(numbers)]


def damaged_pile(sheets: Sequence[Any]) -> list[tuple[str, bytes]]:
    """Return a damaged pile, name and content, from the sheets of a class.

    Two or three files for each sheet, in ten kinds that follow one another.
    """
    files: list[tuple[str, bytes]] = []
    for n, sheet in enumerate(sheets):
        right, name = answers_of(sheet, {}), f"{sheet.token}.handin.json"
        box = number_of(sheet, n)
        match n % 10:
            case 0:  # right, renamed on its way
                files.append((f"IMG_{2200 + n} (1).json", file_of(sheet, right)))
            case 1:  # wrong, with working beside it
                working = {box.whole_key: "I put my numbers in and slipped with the point"}
                wrong = right | {box.key: box.part.wrong_answer()}
                files.append((name, file_of(sheet, wrong, working=working)))
            case 2:  # an answer that nobody can read by rule
                said = right | {box.key: "somewhere between 12 and 15 g"}
                files.append((name, file_of(sheet, said)))
            case 3:  # cut short, and then whole
                data = file_of(sheet, one_part_wrong(sheet, n))
                files += [(f"cut/{name}", data[: len(data) * 2 // 3]), (name, data)]
            case 4:  # twins: the second is another one
                files += [
                    (name, file_of(sheet, right)),
                    (f"again/{name}", file_of(sheet, weak(sheet))),
                ]
            case 5:  # a zip in a zip, with a picture
                inner = packed({name: file_of(sheet, without_units(sheet)), "cake.jpg": PICTURE})
                files.append((f"student {n}.zip", packed({"inner.zip": inner})))
            case 6:  # cut short, and nothing else
                data = file_of(sheet, right)
                files.append((name, data[: len(data) // 2]))
            case 7:  # a notebook
                files.append((f"sheet {n}.ipynb", notebook_file(sheet.token, weak(sheet))))
            case 8:  # the same file twice, and a picture of it
                data = file_of(sheet, right)
                files += [(name, data), (f"copy of {name}", data), (f"photo {n}.jpg", PICTURE)]
            case 9:  # nothing in it, and later the right one
                late = file_of(sheet, one_part_wrong(sheet, n + 1), saved=LATE)
                files += [(f"empty {n}.json", b""), (name, late)]
    return files
