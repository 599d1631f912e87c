"""The command line: one thin module a group of verbs, imported only when its verb is called."""

from __future__ import annotations

import os
import sys
from importlib import import_module
from typing import NoReturn

import click

from station import __version__
from station.base.exceptions import StationException
from station.views import wording_line

#: verb -> (module below this package, attribute); a verb's module is imported when the verb is used.
VERBS: dict[str, tuple[str, str]] = {
    "check": ("check", "check"),
    "site": ("site", "site"),
    "demo": ("demo", "demo"),
    "start": ("start", "start"),
    "ports": ("ports", "ports"),
    "setup": ("setup", "setup"),
    "log": ("log", "log"),
    "simulate": ("simulate", "simulate"),
    "import": ("import_export", "import_"),
    "export": ("import_export", "export"),
    "serve": ("serve", "serve"),
}


class _Verbs(click.Group):
    """A group that imports a verb's module on first use, so that each command starts fast."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(VERBS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        if name not in VERBS:
            return None
        module, attribute = VERBS[name]
        command: click.Command = getattr(import_module(f"station.cli.{module}"), attribute)
        return command


@click.group(cls=_Verbs, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__)
def cli() -> None:
    """Cross-check a class's outdoor thermometer readings against a probe at the same place."""


def main() -> None:
    """Run the command line; what can't be used ends with status 2 and one line on standard error."""
    try:
        try:
            status = cli(prog_name="station", standalone_mode=False)
        finally:
            sys.stdout.flush()  # a full disk is told here and not by the interpreter on its way out
    except StationException as situation:
        _end(str(situation))
    except click.UsageError as usage:
        if isinstance(usage, getattr(click.exceptions, "NoArgsIsHelpError", ())):
            usage.show()
            sys.exit(2)
        command = usage.ctx.command_path if usage.ctx else "station"
        _end(wording_line.USAGE.format(what=usage.format_message().rstrip("."), command=command))
    except click.Abort:
        sys.exit(1)
    except OSError as trouble:
        sys.stdout = open(os.devnull, "w")  # noqa: PTH123, SIM115 - what could not be written is dropped
        where = f" ({trouble.filename})" if trouble.filename else ""
        _end(f"{trouble.strerror or trouble}{where}")
    sys.exit(status if isinstance(status, int) else 0)


def _end(sentence: str) -> NoReturn:
    """End with one line, even where a name in the sentence holds several."""
    click.echo(f"station: {' '.join(sentence.splitlines())}", err=True)
    sys.exit(2)
