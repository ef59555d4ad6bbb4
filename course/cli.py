"""The thin edge: what is typed at a prompt.  Parse, call, print, exit."""

from __future__ import annotations

import traceback
from pathlib import Path
from typing import Any

import click

from calculators.faults import FaultsError

FILE = click.Path(path_type=Path)


class Told(click.Group):
    """A command group that tells faults in plain words and never shows a traceback."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; say what is wrong, with the next step, and exit 1."""
        try:
            return super().invoke(ctx)
        except FaultsError as error:
            for fault in error.faults:
                click.echo(str(fault), err=True)
            count = len(error.faults)
            if count > 1:
                click.echo(f"{count} things to put right.", err=True)
            ctx.exit(1)
        except (click.exceptions.Exit, click.ClickException, click.Abort):
            raise
        except Exception:
            log = _keep_for_us(traceback.format_exc())
            click.echo(
                "Something in Glossbook itself went wrong, and the command stopped. "
                f"The details are in {log}: give that file to whoever looks after "
                "Glossbook here.",
                err=True,
            )
            ctx.exit(1)
        except KeyboardInterrupt:
            click.echo(
                "Stopped. What was done is kept; run it again to go on.", err=True
            )
            ctx.exit(1)


def _keep_for_us(text: str) -> Path:
    """Keep what only an engineer can use in a file, and return where."""
    from course.notebooks import cache_folder

    path = cache_folder() / "what-went-wrong.txt"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


@click.group(cls=Told, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="glossbook", message="Glossbook %(version)s")
def main() -> None:
    """Make a glazing course for your kitchen, issue worksheets and mark them."""


# --- the course ---------------------------------------------------------------------


@main.command()
@click.argument("scheme", type=FILE, default=Path("scheme.toml"))
def new(scheme: Path) -> None:
    """Ask about your kitchen and write a scheme of work."""
    from course import asking

    if scheme.exists():
        raise click.UsageError(f"{scheme} is there already. Name another file.")
    answers: dict[str, str] = {}
    for ask in asking.questions():
        answers[ask.key] = click.prompt(
            ask.question, default=ask.default, value_proc=_proc(ask)
        )
    scheme.write_text(asking.write(answers), encoding="utf-8")
    click.echo(
        f"Written: {scheme}. Look through it, then run: glossbook check {scheme}"
    )


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
    from course.report_lines import scheme_lines
    from course.scheme import read_scheme

    for line in scheme_lines(read_scheme(scheme)):
        click.echo(line)


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
@click.option(
    "--jobs", type=click.IntRange(1, 64), help="Lessons run at the same time."
)
def build(scheme: Path, out: Path, edition: str, jobs: int | None) -> None:
    """Build the course site for a scheme of work."""
    from course.book import build as build_site
    from course.report_lines import built_lines
    from course.scheme import read_scheme

    built = build_site(
        read_scheme(scheme), out, edition=edition, jobs=jobs, tell=click.echo
    )
    for line in built_lines(built):
        click.echo(line)


@main.command()
@click.argument("site", type=FILE, default=Path("site"))
@click.option("--port", type=click.IntRange(0, 65535), default=8765, show_default=True)
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="0.0.0.0 shows it to the whole network.",
)
def serve(site: Path, port: int, host: str) -> None:
    """Show a site in the browsers of this machine."""
    from course.serving import server

    with server(site, port, host) as running:
        click.echo(
            f"The course is at http://{host}:{running.server_port}/ (Ctrl-C ends it)"
        )
        try:
            running.serve_forever()
        except KeyboardInterrupt:
            click.echo("Ended.")
