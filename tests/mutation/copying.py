"""A copy of what the mutants need, in which they can be made of every formula."""

import ast
import re
import shutil
from collections.abc import Mapping
from pathlib import Path

from service.costing import units

ROOT = Path(__file__).parents[2]
FORMULAS = Path("service", "costing", "formulas")
SERVICE = ("service", "migrations")
TESTS = ("tests/data/worked_farms", "tests/formulas", "tests/mutation", "tests/support")
SINGLE = ("pyproject.toml", "tests/conftest.py")

NUMBERS = {
    name: value
    for name, value in vars(units).items()
    if name.isupper() and isinstance(value, int | float)
}
"""What is true by definition: as numbers in the copy, so that mutants are made of them too."""


def copy_to(folder: Path) -> None:
    """Copy the service and the tests of its formulas, and write the formulas as mutants need them.

    Parameters
    ----------
    folder : Path
        Where to. If there is a copy already, only its tests are renewed.
    """
    first = not (folder / FORMULAS).exists()
    for name in (*SERVICE, *TESTS) if first else TESTS:
        left_out = shutil.ignore_patterns("__pycache__")
        shutil.copytree(ROOT / name, folder / name, ignore=left_out, dirs_exist_ok=True)
    for name in SINGLE:
        shutil.copy(ROOT / name, folder / name)
    for module in (folder / FORMULAS).glob("*.py") if first else ():
        module.write_text(rewritten(module.read_text(), NUMBERS))


def rewritten(source: str, numbers: Mapping[str, float]) -> str:
    """Return a module of formulas in which decorators and constants do not hide anything.

    No mutants are made of decorated functions, nor of names. So each formula is registered by a
    line at the end of the module instead, and an imported constant stands as its number.

    Parameters
    ----------
    source : str
        Text of the module.
    numbers : mapping of str to float
        Constants by name.

    Returns
    -------
    str
        Text of a module that does the same.

    Examples
    --------
    >>> source = '''from units import DOZEN
    ... @formula("eggs / 12")
    ... def dozens(eggs):
    ...     return eggs / DOZEN
    ... '''
    >>> print(rewritten(source, {"DOZEN": 12}))
    from units import DOZEN
    <BLANKLINE>
    def dozens(eggs):
        return eggs / 12
    <BLANKLINE>
    dozens = formula("eggs / 12")(dozens)
    <BLANKLINE>
    """
    tree = ast.parse(source)
    lines = source.splitlines()
    # A module may have a constant of its own by the same name.
    imported = {
        name.name
        for statement in tree.body
        if isinstance(statement, ast.ImportFrom)
        for name in statement.names
    }
    registered: list[str] = []
    for function in tree.body:
        if not isinstance(function, ast.FunctionDef):
            continue
        for node in ast.walk(function):
            if isinstance(node, ast.Name) and node.id in imported & numbers.keys():
                at = node.lineno - 1
                lines[at] = re.sub(rf"\b{node.id}\b", repr(numbers[node.id]), lines[at])
        for decorator in function.decorator_list:
            start, end = decorator.lineno - 1, decorator.end_lineno or decorator.lineno
            words = "\n".join(lines[start:end]).removeprefix("@")
            registered.append(f"{function.name} = {words}({function.name})")
            lines[start:end] = [""] * (end - start)
    return "\n".join([*lines, "", *registered, ""])
