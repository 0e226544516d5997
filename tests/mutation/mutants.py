"""Every small change to a module that its tests should notice.

The changes are mutmut's (BSD licence), and five that it lacks. What `mypy` refuses is not among
them, such as None for an argument: it would be noticed without any test. mutmut's own runner is
not used: it cannot sample, and it passes over decorated methods and over the tables at the top of
a module, which hold rules here.
"""

import ast
import difflib
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import libcst as cst
from mutmut.mutation import mutators

_Operator = Callable[[Any], Iterable[cst.CSTNode]]
_OPERATORS: tuple[tuple[type[cst.CSTNode], _Operator], ...] = (
    (cst.BaseNumber, mutators.operator_number),
    (cst.BaseString, mutators.operator_string),
    (cst.Name, mutators.operator_name),
    (cst.AugAssign, mutators.operator_augmented_assignment),
    (cst.UnaryOperation, mutators.operator_remove_unary_ops),
    (cst.Call, mutators.operator_arg_removal),
    (cst.Call, mutators.operator_symmetric_string_methods_swap),
    (cst.Call, mutators.operator_unsymmetrical_string_methods_swap),
    (cst.CSTNode, mutators.operator_keywords),
    (cst.CSTNode, mutators.operator_swap_op),
    (cst.Match, mutators.operator_match),
    (cst.IfExp, mutators.operator_if_exp),
)


@dataclass(frozen=True, slots=True)
class Mutant:
    """A module with one change."""

    module: Path  # relative to the root
    code: str
    lines: frozenset[int]  # of the module as it was: the statement that was changed, from 1
    diff: str


@dataclass(frozen=True, slots=True)
class Module:
    """A module and all that may be changed in it, in the order of its text."""

    path: Path  # relative to the root
    code: str
    changes: tuple[tuple[cst.CSTNode, cst.CSTNode], ...]
    tree: cst.Module = field(repr=False)

    def mutant(self, at: int) -> Mutant:
        """The module with one of its changes."""
        new = self.tree.deep_replace(*self.changes[at])
        assert isinstance(new, cst.Module)
        before, after = self.code.splitlines(), new.code.splitlines()
        diff = difflib.unified_diff(before, after, str(self.path), str(self.path), "", "", 1, "")
        statements = [each for each in ast.walk(ast.parse(self.code)) if isinstance(each, ast.stmt)]
        lines = _whole_statements(_changed(before, after), statements)
        return Mutant(self.path, new.code, lines, "\n".join(diff))


def read_module(root: Path, path: Path) -> Module:
    """The module at `path` below `root`."""
    code = (root / path).read_text(encoding="utf-8")
    tree = cst.parse_module(code)
    found = _Places()
    tree.visit(found)
    return Module(path, code, tuple(found.changes), tree)


def _changed(before: Sequence[str], after: Sequence[str]) -> Iterator[int]:
    for tag, start, end, _, _ in difflib.SequenceMatcher(None, before, after, False).get_opcodes():
        if tag != "equal":
            yield from range(start + 1, max(end, start + 1) + 1)


def _whole_statements(lines: Iterable[int], statements: Sequence[ast.stmt]) -> frozenset[int]:
    """`lines` with all lines of the smallest statement, or head of one, that each stands in."""
    found: set[int] = set()
    for line in lines:
        found.add(line)
        around = [each for each in statements if each.lineno <= line <= (each.end_lineno or 0)]
        if not around:
            continue
        smallest = max(around, key=lambda each: each.lineno)
        last = smallest.end_lineno or line
        body = getattr(smallest, "body", None)
        if body and isinstance(body[0], ast.stmt):
            last = max(smallest.lineno, body[0].lineno - 1)
        if line <= last and not isinstance(smallest, ast.Match):
            found |= set(range(smallest.lineno, last + 1))
    return frozenset(found)


class _Places(cst.CSTVisitor):
    """Collects each node with what may stand in its place."""

    def __init__(self) -> None:
        self.changes: list[tuple[cst.CSTNode, cst.CSTNode]] = []
        self._may_be_none: list[bool] = []  # what the functions around this node give

    def on_visit(self, node: cst.CSTNode) -> bool:
        if _means_nothing_in_a_run(node):
            return False
        if isinstance(node, cst.FunctionDef):
            self._may_be_none.append(_may_be_none(node))
        for kind, operator in _OPERATORS:
            if isinstance(node, kind):
                offered = operator(node)
                self.changes += [(node, each) for each in offered if _is_of_use(node, each)]
        self.changes += [(node, each) for each in _left_out(node)]
        if self._may_be_none[-1:] == [True] and isinstance(node, cst.Return) and _is_some(node):
            self.changes.append((node, node.with_changes(value=cst.Name("None"))))
        return True

    def on_leave(self, original_node: cst.CSTNode) -> None:
        if isinstance(original_node, cst.FunctionDef):
            self._may_be_none.pop()


def _means_nothing_in_a_run(node: cst.CSTNode) -> bool:
    """What is for the type checker or the reader only, or says how a class is built."""
    match node:
        case cst.Annotation() | cst.Assert() | cst.Decorator() | cst.Import() | cst.ImportFrom():
            return True
        case cst.AnnAssign(annotation=cst.Annotation(annotation=cst.Name("TypeAlias"))):
            return True
        case cst.Call(func=cst.Name("TypeVar" | "cast")):
            return True
        case cst.Assign(targets=[cst.AssignTarget(target=cst.Name("__all__"))]):
            return True
        case cst.If(test=cst.Name("TYPE_CHECKING")):
            return True  # it never holds in a run
        case cst.Arg():
            return _is_strict(node)
        case cst.If(body=cst.IndentedBlock(body=[cst.SimpleStatementLine(body=[cst.Raise(exc)])])):
            # "This cannot be": what would have to be broken elsewhere to come there.
            return exc is not None and _names(exc, "AssertionError")
        case cst.ClassDef(bases=bases):
            return any(_is_name(each.value, "Protocol") for each in bases)
    return False


def _is_strict(argument: cst.Arg) -> bool:
    """That of `zip`: it says what cannot be otherwise, as an assertion does."""
    return argument.keyword is not None and argument.keyword.value == "strict"


def _is_of_use(node: cst.CSTNode, changed: cst.CSTNode) -> bool:
    """Whether no type checker would notice, and no other change is noticed by just the same."""
    if isinstance(node, cst.SimpleString) and isinstance(changed, cst.SimpleString):
        return "XX" in changed.value  # the others write it in capitals or in small letters
    if isinstance(node, cst.Call) and isinstance(changed, cst.Call):
        if len(changed.args) == len(node.args):
            return changed.func is not node.func and not changed.func.deep_equals(node.func)
        left_out = [each for each in node.args if each not in changed.args]
        return all(each.keyword is not None and not _is_strict(each) for each in left_out)
    return True


def _left_out(node: cst.CSTNode) -> Iterator[cst.CSTNode]:
    """What mutmut has no operator for: statements left out, and conditions that never decide."""
    match node:
        case cst.SimpleStatementLine(body=[cst.Expr(value=cst.Call()) | cst.Raise()]):
            yield node.with_changes(body=[cst.Pass()])
        case cst.SimpleStatementLine(
            body=[cst.Assign(targets=[cst.AssignTarget(target=cst.Name(name))], value=value)]
        ) if _names(value, name):
            yield node.with_changes(body=[cst.Pass()])
        case cst.If(test=test) | cst.CompIf(test=test):
            yield node.with_changes(test=_and_false(test))
            yield node.with_changes(test=_or_true(test))
        case cst.MatchCase(guard=guard) if guard is not None:
            yield node.with_changes(guard=_and_false(guard))
            yield node.with_changes(guard=_or_true(guard))


def _is_some(returned: cst.Return) -> bool:
    return returned.value is not None and not _is_none(returned.value)


def _may_be_none(function: cst.FunctionDef) -> bool:
    """Whether its annotation is `... | None`."""
    match function.returns:
        case cst.Annotation(annotation=cst.BinaryOperation(left=left, right=right)):
            return _is_none(left) or _is_none(right)
    return False


def _names(node: cst.CSTNode, name: str) -> bool:
    return _is_name(node, name) or any(_names(each, name) for each in node.children)


def _is_name(node: cst.CSTNode, name: str) -> bool:
    return isinstance(node, cst.Name) and node.value == name


def _is_none(node: cst.CSTNode) -> bool:
    return _is_name(node, "None")


def _bracketed(test: cst.BaseExpression) -> cst.BaseExpression:
    return test.with_changes(lpar=[cst.LeftParen()], rpar=[cst.RightParen()])


def _and_false(test: cst.BaseExpression) -> cst.BaseExpression:
    return cst.BooleanOperation(_bracketed(test), cst.And(), cst.Name("False"))


def _or_true(test: cst.BaseExpression) -> cst.BaseExpression:
    return cst.BooleanOperation(_bracketed(test), cst.Or(), cst.Name("True"))
