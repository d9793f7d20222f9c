"""Who may import whom, read from the source; and no import hides in a function without a reason beside it."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
# Each layer may import itself and what stands before it in its row.
LAYERS: dict[str, set[str]] = {
    "planner.errors": set(),
    "planner.units": {"planner.errors"},
    "planner.physics": {"planner.errors"},
    "planner.car": {"planner.errors", "planner.physics"},
    "planner.event": {"planner.errors"},
    "planner.entry": {"planner.errors"},
}
LAYERS["planner.driving"] = {*LAYERS, "planner.units"}
LAYERS["planner.use"] = {*LAYERS}
LAYERS["planner.planning"] = {*LAYERS}
LAYERS["planner.day"] = {*LAYERS}
LAYERS["planner.follow"] = {*LAYERS}
LAYERS["planner.compare_tanks"] = {*LAYERS}
LAYERS["planner.files"] = {*LAYERS}
LAYERS["planner.cli"] = {*LAYERS, "dashboard", "events_demo"}
DASH = {"dash", "dash_ag_grid", "dash_mantine_components"}
PAGES = {
    "dashboard.pages",
    "dashboard.components",
    "dashboard.presenters",
    "dashboard.figures",
    "dashboard.upload_routes",
}
DASHBOARD: dict[str, set[str]] = {
    "dashboard.figures": {"dashboard.figures"},
    "dashboard.presenters": {"dashboard.presenters", "planner"},
    "dashboard.components": {"dashboard.components", "dashboard.figures", "dashboard.presenters"},
    "dashboard.pages": PAGES,
}


def modules(package: str) -> list[Path]:
    """Every Python file of a package."""
    return sorted((ROOT / package).rglob("*.py"))


def dotted(path: Path) -> str:
    """The module's name of a file."""
    name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
    return name.removesuffix(".__init__")


def imported(path: Path) -> set[str]:
    """Every module of ours that a file imports, in functions too."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return {name for name in names if name.split(".")[0] in ("planner", "dashboard", "events_demo")}


def layer(name: str, layers: dict[str, set[str]]) -> str | None:
    """The layer a module belongs to."""
    for key in layers:
        if name == key or name.startswith(key + "."):
            return key
    return None


@pytest.mark.parametrize("path", modules("planner"), ids=dotted)
def test_data_flows_one_way_through_the_planner(path: Path) -> None:
    own = layer(dotted(path), LAYERS)
    if own is None:
        assert dotted(path) in ("planner",), f"{dotted(path)} has no place in the house"
        return
    for name in imported(path):
        if name == "planner":
            continue
        target = layer(name, LAYERS) or name
        allowed = {own, *LAYERS[own]}
        assert target in allowed or target.split(".")[0] in allowed, f"{dotted(path)} imports {name}"


@pytest.mark.parametrize("path", modules("dashboard"), ids=dotted)
def test_pages_import_presenters_and_figures_and_never_the_planner(path: Path) -> None:
    own = layer(dotted(path), DASHBOARD)
    for name in imported(path) if own else ():
        assert name.startswith(tuple(DASHBOARD[own or ""])) or name == "dashboard", f"{dotted(path)} imports {name}"


@pytest.mark.parametrize("kind", ["presenters", "figures"])
def test_presenters_and_figures_import_no_dash(kind: str) -> None:
    for path in modules(f"dashboard/{kind}"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            module = node.module if isinstance(node, ast.ImportFrom) else None
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else [module or ""]
            assert not any(
                name.split(".")[0].startswith("dash") and name != "dashboard" and not name.startswith("dashboard.")
                for name in names
            ), path


@pytest.mark.parametrize("path", modules("planner") + modules("dashboard"), ids=dotted)
def test_an_import_inside_a_function_has_its_reason_beside_it(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            for inner in ast.walk(node):
                if isinstance(inner, ast.Import | ast.ImportFrom):
                    here = "".join(lines[max(inner.lineno - 5, 0) : inner.lineno])
                    assert "#" in here, f"{path.name}:{inner.lineno} imports in a function without a reason"


def test_physics_knows_no_file_and_no_unit() -> None:
    for path in modules("planner/physics"):
        text = path.read_text(encoding="utf-8")
        assert not any(word in text for word in ("import pint", "open(", "pathlib", "planner.units")), path
