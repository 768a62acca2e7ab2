"""The help by topic, the exit statuses it states, the man page, and completion in real shells."""
from __future__ import annotations

import argparse
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from guide import cli
from guide.manual.man import man_page
from guide.manual.parsers import commands, parser_of
from guide.manual.shells import SHELLS, script
from guide.manual.subjects import subjects

ROOT = Path(__file__).resolve().parent.parent


@pytest.mark.parametrize("topic", [*cli.COMMANDS, *subjects()])
def test_every_topic_has_a_text_of_its_own(topic: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["help", topic]) == 0
    out = capsys.readouterr().out
    assert (f"usage: guide {topic}" in out) == (topic in cli.COMMANDS)
    assert topic not in subjects() or subjects()[topic].text.split()[0] in out
    assert max(map(len, out.splitlines())) <= 100


def test_help_names_every_command_and_subject(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["help"]) == 0
    out = capsys.readouterr().out
    assert [name for name in (*cli.COMMANDS, *subjects()) if not re.search(rf"^  {name} ", out, re.MULTILINE)] == []


@pytest.mark.parametrize("command", cli.COMMANDS)
def test_a_demo_that_an_example_names_exists(command: str) -> None:
    named = re.findall(r"transcripts_demo/\S+", parser_of(command).epilog or "")
    assert named or command != "replay"
    assert [path for path in named if not list(ROOT.glob(path))] == []


def words_of(parser: argparse.ArgumentParser) -> Iterator[str]:
    """The arguments without a dash, as the help and the errors name them, of a command and its subcommands."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for inner in action.choices.values():
                yield from words_of(inner)
        elif not action.option_strings:
            yield str(action.metavar or action.dest)


@pytest.mark.parametrize("command", cli.COMMANDS)
def test_what_a_command_asks_for_stands_in_capitals(command: str) -> None:
    assert [word for word in words_of(parser_of(command)) if not word[0].isupper()] == []


def test_an_unknown_topic_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["help", "nonsense"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


# ---- exit statuses

def test_the_statuses_of_the_help_are_those_of_the_commands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                                                            capsys: pytest.CaptureFixture[str]) -> None:
    stated = {int(number) for number in re.findall(r"^  (\d+) ", subjects()["exit-codes"].text, re.MULTILINE)}
    (tmp_path / "odd.yaml").write_text("kind: nothing\n")
    seen = {cli.main(["help", "keys"]), cli.main(["check", str(tmp_path)]), cli.main(["help", "nonsense"]), cli.main(["nonsense"])}

    def interrupted(words: list[str]) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr("guide.manual.command.run_help", interrupted)
    assert {*seen, cli.main(["help"])} == stated
    capsys.readouterr()


# ---- man page

def test_the_man_page_holds_every_option_and_subject() -> None:
    page = man_page()
    assert [name for name in cli.COMMANDS if f'.SS "guide {name}"' not in page] == []
    options = {name for command in commands() for option in command.options for name in option.names}
    assert [name for name in options if name.replace("-", "\\-") not in page] == []
    assert '.SH "EXIT STATUS"' in page and subjects()["chat"].text.splitlines()[0][:40] in page
    assert [line for line in page.splitlines() if re.match(r"'|\.(?!TH|SH|SS|TP|PP|nf|fi|B )", line)] == []


@pytest.mark.skipif(shutil.which("mandoc") is None, reason="mandoc is not installed")
def test_a_reader_of_man_pages_has_nothing_to_say() -> None:
    done = subprocess.run(["mandoc", "-T", "lint", "-W", "warning"], input=man_page(), capture_output=True, text=True, check=False)
    assert [line for line in (done.stdout + done.stderr).splitlines() if "missing date" not in line] == []


# ---- completion

TYPED = {
    "": {"chat", "sessions", "--help"}, "ses": {"sessions"}, "sessions ": {"list", "rename", "export"}, "sessions export --a": {"--as"},
    "sessions export one --as ": {"markdown", "json"}, "completion ": {"bash", "zsh", "fish"}, "chat --re": {"--resume", "--reader"},
    "help exi": {"exit-codes"}, "chat --given ": set()}
"""What is typed after `guide`, and some of what must be offered; nothing where nothing can be known."""


def offered(shell: str, typed: str, folder: Path) -> set[str]:
    """What a real shell offers after the script was read."""
    path = folder / f"completion.{shell}"
    path.write_text(script(shell, commands()))
    words = ["guide", *typed.split(" ")]
    listed = " ".join(f"'{word}'" for word in words)
    asks = {
        "bash": f"source {path}; COMP_WORDS=({listed}); COMP_CWORD={len(words) - 1}; _guide 2>/dev/null; printf '%s\\n' \"${{COMPREPLY[@]}}\"",
        "zsh": f"compdef() {{ : }}; _describe() {{ print -l -- ${{offers%%:*}} }}; compadd() {{ shift; print -l -- $@ }}; _files() {{ : }}; "
               f"source {path}; words=({listed}); CURRENT={len(words)}; _guide",
        "fish": f"source {path}; complete -C 'guide {typed}'"}
    run = [shell, "-f", "-c", asks[shell]] if shell == "zsh" else [shell, "-c", asks[shell]]
    done = subprocess.run(run, capture_output=True, text=True, cwd=folder, timeout=30, check=True)
    assert done.stderr == ""
    return {line.split("\t")[0] for line in done.stdout.splitlines()} - {""}


@pytest.mark.parametrize("shell", [pytest.param(name, marks=pytest.mark.skipif(shutil.which(name) is None, reason=f"{name} is not installed"))
                                   for name in SHELLS])
def test_a_shell_completes(shell: str, tmp_path: Path) -> None:
    for typed, expected in TYPED.items():
        found = offered(shell, typed, tmp_path)
        missing = expected - {"--help"} - found if shell == "fish" else expected - found
        assert not missing, f"{typed}: {found}"
        assert expected or not found & {"--help", "--json"}


@pytest.mark.parametrize("shell", SHELLS)
def test_the_command_prints_the_script(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["completion", shell]) == 0
    assert capsys.readouterr().out == script(shell, commands())


def test_help_of_the_program_reads_no_subjects() -> None:
    code = "import sys\nfrom guide.cli import main\nmain(['--help'])\nassert not [n for n in sys.modules if n.startswith('guide.manual')]"
    subprocess.run([sys.executable, "-c", code], cwd=Path(__file__).resolve().parent.parent, capture_output=True, check=True)


def test_whatever_takes_a_file_or_a_folder_completes_one() -> None:
    named = {(name, action.option_strings[0]) for name in cli.COMMANDS for action in parser_of(name)._actions
             if action.option_strings and action.metavar in ("FILE", "DIR")}
    found = {(taken.name, option.names[0]) for taken in commands() for option in taken.options if option.file}
    assert len(found) > 20 and named - found == set()
