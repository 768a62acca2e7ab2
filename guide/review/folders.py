"""Knowledge to look through: a folder as it is, or as it was at a revision of git, read into a temporary folder."""
from __future__ import annotations

import io
import re
import subprocess
import tempfile
import zipfile
from pathlib import Path

from guide.arguments import Misuse
from guide.knowledge import compiling
from guide.knowledge.base import Knowledge
from guide.knowledge.problems import check_command, in_one_line

_REVISION = re.compile(r"[A-Za-z0-9][\w./~^@{}+-]{0,199}")
"""What a revision looks like: it never begins with a dash, so that git cannot take it for an option."""
_PATIENCE_S = 60


def knowledge_in(folder: Path, overlay: Path | None = None, revision: str = "") -> Knowledge:
    """The knowledge of a folder, without its phrases. Misuse with the first error where it cannot be trusted; that of a
    `revision`, named in words, is told without the folder that it was unpacked into for the moment."""
    if not is_folder(folder):
        raise Misuse(f"{folder}: not a folder of knowledge files")
    knowledge, problems = compiling.load(folder, bank=False, overlay=overlay)
    errors = [problem for problem in problems if problem.level == "error"]
    if errors:
        raise Misuse(f"{revision}: {errors[0].line()}" if revision else in_one_line(errors, check_command(folder, overlay)))
    return knowledge


def is_folder(path: Path) -> bool:
    """Whether there is a folder of that name; a name that the system refuses is none."""
    try:
        return path.is_dir()
    except OSError:
        return False


def opened(name: str, folder: Path) -> Knowledge:
    """The knowledge that `name` means: a folder of that path, else a git revision of `folder`.

    Git runs without a shell and only reads. Misuse where there is neither, or where it cannot be read.
    """
    if is_folder(Path(name)):
        return knowledge_in(Path(name))
    if not _REVISION.fullmatch(name) or ".." in name:
        raise Misuse(f'"{name[:60]}" is neither a folder nor a git revision')
    if not is_folder(folder):
        raise Misuse(f"{folder}: no such folder, so it has no revisions; name it with --folder DIR")
    commit = _git(folder, "rev-parse", "--verify", "--quiet", "--end-of-options", f"{name}^{{commit}}",
                  wrong=f'"{name}" is neither a folder nor a git revision of {folder}').decode("ascii", "replace").strip()
    packed = _git(folder, "archive", "--format=zip", commit, "--", "*.yaml", wrong=f"{folder} holds no knowledge files at {name}")
    with tempfile.TemporaryDirectory(prefix="guide-") as place:
        zipfile.ZipFile(io.BytesIO(packed)).extractall(place)
        return knowledge_in(Path(place), revision=f"{folder} at {name}")


def _git(folder: Path, *words: str, wrong: str) -> bytes:
    try:
        done = subprocess.run(["git", "-C", str(folder), *words], capture_output=True, timeout=_PATIENCE_S, check=False)
    except FileNotFoundError:
        raise Misuse("git is not installed; compare two folders instead") from None
    except subprocess.TimeoutExpired:
        raise Misuse(f"git took longer than {_PATIENCE_S} s") from None
    if done.returncode:
        said = " ".join(done.stderr.decode("utf-8", "replace").split())[:120]
        raise Misuse(wrong + (f" ({said})" if said else ""))
    return done.stdout
