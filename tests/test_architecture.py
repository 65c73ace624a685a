"""The house: each floor imports only floors below it, and the rules of size and tidiness."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "millcalc"

# from bottom to top, the list of DESIGN.md section 2
FLOORS = [
    "errors",
    "sources",
    "quantities",
    "discovery",
    "formulas",
    "cutters",
    "materials",
    "loads",
    "surface",
    "planning",
    "evidence",
    "report",
    "testing",
    "commands",
    "__main__",
]
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "millcalc", "plugins", "tests", "reference"}
MODULES = sorted(PACKAGE.rglob("*.py"))
MOST_LINES = 400


def floor_of(name: str) -> str | None:
    """Return the floor of a dotted module name, or None for the package itself and for foreign modules."""
    parts = name.split(".")
    return parts[1] if parts[0] == "millcalc" and len(parts) > 1 else None


def module_name(path: Path, package: Path = PACKAGE) -> str:
    parts = path.relative_to(package.parent).with_suffix("").parts
    return ".".join(p for p in parts if p != "__init__")


def imported(path: Path, tree: ast.AST, package: Path = PACKAGE):
    """Yield every module that a file imports, wherever in the file, relative names resolved."""
    inside = path.relative_to(package.parent).parent.parts
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name
        elif isinstance(node, ast.ImportFrom):
            above = ".".join(inside[: len(inside) - node.level + 1]) if node.level else ""
            base = ".".join(p for p in (above, node.module or "") if p)
            for alias in node.names:
                yield node.lineno, f"{base}.{alias.name}" if base == "millcalc" else base
        elif isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "import_module":
            names = [a.value for a in node.args if isinstance(a, ast.Constant)]
            yield from ((node.lineno, str(name)) for name in names)


def test_every_module_is_on_a_floor():
    for path in MODULES:
        floor = floor_of(module_name(path))
        assert floor is None or floor in FLOORS, path
    entries = {p.stem for p in PACKAGE.iterdir() if p.suffix == ".py" or (p.is_dir() and list(p.rglob("*.py")))}
    assert entries - {"__init__"} <= set(FLOORS)


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_go_down(path):
    own = floor_of(module_name(path))
    if own is None:  # the package itself gives out the public names, lazily
        return
    below = FLOORS[: FLOORS.index(own) + 1]
    for line, name in imported(path, ast.parse(path.read_text(encoding="utf-8"))):
        floor = floor_of(name)
        if name.split(".")[0] == "millcalc":
            assert floor in below, f"{path}:{line} imports {name}"


def test_a_floor_above_is_noticed(tmp_path):
    """The reader of imports sees them at the top, in functions, relative and by name."""
    package = tmp_path / "millcalc"
    path = package / "formulas" / "ball.py"
    path.parent.mkdir(parents=True)
    text = (
        "import millcalc.planning\nfrom millcalc import report\nfrom ..surface import x\nfrom . import y\n"
        "def f():\n    from millcalc.loads import z\n    import importlib\n"
        "    importlib.import_module('millcalc.testing')\n"
    )
    names = {name for _, name in imported(path, ast.parse(text), package)}
    assert {floor_of(n) for n in names} == {
        "planning",
        "report",
        "surface",
        "formulas",
        "loads",
        "testing",
        None,
    }


def test_importing_the_package_imports_no_floor():
    tree = ast.parse((PACKAGE / "__init__.py").read_text(encoding="utf-8"))
    guarded = {
        inner
        for node in tree.body
        if isinstance(node, (ast.FunctionDef, ast.If))  # __getattr__, and `if TYPE_CHECKING`
        for inner in ast.walk(node)
    }
    for node in ast.walk(tree):
        if isinstance(node, (ast.Import, ast.ImportFrom)) and node not in guarded:
            module = getattr(node, "module", None) or node.names[0].name
            assert module.split(".")[0] in {*sys.stdlib_module_names, "__future__"}, module


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_modules_are_tidy(path):
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= MOST_LINES
    tree = ast.parse(text)
    assert ast.get_docstring(tree), "a module says what it is about"
    for node in ast.walk(tree):
        assert not (isinstance(node, ast.ImportFrom) and any(a.name == "*" for a in node.names)), node.lineno
    for word in ("TODO", "FIXME", "XXX", "NotImplementedError"):
        assert word not in text


def test_the_top_level_holds_nothing_else():
    done = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip("not a checkout")
    entries = {line.split("/", 1)[0] for line in done.stdout.splitlines()}
    assert {e for e in entries if not e.startswith(".")} <= TOP_LEVEL


def loaded_by(code: str) -> set[str]:
    """Return the modules loaded after a line of code in a fresh interpreter."""
    command = [sys.executable, "-c", f"{code}\nimport sys; print(*sys.modules)"]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_importing_millcalc_loads_neither_pint_nor_numpy_nor_plugin_metadata():
    loaded = loaded_by("import millcalc") - loaded_by("pass")
    for module in ("pint", "numpy", "attrs", "importlib.metadata", "importlib_metadata"):
        assert module not in loaded


def test_planning_loads_neither_pint_nor_plugin_metadata():
    loaded = loaded_by("from millcalc import plan") - loaded_by("import numpy")
    for module in ("pint", "importlib_metadata", "matplotlib"):
        assert module not in loaded


@pytest.mark.parametrize("path", sorted(ROOT.joinpath("tests").rglob("*.py")), ids=lambda p: p.name)
def test_tests_are_short_and_say_what_they_are_about(path):
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= MOST_LINES
    assert ast.get_docstring(ast.parse(text))
