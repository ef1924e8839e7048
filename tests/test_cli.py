"""The command line: exit codes, one plain line for each fault, and never a traceback, a warning or half a file."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

import simkit.commands.run
from simkit.case.sample_homes import shipped_folder
from simkit.cli import INTERRUPTED, answer, app
from simkit.errors import CaseError, DataError, Fault

COMMANDS = tuple(each.callback.__name__ for each in app.registered_commands if each.callback)


@pytest.fixture
def case(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of a sample case, with the tariffs it names, in the current folder."""
    samples = shipped_folder("sample_data")
    shutil.copytree(samples / "tariffs", tmp_path / "tariffs")
    text = (samples / "harbour_flat" / "case.toml").read_text(encoding="utf-8").replace("../tariffs/", "tariffs/")
    (tmp_path / "case.toml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path / "case.toml"


def process(*words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the command in a process of its own."""
    command = [sys.executable, "-m", "simkit.cli", *words]
    env = {key: value for key, value in os.environ.items() if key != "PYTHONWARNINGS"} | environment
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", env=env, check=False, timeout=300)


def once_compiled(said: str) -> str:
    """What a process says when the kernel is compiled: it may be the first."""
    return re.sub(r"^First run: compiling the kernel once, .*\n", "", said)


def test_help_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    for words in ([], ["--help"], ["-h"]):
        assert answer(words) == 0
        printed = capsys.readouterr()
        text = printed.out + printed.err
        assert all(f"\n  {name}" in text for name in COMMANDS)
        assert "simkit new my_home" in text


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_and_json(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert answer([name, "--help"]) == 0
    text = capsys.readouterr().out
    assert "--json" in text
    assert text.startswith(f"Usage: simkit {name} ")


def test_the_version_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["--version"]) == 0
    assert capsys.readouterr().out.startswith("simkit ")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["fly"], "simkit: No such command 'fly'"),
        (["compar"], "simkit: No such command 'compar'"),
        (["run"], "simkit run: Missing argument 'CASE'"),
        (["run", "a", "b"], "simkit run: Got unexpected extra argument"),
        (["run", "case.toml", "--jason"], "simkit run: No such option: --jason"),
    ],
)
def test_a_slip_on_the_command_line_is_one_line(
    words: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert answer(words) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith(says)
    assert printed.err.endswith("--help.\n")
    assert "?." not in printed.err
    assert printed.err.count("\n") == 1


BAD_FILES = {
    "not there": (None, "case.toml: is not there."),
    "empty": (b"", "case.toml: is empty."),
    "binary": (bytes(range(256)), "case.toml: is not text but binary data."),
    "another encoding": ("name = 'Ångström'".encode("latin-1"), "case.toml: is not UTF-8 text"),
    "not TOML": (b"name = \n", 'case.toml, line 1, column 8: "name =" can\'t be read as TOML.'),
    "another format": (b'{"name": "x"}\n', "case.toml, line 1"),
    "no table": (b'name = "x"\n', "case.toml: "),
}


@pytest.mark.parametrize("kind", BAD_FILES)
@pytest.mark.parametrize("command", ["run", "compare", "check"])
def test_a_file_that_is_no_case_is_answered_in_plain_lines(
    case: Path, kind: str, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    content, says = BAD_FILES[kind]
    case.unlink()
    if content is not None:
        case.write_bytes(content)
    assert answer([command, "case.toml"]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith(says)
    for line in printed.err.splitlines():
        assert line.endswith(".")
        assert "Traceback" not in line
        assert "pydantic" not in line


BAD_VALUES = {
    "misspelt": ('zone = "Europe/Copenhagen"', 'zone = "Europe/Copenhagn"'),
    "type": ("w_per_k = 92.0", 'w_per_k = "92"'),
    "per cent": ("space_efficiency = 1.0", "space_efficiency = 100"),
    "negative": ("w_per_k = 92.0", "w_per_k = -92.0"),
    "COP under 1": ("cop = 2.9", "cop = 0.9"),
    "switch": ("annual_kwh = 1700.0", "annual_kwh = true"),
    "tariff": ("harbour_seasons.toml", "harbour_season.toml"),
}


@pytest.mark.parametrize("slip", BAD_VALUES)
def test_a_wrong_value_is_one_line_and_exit_code_two(case: Path, slip: str, capsys: pytest.CaptureFixture[str]) -> None:
    before, after = BAD_VALUES[slip]
    text = case.read_text(encoding="utf-8")
    assert text.count(before) >= 1
    case.write_text(text.replace(before, after, 1), encoding="utf-8")
    assert answer(["run", "case.toml", "--no-range"]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert len(printed.err.splitlines()) == 1
    assert printed.err.startswith(("case.toml: ", "harbour_season.toml: "))


def test_wrong_data_are_exit_code_three(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = case.read_text(encoding="utf-8")
    start, end = text.index("[weather]"), text.index("[home]")
    weather = '[weather]\nfile = "hours.csv"\nformat = "csv"\nlabel = "start"\nclock = "utc"\n'
    weather += 'columns = { outdoor_c = "t" }\n\n'
    case.write_text(text[:start] + weather + text[end:], encoding="utf-8")
    rows = [f"2025-01-01T{hour:02d}:00:00Z,3.5" for hour in range(24)]
    (case.parent / "hours.csv").write_text("time,t\n" + "\n".join(rows) + "\n", encoding="utf-8")
    assert answer(["run", "case.toml"]) == 3
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith("hours.csv")
    assert "Traceback" not in printed.err


def test_lines_of_a_fault_stay_one_line_and_control_codes_stay_out(
    case: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise CaseError(
            [Fault("a\nb", "x = \x1b[31m[red]", "is wrong", "Mend it"), Fault("", "y", "is too", "Mend it")]
        )

    monkeypatch.setattr(simkit.commands.run, "open_case", refuse)
    assert answer(["run", "case.toml"]) == 2
    assert capsys.readouterr().err.splitlines() == ["a b: x = ?[31m[red] is wrong. Mend it.", "y is too. Mend it."]


@pytest.mark.parametrize(
    ("error", "code", "says"),
    [
        (DataError(Fault("f.csv", "", "is short", "Add rows")), 3, "f.csv: is short. Add rows.\n"),
        (KeyboardInterrupt(), INTERRUPTED, ""),
        (
            ZeroDivisionError("one by none"),
            1,
            "simkit met an error of its own (ZeroDivisionError: one by none). Please report it with the case; "
            "SIMKIT_TRACEBACK=1 shows where it was.\n",
        ),
    ],
)
def test_each_kind_of_end_has_its_code(
    error: BaseException, code: int, says: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise error

    monkeypatch.delenv("SIMKIT_TRACEBACK", raising=False)
    monkeypatch.setattr(simkit.commands.run, "open_case", fail)
    assert answer(["run", "case.toml"]) == code
    assert capsys.readouterr().err == says


def test_an_error_of_ours_can_be_traced(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setenv("SIMKIT_TRACEBACK", "1")
    monkeypatch.setattr(simkit.commands.run, "open_case", fail)
    with pytest.raises(ZeroDivisionError):
        answer(["run", "case.toml"])


def test_a_process_prints_json_alone_and_no_warning(case: Path) -> None:
    done = process("run", "case.toml", "--json", "--no-range")
    assert (done.returncode, once_compiled(done.stderr)) == (0, "")
    assert done.stdout.startswith("{")
    assert done.stdout.endswith("}\n")


def test_a_process_ends_with_the_exit_code_and_all_that_was_said(case: Path) -> None:
    case.write_text("", encoding="utf-8")
    done = process("run", "case.toml")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "case.toml: is empty. Write the case file anew, or take a copy of a sample.\n"
    assert process("--help").stdout.endswith("compare my_home/case.toml`.\n")


def test_a_reader_that_leaves_early_is_no_error(case: Path) -> None:
    command = f"{sys.executable} -m simkit.cli check --schema | head -n 1"
    done = subprocess.run(command, shell=True, capture_output=True, text=True, check=False, timeout=300)
    assert done.stdout == "{\n"
    assert done.stderr == ""


def test_a_stream_without_the_letters_is_no_error(case: Path) -> None:
    done = process("run", "case.toml", "--no-range", PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    assert re.search(r"costs about [\d.]+\?kr\.", done.stdout), (
        "the space that keeps an amount together is no letter of ASCII"
    )


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no device that is always full")
@pytest.mark.parametrize(
    ("streams", "code", "said"),
    [
        (">/dev/full", 1, "The output could not be written: no space left on device."),
        (">&-", 0, ""),
        (">/dev/full 2>&-", 1, ""),
        ("no_such.toml 2>/dev/full", 2, ""),
    ],
)
def test_a_stream_that_takes_nothing_ends_in_words_and_the_right_code(streams: str, code: int, said: str) -> None:
    command = f"{sys.executable} -m simkit.cli check --schema {streams}"
    if streams.startswith("no_such"):
        command = f"{sys.executable} -m simkit.cli check {streams}"
    done = subprocess.run(command, shell=True, capture_output=True, text=True, check=False, timeout=300)
    assert done.returncode == code
    assert done.stderr.startswith(said)
    assert "Traceback" not in done.stderr


AS_THE_COMMAND = "import sys, time; sys.argv = ['simkit', 'compare', 'case.toml']; import simkit; "
BEGUN = "print('begun', flush=True)"
DEAF = f"{AS_THE_COMMAND}import simkit.cli as cli\ndef deaf(*_, **__):\n try: {BEGUN}; time.sleep(30)\n"


@pytest.mark.skipif(os.name == "nt", reason="signals differ on Windows")
@pytest.mark.parametrize("begin", [
    f"{AS_THE_COMMAND}{BEGUN}; time.sleep(30)",  # while it is loaded
    f"{AS_THE_COMMAND}{BEGUN}; from simkit.cli import main; main()",
    # where a library turns it into an error of its own, or forgets it
    f"{DEAF} except BaseException: raise ValueError('a library')\ncli.app = deaf; cli.main()",
    f"{DEAF} except BaseException: time.sleep(30)\ncli.app = deaf; cli.main()",
])  # fmt: skip
def test_an_interruption_ends_quietly(case: Path, begin: str) -> None:
    command = [sys.executable, "-c", begin]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        assert running.stdout.readline() == "begun\n"  # however long a busy machine takes to start Python
        time.sleep(0.5)  # well before the end
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=25)
    assert running.returncode == INTERRUPTED
    assert (out, once_compiled(err)) == ("", "")


@pytest.mark.parametrize("unseen", ["\n", "\t", "\x1b[31m", "\u202e", "\u200f", "\x85", "\udcff", "\ufeff"])
def test_no_word_of_the_command_line_holds_what_nobody_sees(unseen: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["run", f"a{unseen}b.toml"]) == 2
    said = capsys.readouterr().err
    assert said.startswith("simkit: word 2, a?")
    assert said.endswith("b.toml, holds a character that can't be seen. Rename the file, or type the word anew.\n")


def test_an_end_of_file_is_no_interruption(
    case: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def cut(*_: object) -> None:
        raise EOFError("Ran out of input")

    monkeypatch.delenv("SIMKIT_TRACEBACK", raising=False)
    monkeypatch.setattr(simkit.commands.run, "open_case", cut)
    assert answer(["run", "case.toml"]) == 1
    assert capsys.readouterr().err.strip().startswith("simkit met an error of its own (EOFError: Ran out of input).")


@pytest.mark.parametrize("columns", ["0", "1", "-5", "x"])
def test_a_terminal_without_a_width_is_written_to_all_the_same(
    columns: str, case: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    assert answer(["run", "case.toml", "--no-range"]) == 0
    assert capsys.readouterr().out.count("\n") > 20
