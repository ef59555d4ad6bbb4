"""Questions that a paper names, written into the file of a scheme: its remarks and order stay."""

from __future__ import annotations

import tomllib

from calculators.faults import fault_error
from course.scheme.declared import ORDER
from exercises.files.toml_edit import TomlEdit

ASK, LEAVE, NEVER = WAYS = "ask", "leave", "never"
_LISTS = {ASK: "include", NEVER: "exclude"}
ALL = "questions"  # the key of a paper that names every one of its questions


def with_question(text: str, paper: str, question: str, way: str) -> str:
    """Return a scheme in which a paper asks a question in any case, or never, or as may be.

    Parameters
    ----------
    text : str
        The file.
    paper : str
        The paper's name in it.
    question : str
        The question's id.
    way : str
        One of :data:`WAYS`.  Where the paper names all its questions, *ask* puts the
        question at their end, and the others take it out.

    Returns
    -------
    str
        The file; everything but the lists of this paper is as it was.

    Raises
    ------
    FaultsError
        Where the file has no such table.
    """
    try:
        table = tomllib.loads(text)["papers"][paper]
    except (tomllib.TOMLDecodeError, KeyError, TypeError):
        raise fault_error(
            "The scheme", "has no table of this paper", f"[papers.{paper}]", "", "Look at the file"
        ) from None
    edit = TomlEdit(text, ORDER)
    for kind, key in ({ASK: ALL} if ALL in table else _LISTS).items():
        path, names = ("papers", paper, key), table.get(key, [])
        if kind == way and question not in names:
            edit.put(path, [*names, question])
        elif kind != way and names == [question]:
            edit.take_out(path)
        elif kind != way and question in names:
            edit.put(path, [name for name in names if name != question])
    return edit.text
