"""House: public functions and records say their shapes, units, errors and source."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "src" / "trialfit"
STAGES = {"tables", "survey", "parts", "feed", "strength", "heat", "fitup", "making", "quote"}
MODULES = sorted(path for path in SOURCE.rglob("*.py") if "cli" not in path.parts)
NUMBERS = re.compile(r"\b(float|Float|NDArray|ndarray|Array)\b")
ARRAYS = re.compile(r"\b(NDArray|ndarray|Array|FloatArray)\b")


def _public(tree: ast.Module) -> list[ast.FunctionDef]:
    return [n for n in tree.body if isinstance(n, ast.FunctionDef) and not n.name.startswith("_")]


def _entries(doc: str) -> dict[str, str]:
    """Names in the Parameters section with the lines below each."""
    match = re.search(r"Parameters\n-+\n(.*?)(?=\n\S+\n-{3,}\n|\Z)", doc, re.DOTALL)
    found: dict[str, str] = {}
    names: list[str] = []
    for line in (match.group(1) if match else "").splitlines():
        if line and not line[0].isspace():
            names = [name.strip(" *") for name in line.split(":")[0].split(",")]
            found.update(dict.fromkeys(names, ""))
        else:
            for name in names:
                found[name] += line + "\n"
    return found


def _complaints(path: Path) -> list[str]:
    tree = ast.parse(path.read_text())
    module_doc = ast.get_docstring(tree) or ""
    wrong = [] if module_doc else ["module has no docstring"]
    needs_source = path.relative_to(SOURCE).parts[0] in STAGES and "Source" not in module_doc
    records = [n for n in tree.body if isinstance(n, ast.ClassDef) and not n.name.startswith("_")]
    for record in records:
        if not ast.get_docstring(record):
            wrong.append(f"class {record.name}: no docstring")
        entries = _entries(ast.get_docstring(record) or "")
        for item in record.body:
            if isinstance(item, ast.FunctionDef) and not item.name.startswith("_") and not ast.get_docstring(item):
                wrong.append(f"{record.name}.{item.name}: no docstring")
            if isinstance(item, ast.AnnAssign) and isinstance(item.target, ast.Name) and not _is_job_key(item):
                wrong += _unit_complaints(record.name, item.target.id, ast.unparse(item.annotation), entries)
    for function in _public(tree):
        doc = ast.get_docstring(function) or ""
        if not doc:
            wrong.append(f"{function.name}: no docstring")
            continue
        if _is_call(function):
            continue
        entries = _entries(doc)
        arguments = function.args.posonlyargs + function.args.args + function.args.kwonlyargs
        for argument in arguments:
            if argument.arg not in entries:
                wrong.append(f"{function.name}: parameter {argument.arg} is not described")
                continue
            annotation = ast.unparse(argument.annotation) if argument.annotation else ""
            wrong += _unit_complaints(function.name, argument.arg, annotation, entries)
        returns = ast.unparse(function.returns) if function.returns else "None"
        if returns != "None" and "Returns\n---" not in doc and "Yields\n---" not in doc:
            wrong.append(f"{function.name}: no Returns section")
        raises = any(isinstance(n, ast.Raise) and "Refus" in ast.unparse(n) for n in ast.walk(function))
        if raises and "Raises\n---" not in doc:
            wrong.append(f"{function.name}: raises a refusal and does not say so")
        if needs_source and NUMBERS.search(returns) and "Source\n---" not in doc:
            wrong.append(f"{function.name}: no Source section, nor one in the module's docstring")
    return wrong


def _is_job_key(item: ast.AnnAssign) -> bool:
    """Keys of the job document carry their description in the field; docs/job-file.md is tested against it."""
    return isinstance(item.value, ast.Call) and ast.unparse(item.value.func) == "Field"


def _is_call(function: ast.FunctionDef) -> bool:
    """What a program or a page asks for over the network is described in /api/openapi.json, each parameter there."""
    return any(ast.unparse(each).startswith("router.") for each in function.decorator_list)


def _unit_complaints(owner: str, name: str, annotation: str, entries: dict[str, str]) -> list[str]:
    if name.startswith("_") or not NUMBERS.search(annotation):
        return []
    text = entries.get(name)
    if text is None:
        return [f"{owner}: {name} is not described"]
    wrong = [] if re.search(r"\[[^\]]+\]", text) else [f"{owner}: {name} has no [unit]"]
    if ARRAYS.search(annotation) and not re.search(r"\((\.\.\.|[\w +*]+),[\w +*,]*\)", text):
        wrong.append(f"{owner}: array {name} has no shape")
    return wrong


@pytest.mark.parametrize("path", MODULES, ids=[str(p.relative_to(SOURCE)) for p in MODULES])
def test_docstrings_say_shapes_units_errors_and_source(path: Path) -> None:
    assert _complaints(path) == []
