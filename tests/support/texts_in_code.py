"""What the sources say about their texts: which cannot be extracted, which stand on buttons, which lists keep an order."""

from __future__ import annotations

import ast
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from bot.wordings import TEXT_N
from tests.open_data import ROOT

__all__ = ["Texts", "texts_in", "texts_of"]

#: Characters that the platform takes, by the function whose texts it shows so: Bot API 10.0, setMyCommands and
#: setMyDescription.
_MOST = {"about": 256, "introduce": 512}
_ARGUMENTS_N = {"gettext": 1, "ngettext": 2, "pgettext": 2}


@dataclass(frozen=True, slots=True)
class Texts:
    """hidden: (file, source) of calls whose text is not written out. labels: of buttons. ordered: lists parted by "|".
    short: how long the few may be that the platform wants short."""

    hidden: tuple[tuple[str, str], ...]
    labels: frozenset[str]
    ordered: frozenset[str]
    short: Mapping[str, int] = field(default_factory=dict)

    def most(self, text: str) -> int:
        """Characters that the platform takes of a text."""
        return self.short.get(text, TEXT_N)


def texts_in(folder: Path) -> Texts:
    """What the Python files below a folder hold."""
    trees = {str(path.relative_to(folder)): ast.parse(path.read_text("utf-8")) for path in sorted(folder.rglob("*.py"))}
    return Texts(
        hidden=tuple((file, source) for file, tree in trees.items() for source in _hidden(tree)),
        labels=frozenset(text for tree in trees.values() for text in _labels(tree)),
        ordered=frozenset(text for tree in trees.values() for text in _ordered(tree)),
        short={text: most for tree in trees.values() for name, most in _MOST.items() for text in texts_of(tree, name)},
    )


def texts_of(tree: ast.Module, function: str) -> Iterator[str]:
    """What is said in the functions of a name; of a text with a plural, the form for one."""
    for outer in ast.walk(tree):
        if isinstance(outer, ast.FunctionDef | ast.AsyncFunctionDef) and outer.name == function:
            for call in _calls(outer):
                if _name(call) in ("gettext", "ngettext") and (text := _text(call.args[0])):
                    yield text


def _hidden(tree: ast.Module) -> Iterator[str]:
    """Calls that extraction passes over. Functions that only hand a text on are extracted where they are called."""
    handing_on = _ARGUMENTS_N.keys() | _lists_of_words()
    within = {
        id(inner)
        for outer in ast.walk(tree)
        if isinstance(outer, ast.FunctionDef) and outer.name in handing_on
        for inner in ast.walk(outer)
    }
    for call in _calls(tree):
        arguments = call.args[: _ARGUMENTS_N.get(_name(call), 2)]
        is_list = isinstance(call.func, ast.Name) and _name(call) in _lists_of_words() and len(call.args) > 1
        if (_name(call) not in _ARGUMENTS_N and not is_list) or id(call) in within:
            continue
        is_crop = _text(arguments[0]) == "crop"  # their names are extracted from the rule files
        if not is_crop and any(_text(argument) is None for argument in arguments):
            yield ast.unparse(call)


def _labels(tree: ast.Module) -> Iterator[str]:
    """Texts on buttons that come back: pairs of a label and the data written beside it."""
    for pair in ast.walk(tree):
        if isinstance(pair, ast.Tuple) and len(pair.elts) == 2:
            label, data = pair.elts
            comes_back = isinstance(data, ast.JoinedStr) or _text(data) is not None
            if comes_back and isinstance(label, ast.Call) and _name(label) == "gettext":
                yield _text(label.args[0]) or ""


def _ordered(tree: ast.Module) -> Iterator[str]:
    return (_text(call.args[1]) or "" for call in _calls(tree) if _name(call) == "in_order" and len(call.args) == 2)


@cache
def _lists_of_words() -> frozenset[str]:
    """The functions that pyproject.toml names beside gettext, ngettext and pgettext."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    mappings = project["tool"]["babel"]["mappings"]
    return frozenset(word.partition(":")[0] for mapping in mappings for word in mapping.get("keywords", ()))


def _calls(tree: ast.AST) -> Iterator[ast.Call]:
    return (node for node in ast.walk(tree) if isinstance(node, ast.Call))


def _name(call: ast.Call) -> str:
    if isinstance(call.func, ast.Attribute):
        return call.func.attr
    return call.func.id if isinstance(call.func, ast.Name) else ""


def _text(node: ast.expr) -> str | None:
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else None
