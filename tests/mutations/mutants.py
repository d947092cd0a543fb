"""The mutants of a module: what cosmic-ray can make of it, less what changes nothing it does."""

from __future__ import annotations

import ast
import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

BITWISE = {"RShift", "LShift", "BitOr", "BitAnd", "BitXor"}
"""Type annotations and conditions on arrays are written with these, arithmetic never."""

UNLIKELY = BITWISE | {"FloorDiv", "Mod", "Pow"}
"""Of floats these raise TypeError or lie far off, at the cost of a run each; what they would find,
another of + - * / finds too."""

IDENTITY = {"Is", "IsNot"}
"""For floats the same as == and !=, which are tried; of None and enum members there is no order."""

SAME_BY_DESIGN = {"ReplaceUnaryOperator_USub_UAdd"}
"""The same as deleting the sign, which is tried."""

NEEDS_NAMES = {"VariableReplacer", "VariableInserter"}
"""Operators that want to be told variables."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mutant:
    """One change to one module, as cosmic-ray counts them."""

    module: str
    digest: str
    operator: str
    occurrence: int

    @property
    def key(self) -> str:
        """What names this mutant as long as its module stays as it is."""
        return f"{self.module}:{self.digest}:{self.operator}:{self.occurrence}"


@dataclass(frozen=True, slots=True, order=True)
class Change:
    """What a mutant does to the text: the function, the line as it was and as it became."""

    module: str
    function: str
    line: int
    was: str
    now: str


def operators() -> list[str]:
    """Return the operators that are applied, in an order that never changes."""
    chosen = []
    for full in sorted(operator_names()):
        name = full.removeprefix("core/")
        if name in SAME_BY_DESIGN | NEEDS_NAMES or not full.startswith("core/"):
            continue
        match name.split("_"):
            case ["ReplaceBinaryOperator", "BitAnd", "BitOr"]:
                pass
            case ["ReplaceBinaryOperator", was, now] if was in BITWISE or now in UNLIKELY:
                continue
            case ["ReplaceComparisonOperator", was, now] if (was in IDENTITY) != (now in IDENTITY):
                continue
        chosen.append(full)
    return chosen


def mutants_of(path: Path) -> Iterator[Mutant]:
    """Yield every mutant of a module, those that change nothing included."""
    source = path.read_text(encoding="utf-8")
    digest = hashlib.sha256(source.encode()).hexdigest()[:12]
    nodes = list(ast_nodes(get_ast(source)))
    for name in operators():
        operator = get_operator(name)()
        count = sum(1 for node in nodes for _ in operator.mutation_positions(node))
        for occurrence in range(count):
            yield Mutant(module=path.stem, digest=digest, operator=name, occurrence=occurrence)


def mutated(source: str, mutant: Mutant) -> str:
    """Return the text of the mutant."""
    text = mutate_code(source, get_operator(mutant.operator)(), mutant.occurrence)
    if text is None:
        message = f"{mutant.key} cannot be made"
        raise ValueError(message)
    return str(text)


class _WhatRuns(ast.NodeTransformer):
    """Leaves only what is executed: no annotations, no stubs, no imports for the type checker."""

    def visit_arguments(self, node: ast.arguments) -> ast.arguments:
        """Forget which arguments may be given by place, and which by name."""
        self.generic_visit(node)
        places = [*node.posonlyargs, *node.args]
        without: list[ast.expr | None] = [None] * (len(places) - len(node.defaults))
        defaults = [*without, *node.defaults, *node.kw_defaults]
        node.kwonlyargs = [*places, *node.kwonlyargs]
        node.kw_defaults = defaults
        node.posonlyargs, node.args, node.defaults = [], [], []
        return node

    def visit_arg(self, node: ast.arg) -> ast.arg:
        node.annotation = None
        return node

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AnnAssign:
        self.generic_visit(node)
        node.annotation = ast.Constant(value=None)
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.FunctionDef | None:
        last = node.body[-1]
        if isinstance(last, ast.Expr) and getattr(last.value, "value", None) is Ellipsis:
            return None
        self.generic_visit(node)
        node.returns = None
        return node

    def visit_If(self, node: ast.If) -> ast.If | None:
        if any(isinstance(n, ast.Name) and n.id == "TYPE_CHECKING" for n in ast.walk(node.test)):
            return None
        self.generic_visit(node)
        return node


def what_runs(source: str) -> str:
    """Return a text that is the same for two sources that do the same because they run the same."""
    return ast.dump(_WhatRuns().visit(ast.parse(source)))


def change_of(source: str, mutant: Mutant) -> Change:
    """Return where and how the mutant's text differs from its module's."""
    before = source.splitlines()
    after = mutated(source, mutant).splitlines()
    first = next(i for i, pair in enumerate(zip(before, after, strict=False)) if len({*pair}) > 1)
    removed = len(before) - len(after)
    return Change(
        mutant.module,
        _function_at(ast.parse(source), first + 1),
        first + 1,
        before[first].strip(),
        "" if removed else after[first].strip(),
    )


def _function_at(tree: ast.AST, line: int, inside: str = "") -> str:
    for node in ast.iter_child_nodes(tree):
        if not isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            found = _function_at(node, line, inside)
            if found != inside:
                return found
            continue
        starts = min([node.lineno, *(d.lineno for d in node.decorator_list)])
        if starts <= line <= (node.end_lineno or node.lineno):
            return _function_at(node, line, f"{inside}.{node.name}" if inside else node.name)
    return inside
