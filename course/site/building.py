"""The course as a site."""

from __future__ import annotations

import hashlib
import io
import json
import re
import shutil
import tomllib
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field, replace
from functools import cache, partial
from pathlib import Path
from time import perf_counter
from typing import Any

from click import unstyle
from markupsafe import escape

from calculators.faults import Fault, FaultsError
from calculators.safety import LAST_WORD
from calculators.sources import bibliography, standing
from course.dry_run import DOC, TITLE
from course.dry_run.page import MY_BENCH, dry_run_page
from course.lessons.modules import modules
from course.live import forms, runtime
from course.live.answers import Answers, practice_question
from course.making import blocks, lessons, running, steps
from course.making.lessons import Lesson
from course.making.steps import Setting, as_prose
from course.scheme.observing import observed_content
from course.site import contents, fonts, reference, sets
from course.site.for_class import FOLDER as FOR_CLASS
from course.site.for_class import write_for_class
from course.site.weeks import weeks_of
from exercises import look
from exercises.craft import own_pictures, plates
from exercises.files.replacing import holds_others, only_a_folder
from exercises.observing.sheet import own_page
from exercises.questions.outcomes import outcomes

COURSE = Path(__file__).parents[1]
LOOKUPS = [
    ("stand", "Where I stand"),
    *sets.TITLES.items(),
    (DOC, TITLE),
    ("glossary", "Words"),
    (forms.SOLUTIONS, "Worked solutions"),
    ("reference", "What each calculator answers"),
    ("sources", "Sources"),
]
EDITIONS = ("student", "lecturer")
Tell = Callable[[str], None]


@dataclass
class Built:
    """What a build made.

    Parameters
    ----------
    site : Path
        The folder; ``index.html`` in it is the first page.
    run, kept : list of str
        Lessons that were run now, and lessons taken from an earlier run.
    without : list of str
        Outcomes that went with the modules left out.
    notes : list of str
        What the lecturer should know.
    seconds : float
        How long it took.
    """

    site: Path
    run: list[str] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    without: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    seconds: float = 0.0


@cache
def glossary() -> dict[str, dict[str, str]]:
    """Return the words of the course with French term and meaning."""
    return tomllib.loads((COURSE / "lessons" / "glossary.toml").read_text(encoding="utf-8"))


def build(
    scheme: Any,
    out: Path,
    *,
    edition: str = "student",
    tell: Tell = lambda line: None,
    jobs: int | None = None,
    cache: Path | None = None,
    live: bool = True,
) -> Built:
    """Build the course site of a scheme of work.

    Parameters
    ----------
    scheme : Scheme
        The scheme of work, read and checked.
    out : Path
        The folder of the site; what an earlier build left in it is replaced.
    edition : str
        ``student``, or ``lecturer`` with the lecturer's notes.
    tell : function of a line
        Is told what is going on.
    jobs : int, optional
        How many lessons run at the same time; by default one a core.
    cache : Path, optional
        Where runs are kept; by default the user's cache folder.
    live : bool
        Whether calculators and practice answer in the reader's browser.

    Raises
    ------
    FaultsError
        If the folder holds what no build put there, if a lesson stops, or if the
        site would not be whole; what was in the folder stays.
    """
    start = perf_counter()
    _only_a_site(out)
    if faults := scheme.glaze_faults():
        raise FaultsError(faults)
    own_pictures.load(scheme.pictures_folder)
    built = Built(out)
    chosen = lessons.lessons_of(scheme.modules, scheme.lessons_folder)
    _practice_is_there(chosen)
    if scheme.term:
        weeks_of(scheme.term, chosen)  # its fault is told before anything runs
    kitchen = blocks.kitchen_cell(scheme)
    store = cache or running.cache_folder()
    executed = {}
    with ThreadPoolExecutor(max_workers=2) as aside:
        faces = aside.submit(fonts.fonts, store / "fonts")
        fetched = aside.submit(runtime.runtime, store / "live") if live else None
        for ran in running.run_all(chosen, kitchen, folder=store, jobs=jobs):
            (built.run if ran.fresh else built.kept).append(ran.lesson.slug)
            tell(f"{'ran' if ran.fresh else 'kept'}  {ran.lesson.title}")
            executed[ran.lesson.slug] = ran.notebook
    if fetched is None:
        built.notes.append("Without live parts, as asked: panels and practice stand there worked.")
    elif isinstance(fault := fetched.exception(), FaultsError):
        live = False
        built.notes.append(str(fault))
    else:
        fetched.result()
    name = hashlib.sha256(f"{out.resolve()}\x1f{edition}".encode()).hexdigest()[:16]
    work = store / "books" / name
    back = sets.Sets(chosen, Answers(blocks.setting_of(scheme)), live)
    source, shown, panels = write_pages(scheme, chosen, executed, edition, work, back)
    pack = None
    if live:
        titles = {lesson.slug: lesson.title for lesson in chosen}
        setting = blocks.setting_of(scheme) | {"titles": titles}
        pack = runtime.pack(store / "live", shown, setting, panels)
        if isinstance(pack.started, str):
            built.notes.append(
                "The browser's Python is not started beforehand, "
                f"since {pack.started}: the first answer takes about a second longer."
            )
        else:
            tell(f"packed the browser's Python with its memory: {pack.started.room}")
            built.notes += [f"No answer at build time: {one}" for one in pack.started.silent]
    if faces.result() is None:
        built.notes.append(
            "The two typefaces could not be fetched from npm: the system's own stand in."
        )
    tell("making the pages")
    _run_sphinx(scheme, chosen, source, work, edition, pack, faces.result(), back)
    put_plates(work / "html" / "_static" / "plates")
    _put_again(work / "html" / "_static", *back.again)
    if edition == "lecturer":
        write_for_class(work / "html", chosen, scheme.term)
    _publish(work / "html", out, pack)
    taught = {lesson.slug for lesson in chosen}
    built.without = [o.wording for o in outcomes().values() if o.lesson not in taught]
    built.seconds = perf_counter() - start
    return built


def put_plates(folder: Path, only: Sequence[str] = ()) -> None:
    """Copy the plates that a site may show; those kept for assessed sheets stay at home."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    for one in (plates.plate(p.id) for p in plates.plates()):
        for width in plates.WIDTHS:
            chosen = one.use == "shown" and (not only or one.id in only)
            if chosen and one.file(width).exists():
                shutil.copyfile(one.file(width), folder / one.file(width).name)


def _put_again(folder: Path, name: str, data: bytes) -> None:
    """Write the questions that can be asked again; those of an earlier build go."""
    for old in folder.glob("again-*.js"):
        old.unlink()
    (folder / name).write_bytes(data)


# --- the pages Sphinx reads ------------------------------------------------------


def write_pages(
    scheme: Any,
    chosen: Sequence[Lesson],
    executed: dict[str, Any],
    edition: str,
    work: Path,
    back: sets.Sets | None,
) -> tuple[Path, set[str], list[tuple[str, dict[str, str]]]]:
    """Write notebooks and pages, and tell which practice questions and panels they show.

    Pages that a template fills are those of what comes back: without it there are none.
    A file that has not changed keeps its time.
    """
    source = work / "source"
    live = back is not None and back.live
    answers = back.answers if back else Answers(blocks.setting_of(scheme))
    titles = {lesson.slug: lesson.title for lesson in chosen}
    pages: dict[str, str] = {
        "index.md": f"# {as_prose(scheme.title)}\n",  # the rest is a template
        "glossary.md": _glossary_page(),
        "sources.md": _sources_page(),
        **{f"{doc}.md": page for doc, page in reference.reference_pages().items()},
        f"{DOC}.md": dry_run_page(live=live, runs=scheme.dry_runs.values()),
        f"extra/{MY_BENCH}": own_page(observed_content(scheme)),
    }
    if back:
        filled = {doc: page["title"] for doc, page in back.pages.items()}
        for doc, title in {"stand": "Where I stand", **filled}.items():
            pages[f"{doc}.md"] = f"# {title}\n"
    looked_up = [
        name.removesuffix(".md") for name in pages if name.endswith(".md") and name != "index.md"
    ]
    shown: set[str] = set()
    panels: list[tuple[str, dict[str, str]]] = []

    solved: dict[str, tuple[str, list[str]]] = {}

    def practice(question: str, form: str) -> str:
        shown.add(question)
        if form == "site":
            solved[setting.lesson.slug][1].append(question)
        return blocks.practice(answers, question, form, live=live)

    def panel(name: str, body: str, form: str) -> str:
        if form == "site":
            panels.append((name, forms.first_values(answers, name, body)))
        return blocks.panel(answers, name, body, form, live=live)

    def by_hand(question: str, body: str, form: str) -> str:
        shown.add(question)
        return blocks.by_hand(answers, question, body, form, live=live)

    for lesson in chosen:
        solved[lesson.slug] = (lesson.title, [])
        setting = Setting(
            lesson,
            titles,
            all_titles(),
            edition,
            scheme.local_rules,
            glossary(),
            practice,
            panel,
            by_hand,
            partial(blocks.short_run, answers, live=live),
        )
        ran = executed[lesson.slug]
        site = steps.render(ran, steps.SITE, setting)
        plain = steps.render(ran, steps.DOWNLOAD, setting)
        pages[f"lessons/{lesson.slug}.ipynb"] = _json(site)
        pages[f"extra/notebooks/{lesson.slug}.ipynb"] = _json(plain)
    pages[f"{forms.SOLUTIONS}.md"] = forms.solutions_page(answers, solved)
    pages["_toc.yml"] = _toc(chosen, [*looked_up, forms.SOLUTIONS])
    for path in [p for p in source.rglob("*") if p.is_file()]:
        if path.relative_to(source).as_posix() not in pages:
            path.unlink()
    for name, text in pages.items():
        path = source / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if not path.exists() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8")
    return source, shown, panels


def _practice_is_there(chosen: Iterable[Lesson]) -> None:
    """Tell, before anything runs, where a lesson asks what practice may not show."""
    faults: list[Fault] = []
    for lesson in chosen:
        for block in lessons.BLOCK.finditer(lesson.text):
            if block["name"] != "practice":
                continue
            line = lesson.text.count("\n", 0, block.start()) + 1
            try:
                practice_question(block["words"].strip())
            except FaultsError as error:
                where = f"{lesson.path.name}:{line}"
                faults += [replace(one, where=f"{where}, {one.where}") for one in error.faults]
    if faults:
        raise FaultsError(faults)


def _json(notebook: Any) -> str:
    return json.dumps(notebook, ensure_ascii=False, indent=1) + "\n"


@cache
def all_titles() -> dict[str, str]:
    """Return the titles of every lesson of the core route, taught or not."""
    return {lesson.slug: lesson.title for lesson in lessons.lessons_of(list(modules()))}


def _glossary_page() -> str:
    lines = ["# Words\n", "```{glossary}\n:sorted:\n"]
    for term, row in glossary().items():
        french = f" In French {{french}}`{row['french']}`." if row.get("french") else ""
        lines.append(f"{term}\n  {row['meaning']}{french}\n")
    return "\n".join([*lines, "```\n"])


def _sources_page() -> str:
    told = [f"{count} are *{provenance}*" for provenance, count in standing().items()]
    lines = [
        "# Sources\n",
        "Every number of this course is one of three: *published*, with its source; "
        "*common practice*, a habit or a fact of the trade without one: a dose, a tub as it is "
        "sold, what a bench lets pass; or *from memory*, which is said beside it and comes with "
        "a band. A number that is worked out from published ones counts as published, and says "
        f"from which. Of the rows of its tables {told[0]}, {told[1]} and {told[2]}. Here is what lessons, calculators and marking rest on.\n",
    ]
    for work in sorted(bibliography().values(), key=lambda s: s.short.casefold()):
        lines.append(f"(source-{work.key})=\n\n{work.full}\n")
    return "\n".join(lines)


def _toc(chosen: Sequence[Lesson], more: Iterable[str]) -> str:
    docs = [*(f"lessons/{one.slug}" for one in chosen), *more]
    chapters = [f"  - file: {doc}" for doc in docs]
    return "\n".join(["format: jb-book", "root: index", "chapters:", *chapters, ""])


# --- Sphinx -------------------------------------------------------------------------

_DROPPED = {
    "sphinx_thebe",
    "sphinx_comments",
    "sphinx_book_theme",
    "sphinx_togglebutton",
    "sphinx_copybutton",
    "sphinx_design",
    "sphinx.ext.intersphinx",
    "jupyter_book",
    "sphinx_jupyterbook_latex",
}


def _settings(
    scheme: Any,
    chosen: Sequence[Lesson],
    source: Path,
    edition: str,
    pack: runtime.Pack | None,
    faces: Path | None,
    back: sets.Sets,
) -> dict[str, Any]:
    """Return Jupyter Book's configuration with ours laid over it."""
    from jupyter_book.config import get_final_config

    settings, _ = get_final_config(
        user_yaml={
            "title": scheme.title,
            "author": scheme.school.name,
            "only_build_toc_files": True,
            "execute": {"execute_notebooks": "off"},
        },
        cli_config={"latex_individualpages": False},
        sourcedir=source,
        raise_on_invalid=True,
        use_external_toc=True,
    )
    kept = [e for e in settings["extensions"] if e not in _DROPPED]
    settings = {
        key: value
        for key, value in settings.items()
        if not key.startswith(("comments_", "thebe", "intersphinx", "bibtex", "use_"))
        and key not in ("html_theme_options", "html_logo", "html_favicon", "copyright")
    }
    plate = contents.title_plate()
    settings |= {
        "extensions": [*kept, "course.site.sphinx_ext"],
        "project": scheme.title,
        "html_title": scheme.title,
        "html_theme": "glossbook",
        "html_theme_path": [str(COURSE / "site" / "theme")],
        "html_theme_options": {},
        "html_static_path": [
            str(look.TOKENS),
            *([str(faces)] if faces else []),
            *([str(plate["file"])] if plate else []),
        ],
        "html_css_files": ["tokens.css", *(["fonts.css"] if faces else [])],
        "html_js_files": [],
        "html_sidebars": {},
        "html_use_index": False,
        "html_copy_source": False,
        "html_show_sourcelink": False,
        "html_extra_path": ["extra"],
        "html_math_renderer": "mathml",
        "html_baseurl": "",
        "html_context": {
            "course": {
                **escaped(contents.course(scheme, chosen, back)),
                "title": escape(scheme.title),
                "school": escape(scheme.school.name),
                "lookups": [
                    one for one in LOOKUPS if one[0] not in sets.TITLES or one[0] in back.pages
                ],
                "again": f"_static/{back.again[0]}",
                "plate": escaped(plate),
                "lecturer": edition == "lecturer",
                "term": scheme.term is not None,
                "live": pack
                and {
                    "script": f"_static/live/{pack.digest}/live.js",
                    "ways": escape(json.dumps(pack.ways)),
                },
                "last_word": LAST_WORD,
                "made_for": f"Made for {escape(scheme.school.name)} with Glossbook."
                + (" Lecturer's edition." if edition == "lecturer" else ""),
            }
        },
        "external_toc_path": str(source / "_toc.yml"),
        "exclude_patterns": ["extra", "_toc.yml"],
        "nb_execution_mode": "off",
        "nb_mime_priority_overrides": [("html", "text/html", 0)],
        "myst_enable_extensions": [
            "colon_fence",
            "deflist",
            "dollarmath",
            "attrs_inline",
        ],
        "myst_heading_anchors": 0,
        "suppress_warnings": [],
        "language": "en",
        "smartquotes": False,
    }
    return settings


def escaped(thing: Any) -> Any:
    """Return text of a structure so that it may stand in a page as it is."""
    if isinstance(thing, dict):
        return {key: escaped(value) for key, value in thing.items()}
    if isinstance(thing, list | tuple):
        return [escaped(one) for one in thing]
    return escape(thing) if isinstance(thing, str) else thing


def _run_sphinx(
    scheme: Any,
    chosen: Sequence[Lesson],
    source: Path,
    work: Path,
    edition: str,
    pack: runtime.Pack | None,
    faces: Path | None,
    back: sets.Sets,
) -> None:
    from sphinx.application import Sphinx
    from sphinx.util.docutils import docutils_namespace, patch_docutils

    said, warned = io.StringIO(), io.StringIO()
    with redirect_stdout(said), redirect_stderr(warned):
        settings = _settings(scheme, chosen, source, edition, pack, faces, back)
        with patch_docutils(None), docutils_namespace():
            app = Sphinx(
                source,
                None,
                work / "html",
                work / "doctrees",
                "html",
                settings,
                status=said,
                warning=warned,
                freshenv=False,
                warningiserror=False,
                keep_going=True,
            )
            app.build()
    warnings = [
        line
        for line in unstyle(warned.getvalue()).splitlines()
        if "WARNING" in line or "ERROR" in line
    ]
    if warnings or app.statuscode:
        shutil.rmtree(work / "doctrees", ignore_errors=True)
        raise FaultsError(_fault(line, source) for line in warnings or ["the site was not built"])


def _in_lesson(where: str, source: Path) -> str:
    """Return a place in a page of ours, ``lessons/pour.ipynb:60004``, as one in its lesson.

    The reader of notebooks counts 10,000 lines a cell; each cell knows where it began.
    Where a block was written out before the place, the line is at the end of its cell.
    """
    found = re.fullmatch(r"lessons/(.+)\.ipynb:([0-9]+)", where)
    if not found:
        return where
    cells = json.loads((source / f"lessons/{found[1]}.ipynb").read_text("utf-8"))["cells"]
    place, within = divmod(int(found[2]), 10_000)
    begins = [cell["metadata"].get("line", 1) for cell in cells]
    if not 0 < place <= len(begins):
        return f"{found[1]}.md"
    ends = min((line for line in begins[place:] if line > begins[place - 1]), default=None)
    line = begins[place - 1] + max(0, within - 1)
    return f"{found[1]}.md:{min(line, ends) if ends else line}"


def _fault(line: str, source: Path) -> Fault:
    where, _, what = line.replace(f"{source}/", "").partition(": WARNING: ")
    return Fault(
        _in_lesson(where, source),
        what or "could not be built",
        "",
        "",
        "Mend the lesson and build again",
    )


# What lies at the top of every site, and what file managers leave in any folder.
_SITES_OWN = {
    "_static",
    "_images",
    "_downloads",
    f"{DOC}.html",
    MY_BENCH,
    FOR_CLASS,
    "genindex.html",
    "glossary.html",
    "index.html",
    "lessons",
    "notebooks",
    "reference.html",
    f"{forms.SOLUTIONS}.html",
    "search.html",
    "searchindex.js",
    "sets",
    "sources.html",
    "stand.html",
    ".DS_Store",
    "Thumbs.db",
    "desktop.ini",
}
_OF_REFERENCE = re.compile(r"reference-\w+\.html")
_FACE = Path("_static", "glossbook.css")  # by which a site is known as one of ours


def _only_a_site(out: Path) -> None:
    """Refuse to replace a folder that holds anything but an earlier site.

    What is built takes the place of the whole folder, so a lecturer's own files
    in it would be lost.
    """
    held = only_a_folder(out)
    foreign = sorted(n for n in set(held) - _SITES_OWN if not _OF_REFERENCE.fullmatch(n))
    if held and not foreign and not (out / _FACE).exists():
        foreign = held
    if foreign:
        raise holds_others(out, foreign, "build")


def _publish(html: Path, out: Path, pack: runtime.Pack | None) -> None:
    """Put the finished pages in place; an old site is there until the new one is."""
    out = out.resolve()  # a link stays a link, and "." has a name
    _only_a_site(out)
    draft = out.with_name(out.name + ".part")
    shutil.rmtree(draft, ignore_errors=True)
    draft.parent.mkdir(parents=True, exist_ok=True)
    shutil.copytree(
        html,
        draft,
        ignore=shutil.ignore_patterns(".buildinfo*", "objects.inv", ".doctrees"),
    )
    if pack:
        shutil.copytree(pack.folder, draft / "_static" / "live" / pack.digest)
    if out.exists():
        shutil.rmtree(out)
    draft.replace(out)
