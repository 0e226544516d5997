"""The code of handsfree as a hash that changes when what it does may change, and else does not.

Of a module its syntax tree counts, without its texts for readers, so that a comment may change; of
any other file its bytes. What only shows something decides nothing.
"""

import ast
import hashlib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from handsfree.files.plain import plain_bytes

PACKAGE = Path(__file__).resolve().parents[1]
_SHOWS = frozenset({".css", ".html", ".jinja", ".js", ".pyc"})
_CARRIED = "carried"  # models and tasks, which an installed package has inside itself
_TOLD_TO_READERS = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)


def deciding_files(part: str = "") -> Iterator[Path]:
    """Every file that decides something in a folder of the package, or that one file, in order."""
    path = PACKAGE / part
    found = [path] if path.is_file() else path.rglob("*")
    for each in sorted(found):
        inside = each.relative_to(PACKAGE)
        if each.is_file() and each.suffix not in _SHOWS and inside.parts[0] != _CARRIED:
            yield each


@cache
def code_of(part: str, without: tuple[str, ...] = ()) -> str:
    """SHA-256 over what a folder or a file of the package does.

    Folders that are named in `without` do not count.
    """
    digest = hashlib.sha256()
    for path in deciding_files(part):
        name = path.relative_to(PACKAGE).as_posix()
        if not name.startswith(tuple(f"{each}/" for each in without)):
            digest.update(f"{name}:{content_of(path)}\n".encode())
    return digest.hexdigest()


@cache
def content_of(path: Path) -> str:
    """SHA-256 over one file, of a module over what it does."""
    content = plain_bytes(path)
    if path.suffix == ".py":
        content = repr(_shape(ast.parse(content))).encode()
    return hashlib.sha256(content).hexdigest()


def _shape(node: object) -> object:
    """A syntax tree as plain data, the same by every version of Python that has these names.

    `ast.dump` writes down what is empty as well, and newer versions have more that can be.
    """
    if isinstance(node, list):
        return tuple([_shape(each) for each in node])
    if not isinstance(node, ast.AST):
        return node
    kept: list[object] = [type(node).__name__]
    for name in node._fields:
        each: object = getattr(node, name, None)
        if name == "body" and isinstance(node, _TOLD_TO_READERS) and _is_text(node.body[:1]):
            each = node.body[1:]
        if each is not None and each != []:
            kept.append((name, _shape(each)))
    return tuple(kept)


def _is_text(statements: list[ast.stmt]) -> bool:
    match statements:
        case [ast.Expr(value=ast.Constant(value=str()))]:
            return True
    return False
