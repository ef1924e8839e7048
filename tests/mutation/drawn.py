"""The source of a file in; every small mistake that a slip of the hand makes of it, one at a time, out.

Operators turned, bounds moved by their edge, conditions always or never met, numbers a tenth or one off, the lesser for
the greater, a call left out. Left alone is what has no meaning at run time: documentation, annotations of functions,
decorators, examples, and `strict` of `zip`.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from functools import partial
from itertools import islice
from typing import NamedTuple

TURNED: dict[type, type] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Div, ast.Mod: ast.Mult,
    ast.Pow: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd, ast.And: ast.Or, ast.Or: ast.And,
    ast.USub: ast.UAdd, ast.Invert: ast.UAdd,
}  # fmt: skip
COMPARED: dict[type, tuple[type, ...]] = {
    ast.Lt: (ast.LtE, ast.GtE), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.LtE), ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.In: (ast.NotIn,), ast.NotIn: (ast.In,), ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
}  # fmt: skip
SWAPPED = {"min": "max", "minimum": "maximum", "any": "all", "floor": "ceil", "argmin": "argmax", "nanmin": "nanmax"}
SWAPPED |= {new: old for old, new in SWAPPED.items()}
NEARLY_ZERO = 1e-5
NO_MEANING = ("strict", "example")  # zip checks lengths that are equal anyway; an example stands in the documentation


class Slip(NamedTuple):
    """A mistake: on which line, what stood there, and what stands there now (both as Python writes them)."""

    line: int
    old: str
    new: str
    text: str


def count_of(source: str) -> int:
    """How many small mistakes can be made in a source."""
    return sum(1 for _, node in _places(ast.parse(source)) for _ in _changes(node))


def slip(source: str, number: int) -> Slip:
    """One small mistake of a source, from 0, in the order in which it is written."""
    tree = ast.parse(source)
    around, node, change = next(islice(((a, n, c) for a, n in _places(tree) for c in _changes(n)), number, None))
    old = _shown(around)
    change()
    return Slip(node.lineno, old, _shown(around), ast.unparse(tree))


def _shown(statement: ast.stmt) -> str:
    """A statement as one line, without what is inside its block."""
    return " ".join(ast.unparse(statement).splitlines()[0].split())


def _places(tree: ast.Module) -> list[tuple[ast.stmt, ast.AST]]:
    """Nodes where a mistake may be made, each with the statement around it."""
    found: list[tuple[ast.stmt, ast.AST]] = []

    def visit(node: ast.AST, around: ast.stmt | None) -> None:
        if isinstance(node, ast.stmt):
            around = node
            if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
                return
        if around is not None and hasattr(node, "lineno"):
            found.append((around, node))
        for name, value in ast.iter_fields(node):
            if name in ("decorator_list", "returns", "format_spec") or (name == "annotation" and not _bounds(node)):
                continue
            for one in value if isinstance(value, list) else [value]:
                if isinstance(one, ast.AST) and not (isinstance(one, ast.keyword) and one.arg in NO_MEANING):
                    visit(one, around)

    visit(tree, None)
    return found


def _bounds(node: ast.AST) -> bool:
    """Whether an annotation holds calls, such as those that say what a field of a section allows."""
    return isinstance(node, ast.AnnAssign) and any(isinstance(one, ast.Call) for one in ast.walk(node.annotation))


Change = Callable[[], None]


def _changes(node: ast.AST) -> Iterator[Change]:
    if isinstance(node, ast.BinOp | ast.AugAssign | ast.BoolOp | ast.UnaryOp) and type(node.op) in TURNED:
        if not (isinstance(node, ast.BinOp) and isinstance(node.op, ast.BitOr) and _is_type(node)):
            yield partial(setattr, node, "op", TURNED[type(node.op)]())
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        yield partial(setattr, node, "operand", ast.UnaryOp(ast.Not(), node.operand))
    elif isinstance(node, ast.Compare) and len(node.ops) == 1:
        for other in COMPARED[type(node.ops[0])]:
            yield partial(setattr, node, "ops", [other()])
    elif isinstance(node, ast.Constant):
        value = _another(node.value)
        if value is not None:
            yield partial(setattr, node, "value", value)
    elif isinstance(node, ast.Name) and node.id in SWAPPED:
        yield partial(setattr, node, "id", SWAPPED[node.id])
    elif isinstance(node, ast.Attribute) and node.attr in SWAPPED:
        yield partial(setattr, node, "attr", SWAPPED[node.attr])
    if isinstance(node, ast.If | ast.IfExp | ast.While):
        for always in (True, False):
            if not (always and isinstance(node, ast.While)):
                yield partial(setattr, node, "test", ast.Constant(always))
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Call):
        yield partial(setattr, node, "value", ast.Constant(None))


def _is_type(node: ast.BinOp) -> bool:
    """Whether `a | b` joins types (in isinstance, a cast or a name for a type), not sets, masks or tables."""
    ends = (node.left, node.right)
    names = {"str", "int", "float", "bool", "list", "dict", "tuple", "None", "Sequence", "Mapping"}
    return any(ast.unparse(end).partition("[")[0] in names for end in ends)


def _another(value: object) -> object:
    """A number a tenth or one off, or the other truth."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
    if isinstance(value, float):
        return value + 1.0 if abs(value) < NEARLY_ZERO else value * 1.1
    return None
