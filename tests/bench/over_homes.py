"""The very laws of the kernel in; the same laws on arrays with one entry a home out, to be timed against it.

The sources of `simkit.physics` are read and run again with NumPy's maximum, minimum and where in place of Python's; an
``if`` works out both sides and selects. No formula stands here.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Mapping
from functools import reduce
from pathlib import Path
from typing import Any

import numpy as np

import simkit.physics as physics

FOLDER = Path(physics.__file__).parent
ORDER = (
    "law",
    "constants",
    "heat_pump",
    "emitters",
    "hot_water",
    "emitter_store",
    "rooms",
    "battery",
    "records",
    "running",
    "water_step",
    "space_step",
    "step",
)


def select(test: Any, new: Any, old: Any) -> Any:
    """Take the new values where the test holds, of arrays or of tuples of them."""
    if isinstance(new, tuple):
        made = [select(test, a, b) for a, b in zip(new, old, strict=True)]
        return type(new)(*made) if hasattr(new, "_fields") else tuple(made)
    return np.where(test, new, old)


class _Selecting(ast.NodeTransformer):
    """Turn ``if test: name = …`` into both sides and a selection, and drop ``@law`` and imports of the package."""

    def visit_ImportFrom(self, node: ast.ImportFrom) -> ast.AST | None:
        return None if node.module and node.module.startswith("simkit.") else node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        node.decorator_list = []
        return self.generic_visit(node)

    def visit_If(self, node: ast.If) -> list[ast.stmt]:
        assert not node.orelse, "a law with an else: teach this transformer about it"
        stored = sorted(
            {n.id for s in node.body for n in ast.walk(s) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store)}
        )
        fresh = {name.id for s in node.body for name in ast.walk(s) if isinstance(name, ast.Name)} - set(stored)
        names = [name for name in stored if name not in fresh]
        test = ast.unparse(node.test)
        before = ast.parse(
            f"_test = {test}\n" + "".join(f"_old_{name} = locals().get('{name}')\n" for name in names)
        ).body
        after = ast.parse(
            "".join(
                f"{name} = {name} if _old_{name} is None else select(_test, {name}, _old_{name})\n" for name in names
            )
        ).body
        return [*before, *node.body, *after]


def laws_over_homes() -> Mapping[str, Callable[..., Any]]:
    """Every law and record of `simkit.physics` by name, taking arrays."""
    scope: dict[str, Any] = {
        "max": lambda *values: reduce(np.maximum, values),
        "min": lambda *values: reduce(np.minimum, values),
        "select": select,
        "__name__": "over_homes",
    }
    for module in ORDER:
        tree = _Selecting().visit(ast.parse((FOLDER / f"{module}.py").read_text(encoding="utf-8")))
        exec(compile(ast.fix_missing_locations(tree), f"{module} over homes", "exec"), scope)
        scope["pick"] = np.where
    return scope
