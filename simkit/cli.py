"""The words of a command line in; text, files and an exit code out. Thin: each command is a file in `simkit.commands`.

Exit codes: 0 fine, 1 an error of simkit's own or output that can't be written, 2 the case (or the command line) is
wrong, 3 the data are wrong, 130 interrupted.
"""

from __future__ import annotations

import errno
import gc
import os
import signal
import sys
import warnings
from collections.abc import Sequence
from contextlib import suppress
from threading import Event, Timer
from typing import Annotated

import typer

from simkit.commands.account import account
from simkit.commands.battery import battery
from simkit.commands.change import change
from simkit.commands.check import check
from simkit.commands.clients import clients
from simkit.commands.compare import compare
from simkit.commands.cooldown import cooldown
from simkit.commands.diagnose import diagnose
from simkit.commands.explain import explain
from simkit.commands.fit import fit
from simkit.commands.homes import homes
from simkit.commands.lab import lab
from simkit.commands.lesson import lesson
from simkit.commands.measures import measures
from simkit.commands.new import new
from simkit.commands.offers import offers
from simkit.commands.optimum import optimum
from simkit.commands.page import page
from simkit.commands.project import project
from simkit.commands.read import read
from simkit.commands.report import report
from simkit.commands.rooms import rooms
from simkit.commands.run import run
from simkit.commands.schedules import schedules
from simkit.commands.settings import settings
from simkit.commands.share import share
from simkit.commands.spf import spf
from simkit.commands.sweep import sweep
from simkit.commands.tariffs import tariffs
from simkit.commands.worth import worth
from simkit.errors import UNSEEN, CaseError, Fault, SimkitError

INTERRUPTED = 130
LOADING_S, GRACE_S = 2.0, 1.0
interrupted = Event()
NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EBADF)
TRACEBACK = "SIMKIT_TRACEBACK"

app = typer.Typer(
    name="simkit",
    help="What a home with a heat pump costs to run, hour by hour for a whole year.",
    epilog="Begin with `simkit new my_home`, change my_home/case.toml, then `simkit compare my_home/case.toml`.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
for command in (
    run,
    compare,
    tariffs,
    sweep,
    rooms,
    spf,
    worth,
    offers,
    measures,
    schedules,
    settings,
    optimum,
    battery,
    explain,
    share,
    read,
    fit,
    project,
    cooldown,
    change,
    account,
    report,
    clients,
    homes,
    check,
    new,
    lab,
    page,
    lesson,
    diagnose,
):
    app.command()(command)


@app.callback(invoke_without_command=True)
def root(version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False) -> None:
    """Print the version where asked."""
    if version:
        from importlib.metadata import version as installed

        typer.echo(f"simkit {installed('home-heat-simkit')}")
        raise typer.Exit


def main() -> None:
    """Run the command line of this process and leave it with the exit code.

    Most of a short run is loading: what is loaded stays to the end, so that nobody looks for rubbish in it at first (a
    sixth of the time), and the process is left without taking everything down again (another fifth; and around threads
    in compiled code it has crashed).
    """
    _listen()
    gc.disable()
    later = Timer(LOADING_S, gc.enable)
    later.daemon = True
    later.start()
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # closed by the shell (>&-)
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115 (to the end of the process)
        getattr(sys, name).reconfigure(errors="replace")  # a terminal without − or € shows ? there
    if not sys.warnoptions:
        warnings.simplefilter("ignore")  # a library's warning is no answer to the user
    code = answer(sys.argv[1:])
    signal.signal(signal.SIGINT, lambda *_: os._exit(INTERRUPTED))
    code = INTERRUPTED if interrupted.is_set() else code
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        pass  # who read has seen enough
    except OSError as error:
        code = code or _unwritten(error)
    with suppress(OSError):
        sys.stderr.flush()
    os._exit(code)


def _listen() -> None:
    """From now on let Ctrl-C end the process with nothing half done, no traceback and its exit code.

    Raised in a destructor or a callback of C it would be printed and forgotten, and a library may turn it into an error
    of its own: so it is remembered as well, and what has not ended within a second is ended.
    """

    def end(*_: object) -> None:
        if not interrupted.is_set():
            interrupted.set()
            last = Timer(GRACE_S, _leave)
            last.daemon = True
            last.start()
        raise KeyboardInterrupt

    signal.signal(signal.SIGINT, end)
    sys.unraisablehook = lambda told: None if interrupted.is_set() else sys.__unraisablehook__(told)


def _leave() -> None:
    """Leave at once, with the cursor that a progress bar hides put back."""
    with suppress(OSError, ValueError):
        if sys.stderr.isatty():
            sys.stderr.write("\x1b[?25h")
            sys.stderr.flush()
    os._exit(INTERRUPTED)


def answer(arguments: Sequence[str]) -> int:
    """Run one command line.

    Parameters
    ----------
    arguments
        The words after `simkit`.

    Returns
    -------
    int
        The exit code.
    """
    try:
        _require_seen(arguments)
        code = app(list(arguments), prog_name="simkit", standalone_mode=False)
    except SimkitError as error:
        for fault in error.faults:
            _complain(str(fault))
        return error.exit_code
    except (KeyboardInterrupt, typer.Abort) as error:  # typer aborts at the end of a file that is cut short as well
        return _other(error.__cause__) if isinstance(error.__cause__, EOFError) else INTERRUPTED
    except SystemExit as left:
        return left.code if isinstance(left.code, int) else 1
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as error:
        return _unwritten(error) if getattr(error, "errno", None) in NO_ROOM else _other(error)
    return code if isinstance(code, int) else 0


def _require_seen(arguments: Sequence[str]) -> None:
    """Refuse words that a terminal or a page would obey and nobody sees: names of files are shown in answers."""
    for number, word in enumerate(arguments, start=1):
        if UNSEEN.search(word) or "\n" in word or "\t" in word:
            shown = "".join("?" if UNSEEN.match(c) or c in "\n\t" else c for c in word)
            given, allowed = f"word {number}, {shown},", "holds a character that can't be seen"
            raise CaseError(Fault("simkit", given, allowed, "Rename the file, or type the word anew"))


def _unwritten(error: Exception) -> int:
    """Say that what was to be printed has no place to go."""
    why = os.strerror(getattr(error, "errno", 0) or 0).lower()
    _complain(f"The output could not be written: {why}. Send it to a terminal, or to a file on a disk with room.")
    return 1


def _other(error: Exception) -> int:
    """Word a slip on the command line, or an error of our own."""
    if hasattr(error, "format_message"):  # typer's own; where its class stands differs between versions
        if type(error).__name__ == "NoArgsIsHelpError":
            typer.echo(error.format_message())
            return 0
        context = getattr(error, "ctx", None)
        command = context.command_path if context is not None else "simkit"
        said = error.format_message().rstrip(".")
        _complain(f"{command}: {said}{'' if said.endswith('?') else '.'} See {command} --help.")
        return 2
    if os.environ.get(TRACEBACK):
        raise error
    said = f"{type(error).__name__}: {error}"
    _complain(
        f"simkit met an error of its own ({said}). Please report it with the case; {TRACEBACK}=1 shows where it was."
    )
    return 1


def _complain(sentence: str) -> None:
    """Print one plain line on the error stream, whatever a name or a message holds; none after Ctrl-C."""
    if interrupted.is_set():
        return
    line = " ".join(sentence.split())
    with suppress(OSError):  # an error stream that takes nothing changes no exit code
        typer.echo("".join(c if c.isprintable() else "?" for c in line), err=True)


if __name__ == "__main__":
    main()
