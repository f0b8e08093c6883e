"""House rules that the linter cannot express."""

import ast
import inspect
import pkgutil
import re
from importlib import import_module
from pathlib import Path

import pytest
from typer.testing import CliRunner

import service.costing.formulas
from service.cli.commands import app
from service.costing.formula import FORMULAS
from service.web.app import create_app
from service.web.openapi import describe

ROOT = Path(__file__).parents[2]
SERVICE = ROOT / "service"
LONGEST_MODULE = 350
NUMBERS_THAT_MAY_STAND = {0, 1, 2, -1}
HOLDS_NUMBERS = {"units.py"}
"""What is true by definition has its one home here."""

DECLARES_RANGES = {
    "entry.py",
    "farm.py",
    "finance.py",
    "fodder.py",
    "plan.py",
    "prices.py",
    "scenario.py",
    "winter.py",
}
DECLARING_FOLDERS = {"methods", "structures"}
"""Allowed ranges of inputs stand beside the inputs."""

ABOUT_TEXT = {"input_paths.py", "input_tree.py", "overrides.py", "input_catalog.py", "errors.py"}
"""Limits on names and bodies are no figures of a farm."""

for module in pkgutil.iter_modules(service.costing.formulas.__path__):
    import_module(f"service.costing.formulas.{module.name}")

MODULES = sorted(SERVICE.rglob("*.py"))
CORE = [
    path
    for path in sorted((SERVICE / "costing").rglob("*.py"))
    if path.name not in HOLDS_NUMBERS | DECLARES_RANGES | ABOUT_TEXT
    and path.parent.name not in DECLARING_FOLDERS
]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_module_is_short_enough_to_be_read(path):
    assert len(path.read_text().splitlines()) <= LONGEST_MODULE


@pytest.mark.parametrize("path", CORE, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_number_in_the_core_that_belongs_in_the_tables(path):
    tree = ast.parse(path.read_text())
    strays = [
        (node.lineno, node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, int | float)
        and not isinstance(node.value, bool)
        and node.value not in NUMBERS_THAT_MAY_STAND
        and not is_axis(node, tree)
        and not names_a_count(node, tree)
    ]
    assert strays == []


def is_axis(constant, tree):
    """Whether a number names an axis of an array or reshapes one."""
    for node in ast.walk(tree):
        if isinstance(node, ast.keyword) and node.arg == "axis":
            if constant in ast.walk(node.value):
                return True
        elif isinstance(node, ast.Subscript) and constant in ast.walk(node.slice):
            return True
    return False


def names_a_count(constant, tree):
    """Whether a number is the whole of a named constant of a module: its name says what it is."""
    return any(
        isinstance(node, ast.Assign)
        and node.value is constant
        and isinstance(node.targets[0], ast.Name)
        and node.targets[0].id.isupper()
        for node in tree.body
    )


DESCRIBED = re.compile(r"\[([^\[\]]+)\]\s*\.?\s*$")


@pytest.mark.parametrize("name", sorted(FORMULAS))
def test_the_units_in_a_docstring_are_those_of_the_signature(name):
    signature = FORMULAS[name]
    arguments, result = described_units(signature.function)
    expected = dict(signature.arguments)
    many = next(
        (
            parameter.name
            for parameter in inspect.signature(signature.function).parameters.values()
            if parameter.kind is parameter.VAR_POSITIONAL
        ),
        None,
    )
    if many is not None:
        expected[f"*{many}"] = signature.many
    assert arguments == expected
    assert result == signature.unit


def described_units(function):
    """Return the unit that the docstring gives each parameter, and the result."""
    sections = re.split(
        r"\n\s*(Parameters|Returns|Raises|Notes|References|Examples)\n\s*-+\n",
        inspect.getdoc(function),
    )
    found = dict(zip(sections[1::2], sections[2::2], strict=True))
    arguments = {}
    for head, text in entries(found["Parameters"]):
        unit = DESCRIBED.search(text).group(1)
        for parameter in head.split(" : ")[0].split(","):
            arguments[parameter.strip()] = unit
    [(_, text)] = entries(found["Returns"])
    return arguments, DESCRIBED.search(text).group(1)


def entries(section):
    """Yield the head line and the text of each entry of a numpydoc section."""
    blocks = re.split(r"\n(?=\S)", section.strip("\n"))
    for block in blocks:
        head, _, text = block.partition("\n")
        yield head, text.strip()


def test_formulas_are_said_in_words():
    for signature in FORMULAS.values():
        assert signature.words
        assert not signature.words.endswith(".")


def test_the_readme_shows_what_the_demo_prints():
    readme = (ROOT / "README.md").read_text()
    shown = re.search(r"<!-- demo -->\n```\n(.*?)```\n<!-- /demo -->", readme, re.DOTALL).group(1)
    printed = CliRunner().invoke(app, ["demo", "--once"], env={"COLUMNS": "80"}).stdout
    assert shown.split() == printed.split()


def test_the_readme_and_ci_hold_the_same_test_command():
    commands = (
        "python3 -m venv .venv && .venv/bin/pip install -e . && .venv/bin/winterground demo",
        "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/pytest",
    )
    readme = (ROOT / "README.md").read_text()
    assert all(command in readme for command in commands)
    last = (ROOT / ".ci" / "run").read_text().strip().splitlines()[-1]
    spoken = last.replace('"$python"', "python3").replace("install -q", "install")
    assert spoken == commands[-1]


def test_every_module_says_what_it_is_for():
    for path in MODULES:
        assert ast.get_docstring(ast.parse(path.read_text())), path


def test_every_core_module_stands_on_the_map():
    developers = (ROOT / "DEVELOPERS.md").read_text()
    missing = [
        path.name
        for path in sorted((SERVICE / "costing").glob("*.py"))
        if path.name != "__init__.py" and path.name not in developers
    ]
    assert missing == []


def test_every_address_in_the_readme_is_one_that_is_answered():
    paths = set(describe(create_app())["paths"])
    readme = (ROOT / "README.md").read_text()
    stand_in = {r"/\d+(?=/|$)": "/{revision}", r"/\d{4}-\d\d": "/{season}", r"\{id\}": "{scenario}"}
    named = set(re.findall(r"`(/v1/[^`?]*)", readme))
    for found, name in stand_in.items():
        named = {re.sub(found, name, path) for path in named}
    assert named
    assert named <= paths


def test_every_module_of_the_store_and_of_scenarios_stands_on_the_map():
    developers = (ROOT / "DEVELOPERS.md").read_text()
    repositories = {
        "audit",
        "costings",
        "credentials",
        "erasures",
        "jobs",
        "notes",
        "offices",
        "replays",
        "scenarios",
        "scenario_erasure",
        "scenario_pages",
        "weather_records",
    }
    missing = [
        f"{folder}/{path.name}"
        for folder in ("scenarios", "store")
        for path in sorted((SERVICE / folder).glob("*.py"))
        if path.name not in developers
        and path.stem not in {"__init__", "errors", *(repositories if folder == "store" else ())}
    ]
    assert missing == []
