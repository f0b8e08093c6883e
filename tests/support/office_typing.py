"""An office suite without a window that is told to type formulas into an empty sheet.

Formulas that fetch something are not worked out in a file that is merely opened: the office suite
asks a person first. One that is typed is worked out at once, so that is what a macro does here.
"""

import csv
import io
import os
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from xml.sax.saxutils import escape

import pytest

REQUIRED = "WINTERGROUND_REQUIRE_OFFICE"
NEEDED = "LibreOffice is needed: install libreoffice-calc, so that soffice is on the path."
LONGEST = 240
"""Seconds that it may take on a busy machine."""

LIBRARIES = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:libraries PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "libraries.dtd">
<library:libraries xmlns:library="http://openoffice.org/2000/library"
  xmlns:xlink="http://www.w3.org/1999/xlink">
 <library:library library:name="Standard" xlink:href="$(USER)/basic/Standard/script.xlb/"
   xlink:type="simple" library:link="false"/>
</library:libraries>
"""
LIBRARY = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:library PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "library.dtd">
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard"
  library:readonly="false" library:passwordprotected="false">
 <library:element library:name="Typing"/>
</library:library>
"""
MODULE = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Typing"
  script:language="StarBasic">{}</script:module>
"""
MACRO = """Sub TypeIn
Dim manner(0) As New com.sun.star.beans.PropertyValue
book = StarDesktop.loadComponentFromURL("private:factory/scalc", "_blank", 0, manner())
cells = book.Sheets.getByIndex(0)
{typed}
book.calculateAll()
Dim kept(1) As New com.sun.star.beans.PropertyValue
kept(0).Name = "FilterName"
kept(0).Value = "Text - txt - csv (StarCalc)"
kept(1).Name = "FilterOptions"
kept(1).Value = "44,34,76,1,,0,false,false"
book.storeToURL({target}, kept())
book.close(True)
End Sub
"""
"""Kept as CSV in UTF-8, numbers with all their digits."""


def office_program() -> str:
    """Return the office suite, or skip what needs one; where it is required, fail."""
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None:
        if os.environ.get(REQUIRED) == "1":
            pytest.fail(NEEDED)
        pytest.skip(NEEDED)
    return program


def worked_out(program: str, formulas: Sequence[str]) -> list[str]:
    """Type formulas below each other into an empty sheet and return what they come to.

    Nothing is left of them: they may hold tokens.
    """
    with TemporaryDirectory() as folder:
        return _typed(program, formulas, Path(folder))


def _typed(program: str, formulas: Sequence[str], folder: Path) -> list[str]:
    target = folder / "typed.csv"
    typed = "\n".join(
        f"cells.getCellByPosition(0, {row}).setFormula({_quoted(formula)})"
        for row, formula in enumerate(formulas)
    )
    macro = MACRO.format(typed=typed, target=_quoted(target.as_uri()))
    home = folder / "home"
    library = home / "user" / "basic" / "Standard"
    _started(program, home, "--terminate_after_init")  # makes the home, with no macros in it
    library.mkdir(parents=True, exist_ok=True)
    (library.parent / "script.xlc").write_text(LIBRARIES, "utf-8")
    (library / "script.xlb").write_text(LIBRARY, "utf-8")
    (library / "Typing.xba").write_text(MODULE.format(escape(macro)), "utf-8")
    told = _started(program, home, "macro:///Standard.Typing.TypeIn()")
    assert target.exists(), told
    return [row[0] for row in csv.reader(io.StringIO(target.read_text("utf-8")))]


def _started(program: str, home: Path, order: str) -> str:
    """Start the office suite with a home of its own, let it obey, and return what it tells."""
    done = subprocess.run(  # noqa: S603 - our own macro
        [program, "--headless", "--norestore", f"-env:UserInstallation={home.as_uri()}", order],
        capture_output=True,
        text=True,
        timeout=LONGEST,
        check=False,
    )
    return done.stdout + done.stderr


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"'
