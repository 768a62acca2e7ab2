"""Completion scripts for bash, zsh and fish: commands, subcommands, options and their values."""
from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType

from guide.manual.parsers import Taken

_OWN = ("--help", "--version")
_COUNT = '''  local command="" inner="" word
  for word in "${{{words}}}"; do
    [[ $word == -* ]] && continue
    if [[ -z $command ]]; then command=$word; elif [[ -z $inner ]]; then inner=$word; fi
  done'''
"""The command and the subcommand typed so far, for shells of the Bourne kind."""


def script(shell: str, commands: Sequence[Taken]) -> str:
    """The script for a shell of SHELLS."""
    return "\n".join(SHELLS[shell](commands)) + "\n"


def _values(commands: Sequence[Taken]) -> Iterator[tuple[str, str, str, tuple[str, ...], bool]]:
    """Command, subcommand and name of each option that takes a value, the values it names, and whether it takes a file."""
    for command in commands:
        for inner, taken in [("", command), *((each.name, each) for each in command.inner)]:
            for option in taken.options:
                yield from ((command.name, inner, name, option.choices, option.file) for name in option.names if option.takes)


def _places(commands: Sequence[Taken]) -> Iterator[tuple[str, str, list[tuple[str, str]]]]:
    """Command, subcommand (empty: none yet) and all that may stand there, each with a word on it."""
    for command in commands:
        yield command.name, "", _offers(command)
        yield from ((command.name, inner.name, _offers(inner)) for inner in command.inner)


def _offers(taken: Taken) -> list[tuple[str, str]]:
    return [*((inner.name, inner.about) for inner in taken.inner), *((word, "") for word in taken.words),
            *((name, option.about) for option in taken.options for name in option.names if name.startswith("--"))]


def _bash(commands: Sequence[Taken]) -> Iterator[str]:
    yield from ("# bash: source <(guide completion bash)", "_guide() {", '  local current=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} offers=""',
                _COUNT.format(words="COMP_WORDS[@]:1:COMP_CWORD-1"), "  COMPREPLY=()", '  case "$command $inner $before" in')
    for command, inner, name, choices, file in _values(commands):
        does = f'COMPREPLY=($(compgen -W "{" ".join(choices)}" -- "$current"))' if choices else "" if file else "compopt +o default"
        yield f'    "{command} {inner}"*" {name}") {does}; return;;' if does else f'    "{command} {inner}"*" {name}") return;;'
    yield from ("  esac", '  case "$command $inner" in', f'    " ") offers="{" ".join([*(c.name for c in commands), *_OWN])}";;')
    for command, inner, offers in sorted(_places(commands), key=lambda place: not place[1]):
        yield f'    "{command} {inner}"*) offers="{" ".join(name for name, _ in offers)}";;'
    yield from ("  esac", '  COMPREPLY=($(compgen -W "$offers" -- "$current"))', "}", "complete -o default -F _guide guide")


def _zsh(commands: Sequence[Taken]) -> Iterator[str]:
    yield from ("#compdef guide", "# zsh: source <(guide completion zsh), after compinit", "_guide() {", "  local -a offers",
                _COUNT.format(words="words[@]:1:$((CURRENT-2))"), '  case "$command $inner ${words[CURRENT-1]}" in')
    for command, inner, name, choices, file in _values(commands):
        does = f"compadd -- {' '.join(choices)}" if choices else "_files" if file else ":"
        yield f'    "{command} {inner}"*" {name}") {does}; return;;'
    yield from ("  esac", '  case "$command $inner" in', f'    " ") offers=({_described([(c.name, c.about) for c in commands])} {" ".join(_OWN)});;')
    for command, inner, offers in sorted(_places(commands), key=lambda place: not place[1]):
        yield f'    "{command} {inner}"*) offers=({_described(offers)});;'
    yield from ("  esac", "  _describe guide offers || _files", "}", 'if [[ ${funcstack[1]} == _guide ]]; then _guide "$@"; else compdef _guide guide; fi')


def _described(offers: Sequence[tuple[str, str]]) -> str:
    return " ".join(_quoted(f"{name}:{about}" if about else name) for name, about in offers)


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "'\\''") + "'"


def _fish(commands: Sequence[Taken]) -> Iterator[str]:
    yield "# fish: guide completion fish | source"
    for command in commands:
        yield f"complete -c guide -n __fish_use_subcommand -a {command.name} -d {_fished(command.about)}"
        yield from _fish_words(command, f"__fish_seen_subcommand_from {command.name}", [inner.name for inner in command.inner])
        for inner in command.inner:
            yield from _fish_words(inner, f"__fish_seen_subcommand_from {command.name}; and __fish_seen_subcommand_from {inner.name}", [])


def _fish_words(taken: Taken, where: str, inner: Sequence[str]) -> Iterator[str]:
    open_yet = f"{where}; and not __fish_seen_subcommand_from {' '.join(inner)}" if inner else where
    yield from (f"complete -c guide -n '{open_yet}' -a {each.name} -d {_fished(each.about)}" for each in taken.inner)
    if taken.words:
        yield f"complete -c guide -n '{where}' -a '{' '.join(taken.words)}'"
    for option in taken.options:
        names = " ".join(f"-l {name[2:]}" if name.startswith("--") else f"-s {name[1:]}" for name in option.names)
        value = f" -x -a '{' '.join(option.choices)}'" if option.choices else "" if not option.takes else " -r" if option.file else " -x"
        yield f"complete -c guide -n '{where}' {names}{value} -d {_fished(option.about)}"


def _fished(text: str) -> str:
    return "'" + text.replace("\\", "\\\\").replace("'", "\\'") + "'"


SHELLS: Mapping[str, Callable[[Sequence[Taken]], Iterator[str]]] = MappingProxyType({"bash": _bash, "zsh": _zsh, "fish": _fish})
