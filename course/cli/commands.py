"""The thin edge: what is typed at a prompt.  Parse, call, print, exit."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, TypeVar

import click

from calculators.faults import FaultsError, visible

FILE = click.Path(path_type=Path)
Command = TypeVar("Command", bound=Callable[..., Any])


class FaultReportingGroup(click.Group):
    """A command group that tells faults in plain words and never shows a traceback."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; say what is wrong, with the next step, and exit 1."""
        try:
            return super().invoke(ctx)
        except FaultsError as error:
            for fault in error.faults:
                _tell(str(fault), err=True)
            count = len(error.faults)
            if count > 1:
                click.echo(f"{count} things to put right.", err=True)
            ctx.exit(1)
        except (click.exceptions.Exit, click.ClickException):
            raise
        except click.Abort:
            click.echo("\nStopped while asking: nothing was recorded.", err=True)
            ctx.exit(1)
        except BrokenPipeError:  # whoever read the lines has seen enough; click knows
            raise
        except OSError as error:
            from course.office.mishaps import disk_said

            _tell(f"{disk_said(error)} Check its name and its folder, then run it again.", err=True)
            ctx.exit(1)
        except Exception:
            from course.office.mishaps import keep_details

            click.echo(
                "Something in Glossbook itself went wrong, and the command stopped. "
                f"The details are in {keep_details()}: give that file to whoever looks after "
                "Glossbook here.",
                err=True,
            )
            ctx.exit(1)
        except KeyboardInterrupt:
            click.echo("Stopped. What was done is kept; run it again to go on.", err=True)
            ctx.exit(1)


@click.group(cls=FaultReportingGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="glossbook", message="Glossbook %(version)s")
def main() -> None:
    """Make a glazing course for your kitchen, issue worksheets and mark them."""


def _folder_of_ours(ctx: click.Context, param: click.Parameter, folder: Path) -> Path:
    """Refuse a folder that is somebody's own; mark ours once the command has filled it."""
    from exercises.files.replacing import mark_as_ours, may_fill

    name = str(param.opts[0])
    may_fill(folder, name)
    ctx.call_on_close(lambda: mark_as_ours(folder))
    return folder


def out_folder(name: str) -> Callable[[Command], Command]:
    """Return the option of a folder into which a command writes."""
    return click.option(
        "--out",
        type=FILE,
        default=Path(name),
        show_default=True,
        callback=_folder_of_ours,
        help="The folder that it fills; one with other things in it is refused.",
    )


BOOK = click.option(
    "--book",
    type=FILE,
    default=Path("class.db"),
    show_default=True,
    help="The mark book.",
)


def _tell(text: str, err: bool = False) -> None:
    """Say a line with nothing in it that a terminal acts on."""
    click.echo(visible(text), err=err)


def _say(lines: Iterable[str]) -> None:
    for line in lines:
        _tell(line)


def _opened(book: Path) -> Any:
    from exercises.book.book import open_book

    return open_book(book)


def _before_running(scheme: Path | None) -> None:
    """Say, before it is done, that the lecturer's own Python is run, and from where."""
    from course.scheme.reading import read_scheme

    folder = read_scheme(scheme).questions_folder if scheme else None
    if folder is not None and any(folder.glob("*.py")):
        _tell(f"Your own questions are run as Python, from {folder}", err=True)


# --- the course ---------------------------------------------------------------------


@main.command()
@click.argument("scheme", type=FILE, default=Path("scheme.toml"))
def describe(scheme: Path) -> None:
    """Ask about your kitchen and write a scheme of work."""
    from course.office.report_lines import as_read, typed
    from course.scheme import wizard
    from course.scheme.reading import read_scheme
    from exercises.files.replacing import may_replace

    may_replace(scheme, "scheme", "another SCHEME")
    if not scheme.parent.is_dir():
        raise click.UsageError(f"{visible(str(scheme.parent))} is no folder. Make it first.")
    answers: dict[str, str] = {}
    for ask in wizard.questions():
        answers[ask.key] = click.prompt(ask.question, default=ask.default, value_proc=_proc(ask))
    scheme.write_text(wizard.write(answers), encoding="utf-8")
    _say(as_read(read_scheme(scheme)))
    _tell(f"Written: {scheme}. Look through it, then run: glossbook check {typed(scheme)}")


def _proc(ask: Any) -> Any:
    """Return a reader that asks again, saying why, until the answer can be used."""

    def read(text: str) -> str:
        try:
            return str(ask.check(text.strip()))
        except FaultsError as error:
            raise click.UsageError(str(error.faults[0])) from None

    return read


@main.command()
@click.argument("scheme", type=FILE)
def check(scheme: Path) -> None:
    """Check a scheme of work; tell every fault with its line."""
    from course.office.report_lines import scheme_lines
    from course.office.setting import try_papers
    from course.scheme.reading import read_scheme

    held = read_scheme(scheme)
    _before_running(scheme)
    asked = try_papers(held)
    _say([*scheme_lines(held), *(line for lines in asked.values() for line in lines)])


@main.command()
@click.argument("scheme", type=FILE)
@click.option(
    "--out",
    type=FILE,
    default=Path("site"),
    show_default=True,
    help="The folder of the site.",
)
@click.option(
    "--edition",
    type=click.Choice(["student", "lecturer"]),
    default="student",
    show_default=True,
)
@click.option("--jobs", type=click.IntRange(1, 64), help="Lessons run at the same time.")
@click.option(
    "--without-live",
    is_flag=True,
    help="Leave out calculators and practice that answer in the browser.",
)
@click.option("--source", type=FILE, help="Also leave the book's source here, for Jupyter Book.")
def course(
    scheme: Path,
    out: Path,
    edition: str,
    jobs: int | None,
    without_live: bool,
    source: Path | None,
) -> None:
    """Build the course site for a scheme of work."""
    from course.office.report_lines import built_lines
    from course.scheme.reading import read_scheme
    from course.site.building import build as build_site
    from course.site.source import only_a_source, write_source

    held = read_scheme(scheme)
    if source is not None:  # before minutes of building
        only_a_source(source)
    built = build_site(
        held,
        out,
        edition=edition,
        jobs=jobs,
        tell=_tell,
        live=not without_live,
    )
    _say(built_lines(built))
    if source is not None:
        write_source(held, source, edition=edition)
        _tell(f"The book's source is in {source}. Build it with: jupyter-book build {source}")


@main.command()
@click.argument("site", type=FILE, default=Path("site"))
@click.option("--port", type=click.IntRange(0, 65535), default=8765, show_default=True)
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="0.0.0.0 shows it to the whole network.",
)
def show(site: Path, port: int, host: str) -> None:
    """Show a site in the browsers of this machine."""
    from course.site.show import server

    with server(site, port, host) as running:
        _tell(f"The course is at http://{host}:{running.server_port}/ (Ctrl-C ends it)")
        try:
            running.serve_forever()
        except KeyboardInterrupt:
            click.echo("Ended.")


# --- the practical and the worksheets ----------------------------------------------------


@main.command()
@click.argument("scheme", type=FILE)
@click.option("--out", type=FILE, default=Path("practical.html"), show_default=True)
def plan(scheme: Path, out: Path) -> None:
    """Plan the practical: a card for each bench, lists, labels, a calendar."""
    from course.practical.handout import printed
    from course.scheme.reading import read_scheme
    from exercises.files.replacing import may_replace

    dates = may_replace(out.with_suffix(".ics"), "calendar")
    may_replace(out, "page")
    html, calendar = printed(read_scheme(scheme))
    out.parent.mkdir(parents=True, exist_ok=True)
    out.write_text(html, encoding="utf-8")
    dates.write_text(calendar, encoding="utf-8", newline="")
    _tell(f"The plan is in {out}, its days in {dates}. Print one card for each bench.")


@main.command()
@click.argument("scheme", type=FILE)
@click.option("--book", type=FILE, help="A mark book: says where a question was used before.")
@click.option("--outcome", "outcomes", multiple=True, metavar="ID", help="Only of this outcome.")
@click.option("--out", type=FILE, help="Write a page on which each question is drawn.")
def questions(scheme: Path, book: Path | None, outcomes: tuple[str, ...], out: Path | None) -> None:
    """List outcomes and questions: ids, kinds, minutes, marks, where they were used."""
    from course.office import setting
    from course.scheme.reading import read_scheme

    _say(setting.questions(read_scheme(scheme), book, out, outcomes))


@main.command()
@click.argument("scheme", type=FILE)
@click.option("--paper", required=True, help="Its name in the scheme: [papers.NAME].")
@click.option("--class", "class_list", type=FILE, help="The class list: CSV, or OneRoster.")
@BOOK
@out_folder("sheets")
@click.option("--checked-by", metavar="NAME", help="Who has looked through the drafted paper.")
@click.option(
    "--sitting",
    type=click.IntRange(1, 9),
    default=1,
    help="2 for a resit, with new numbers.",
)
@click.option("--opens-on", default="", metavar="DAY", help="Opening day, if not the scheme's.")
@click.option("--hand-in-by", default="", metavar="DAY", help="A resit has its own.")
@click.option("--sets", type=click.IntRange(1, 500), default=1, help="Practice sets to draw.")
@click.option("--qti", is_flag=True, help="Also each sheet in QTI 3.0, for a platform.")
def issue(
    scheme: Path,
    paper: str,
    class_list: Path | None,
    book: Path,
    out: Path,
    checked_by: str | None,
    sitting: int,
    opens_on: str,
    hand_in_by: str,
    sets: int,
    qti: bool,
) -> None:
    """Issue a paper: draft it, have it checked by a named person, give everyone a sheet."""
    from course.office import setting
    from course.scheme.reading import read_scheme

    held = read_scheme(scheme)
    _before_running(scheme)
    if held.papers and paper in held.papers and held.papers[paper].use == "practice":
        lines = setting.practice_sets(held, paper, out, sets)
    else:
        dates = (opens_on, hand_in_by)
        lines = setting.issue(
            held, paper, class_list, book, out, checked_by, sitting, dates, qti=qti
        )
    _say(lines)


@main.command()
@click.argument("folder", type=FILE, default=Path("glossbook"))
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="0 takes any free one.")
@click.option("--no-browser", is_flag=True, help="Say the address, and open nothing.")
def desk(folder: Path, port: int, no_browser: bool) -> None:
    """Do the whole job in pages in this machine's browser."""
    from course.desk.app import run

    run(folder, port=port, opens=not no_browser, tell=_tell)


# --- marking ---------------------------------------------------------------------------------


@main.command()
@click.argument("folder", type=FILE, required=False)
@BOOK
@click.option("--scheme", type=FILE, help="Where the lecturer's own questions are named.")
@click.option("--on-paper", metavar="TOKEN", help="Key in a sheet that came back on paper.")
@click.option("--by", default="", metavar="NAME", help="Who keys it in, or says when it came.")
@click.option("--received", metavar="TIME", help="When it came in, such as 2027-03-15 16:30.")
@click.option("--receipts", type=FILE, help="Write a receipt for each hand-in, as CSV.")
@click.pass_context
def mark(
    ctx: click.Context,
    folder: Path | None,
    book: Path,
    scheme: Path | None,
    on_paper: str | None,
    by: str,
    received: str | None,
    receipts: Path | None,
) -> None:
    """Mark a folder of hand-ins, or key in one from paper. Nothing handed in is run."""
    from course.office import papers
    from exercises.files.replacing import may_replace

    if receipts is not None:
        may_replace(receipts, "list of receipts", "--receipts")
    if (folder is None) == (on_paper is None):
        raise click.UsageError("Give a folder of hand-ins, or a sheet with --on-paper TOKEN.")
    _before_running(scheme)
    with _opened(book) as held:
        if on_paper:
            lines, look = papers.key_in(held, on_paper, by, scheme, received, _asked)
        else:
            lines, look = papers.mark(held, folder, scheme, _progress, received, by, receipts)
    _say(lines)
    ctx.exit(1 if look else 0)


def _asked(words: str) -> str:
    return str(click.prompt(words, default="", show_default=False))


def _progress(done: int, total: int) -> None:
    if sys.stderr.isatty():
        click.echo(f"\r{done} of {total}", nl=done >= total, err=True)


@main.command()
@click.argument("scheme", type=FILE, required=False)
@click.option("--class", "class_list", type=FILE, help="Issue a sheet to each of this class list.")
@click.option("--read", type=FILE, help="A file from an observation page, or a folder of them.")
@click.option("--on-paper", metavar="TOKEN", help="Key in a sheet that was filled in on paper.")
@click.option("--alone", is_flag=True, help="A page for a student alone, without marks.")
@out_folder("observing")
@click.option("--by", default="", metavar="NAME", help="Who issues, reads or keys in.")
@click.option("--sitting", type=click.IntRange(1, 9), default=1, help="2 for a resit.")
@BOOK
@click.pass_context
def observe(ctx: click.Context, /, book: Path, **asked: Any) -> None:
    """Issue observation sheets for the practical; read back what was seen at the bench."""
    from course.office import observing

    lines, look = observing.observed(book, observing.Asked(**asked), _asked)
    _say(lines)
    ctx.exit(1 if look else 0)


@main.command()
@BOOK
@click.argument("numbers", type=int, nargs=-1, metavar="[MATTER]...")
@click.option("--kind", help="All matters of a kind at once, such as late.")
@click.option("--decision", type=click.Choice(["accept", "suggested", "counts", "set aside"]))
@click.option("--part", help="The part, where the matter is about none, such as 2a.")
@click.option("--marks", type=float, help="The marks that the part gets.")
@click.option("--reads", metavar="ANSWER", help="How the answer reads; it is marked so.")
@click.option("--reopen", is_flag=True, help="Take the decision on a matter back.")
@click.option("--hand-in", "handin", type=int, help="Other marks, or an appeal, for this one.")
@click.option("--appeal", metavar="TEXT", help="Record what a student says against a mark.")
@click.option("--on", "date", default="", metavar="DAY", help="When the appeal came.")
@click.option("--by", default="", metavar="NAME", help="Who decides; without it, a preview.")
@click.option("--reason", default="", help="Your own note; it stays in the book.")
@click.option("--tell", default="", metavar="TEXT", help="What the student reads.")
def settle(book: Path, **asked: Any) -> None:
    """List what needs a look; show what a decision changes; record it with a name."""
    from course.office import settling

    typed = settling.Asked(**asked)
    with _opened(book) as held:
        _say(settling.settled(held, typed))


@main.command()
@click.argument("named", type=FILE, required=False, metavar="[BOOK]")
@BOOK
@click.option("--head", default="", metavar="DIGEST", help="One that a report carries.")
@click.pass_context
def verify(ctx: click.Context, named: Path | None, book: Path, head: str) -> None:
    """Check that nothing in a mark book was changed from outside."""
    from course.office import settling

    with _opened(named or book) as held:
        lines, sound = settling.verify(held, head)
    _say(lines)
    ctx.exit(0 if sound else 1)


@main.command()
@BOOK
@out_folder("reports")
@click.option("--paper", help="Only this paper.")
@click.option("--signed", default="", metavar="NAME", help="In whose name the letters are.")
@click.option("--solutions", is_flag=True, help="Letters with worked solutions, once open.")
@click.option("--open-solutions", is_flag=True, help="Open a paper's solutions, for good.")
@click.option("--by", default="", metavar="NAME", help="Who opens them.")
@click.option("--reason", default="", help="Why they are opened.")
@click.option("--evidence", is_flag=True, help="For moderators: a pack for each student.")
@click.option("--site", default="", metavar="PLACE", help="Address or folder; letters link to it.")
@click.option("--roster", default="", metavar="CLASS", help="OneRoster results for this class.")
@click.option("--category", default="", metavar="ID", help="Of the work, in OneRoster.")
@click.option("--term", default="", metavar="ID", help="The term, in OneRoster.")
def report(
    book: Path,
    out: Path,
    paper: str | None,
    signed: str,
    solutions: bool,
    open_solutions: bool,
    by: str,
    reason: str,
    evidence: bool,
    site: str,
    roster: str,
    category: str,
    term: str,
) -> None:
    """Write a letter to each student, a class report, and the marks as CSV and XLSX."""
    from course.office import papers

    with _opened(book) as held:
        if open_solutions:
            _say(papers.open_solutions(held, paper, by, reason))
        _say(
            papers.report(
                held,
                out,
                paper,
                solutions=solutions,
                signed=signed,
                evidence=evidence,
                site=site,
                roster=(roster, category, term),
            )
        )


@main.command()
@BOOK
@click.option("--paper", required=True)
@out_folder("moderation")
@click.option("--one-in", type=click.IntRange(1, 1000), default=8, show_default=True)
@click.option("--second-marks", type=FILE, help="The table, filled in.")
@click.option("--final-marks", type=FILE, help="Where two differed: a third person's table.")
@click.option("--by", default="", metavar="NAME", help="Who gave the second or final marks.")
def moderate(
    book: Path,
    paper: str,
    out: Path,
    one_in: int,
    second_marks: Path | None,
    final_marks: Path | None,
    by: str,
) -> None:
    """Choose sheets to mark a second time, blind; read the second marks back."""
    from course.office import papers

    with _opened(book) as held:
        _say(papers.moderate(held, paper, out, one_in, second_marks, by, final_marks))


@main.command()
@BOOK
@click.option("--paper", required=True)
@click.option("--question", required=True, help="The id of the question that is put right.")
@click.option(
    "--tolerance",
    nargs=2,
    multiple=True,
    metavar="PART WIDTH",
    help='How far off a part may be, such as: a "0.5 g".',
)
@click.option("--everyone", multiple=True, metavar="PART", help="Full marks for everyone.")
@click.option("--from-bank", is_flag=True, help="Work answers out again from the bank.")
@click.option("--scheme", type=FILE, help="Where the lecturer's own questions are named.")
@click.option("--lower", multiple=True, metavar="STUDENT", help="Whose marks may fall by it.")
@click.option("--by", default="", metavar="NAME", help="Who confirms; without it, a preview.")
@click.option("--reason", default="", help="Why; it stays in the book.")
def remark(
    book: Path,
    paper: str,
    question: str,
    tolerance: tuple[tuple[str, str], ...],
    everyone: tuple[str, ...],
    from_bank: bool,
    scheme: Path | None,
    lower: tuple[str, ...],
    by: str,
    reason: str,
) -> None:
    """Correct a question after marking: preview whose marks change, then confirm."""
    from course.office import papers
    from exercises.reports.corrections import Correction

    if not (tolerance or everyone or from_bank):
        raise click.UsageError("Say how: --tolerance, --everyone or --from-bank.")
    fix = Correction(question, dict(tolerance), everyone, from_bank)
    _before_running(scheme)
    with _opened(book) as held:
        _say(papers.remark(held, paper, fix, by, reason, scheme, lower))


@main.command()
@BOOK
@click.argument("student")
@click.option("--export", type=FILE, help="Write all that is held about the person.")
@click.option("--erase", is_flag=True, help="Erase the person; marks stay as numbers.")
@click.option("--by", default="", metavar="NAME", help="Who erases.")
@click.option("--reason", default="", help="Why; it stays in the book.")
@click.option(
    "--reports",
    type=FILE,
    default=Path("reports"),
    show_default=True,
    help="Where the person's letters are; erasing deletes them too.",
)
def person(
    book: Path,
    student: str,
    export: Path | None,
    erase: bool,
    by: str,
    reason: str,
    reports: Path,
) -> None:
    """Export or erase what the mark book holds about a person."""
    from course.office import papers

    if (export is None) != erase:
        raise click.UsageError("Give --export FILE or --erase.")
    with _opened(book) as held:
        _say(papers.person(held, student, export, by, reason, reports))


@main.command()
@click.option("--out", type=FILE, default=Path("demo"), show_default=True)
def demo(out: Path) -> None:
    """Do everything once for an invented school."""
    from course.demo.demonstration import show

    shown = show(out, _tell)
    width = max(len(name) for name, _ in shown.places)
    click.echo()
    for name, path in shown.places:
        _tell(f"{name.ljust(width)}  {path}")
    click.echo()
    _tell(f"Open this first: {shown.first}")
