"""LibreOffice without a window, allowed to follow the links of files in one folder.

A macro of the program's own profile opens a file with its links brought up to date, enters every
formula anew, as somebody at the keyboard would, and writes each sheet as CSV. Without the macro,
links stay as they were when the file was saved; without the folder being trusted, none is followed,
and for a moment after opening none is yet.
"""

import csv
import shutil
import subprocess
from pathlib import Path

LONGEST = 240
"""Seconds that it may take on a busy machine."""

FULL_UPDATE = 3
"""com.sun.star.document.UpdateDocMode: links are brought up to date."""

FORMULAS = 16
"""com.sun.star.sheet.CellFlags.FORMULA."""

NOT_ALLOWED_YET = 540
"""Error of a cell that asks for an address before its file is known to be trusted."""

EVERY_SHEET = "44,34,76,1,,0,true,false,false,false,false,-1"
"""Commas, quotes, UTF-8, from line 1; text in quotes, values as they are, all sheets."""

XML = '<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE {kind} PUBLIC "{owner}" "{file}.dtd">\n'
OWNER = "-//OpenOffice.org//DTD OfficeDocument 1.0//EN"
LIBRARY = 'xmlns:library="http://openoffice.org/2000/library" library:name="Standard"'
LIBRARIES = """\
<library:libraries xmlns:library="http://openoffice.org/2000/library">
 <library:library library:name="Standard" library:link="false"/>
</library:libraries>
"""
PARTS = f"""\
<library:library {LIBRARY} library:readonly="false" library:passwordprotected="false">
 {{element}}
</library:library>
"""
MODULE = f"""\
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Opened"
 script:language="StarBasic">
Sub Main(source As String, target As String)
  Dim how(1) As New com.sun.star.beans.PropertyValue
  how(0).Name = &quot;Hidden&quot; : how(0).Value = True
  how(1).Name = &quot;UpdateDocMode&quot; : how(1).Value = {FULL_UPDATE}
  document = StarDesktop.loadComponentFromURL(source, &quot;_blank&quot;, 0, how())
  For attempt = 1 To 50
    waiting = 0
    For position = 0 To document.Sheets.Count - 1
      sheet = document.Sheets.getByIndex(position)
      found = sheet.queryContentCells({FORMULAS}).Cells.createEnumeration()
      Do While found.hasMoreElements()
        cell = found.nextElement()
        cell.Formula = cell.Formula
        If cell.Error = {NOT_ALLOWED_YET} Then waiting = waiting + 1
      Loop
    Next
    document.calculateAll()
    If waiting = 0 Then Exit For
    Wait 100
  Next
  Dim kept(1) As New com.sun.star.beans.PropertyValue
  kept(0).Name = &quot;FilterName&quot; : kept(0).Value = &quot;Text - txt - csv (StarCalc)&quot;
  kept(1).Name = &quot;FilterOptions&quot; : kept(1).Value = &quot;{EVERY_SHEET}&quot;
  document.storeToURL(target, kept())
  document.close(True)
End Sub
</script:module>
"""
SETTINGS = """\
<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
 <item oor:path="/org.openoffice.Setup/Office">
  <prop oor:name="ooSetupInstCompleted" oor:op="fuse"><value>true</value></prop></item>
 <item oor:path="/org.openoffice.Office.Common/Security/Scripting">
  <prop oor:name="SecureURL" oor:op="fuse"><value><it>{folder}</it></value></prop></item>
</oor:items>
"""


def office_program() -> str | None:
    """Return the program, None where there is none."""
    return shutil.which("soffice") or shutil.which("libreoffice")


def sheets_of(file: Path) -> dict[str, list[list[str]]]:
    """Return the rows of each sheet of a file, its links followed and its formulas worked out."""
    program = office_program()
    assert program is not None
    profile = file.parent / "profile"
    _make_profile(profile, file.parent)
    source, target = file.as_uri(), (file.parent / "out.csv").as_uri()
    command = [
        program,
        "--headless",
        "--norestore",
        f"-env:UserInstallation={profile.as_uri()}",
        f'macro:///Standard.Opened.Main("{source}","{target}")',
    ]
    done = subprocess.run(  # noqa: S603 - our own files
        command, capture_output=True, text=True, timeout=LONGEST, check=False
    )
    found = sorted(file.parent.glob("out-*.csv"))
    assert found, done.stdout + done.stderr
    return {path.stem.partition("-")[2]: _rows(path) for path in found}


def _rows(path: Path) -> list[list[str]]:
    with path.open(newline="", encoding="utf-8") as text:
        return list(csv.reader(text))


def _make_profile(profile: Path, trusted: Path) -> None:
    macros = profile / "user" / "basic"
    (macros / "Standard").mkdir(parents=True)
    for name in ("script", "dialog"):
        element = '<library:element library:name="Opened"/>' if name == "script" else ""
        text = _begun("library:libraries", "libraries") + LIBRARIES
        (macros / f"{name}.xlc").write_text(text, "utf-8")
        text = _begun("library:library", "library") + PARTS.format(element=element)
        (macros / "Standard" / f"{name}.xlb").write_text(text, "utf-8")
    text = _begun("script:module", "module") + MODULE
    (macros / "Standard" / "Opened.xba").write_text(text, "utf-8")
    settings = SETTINGS.format(folder=trusted.as_uri())
    (profile / "user" / "registrymodifications.xcu").write_text(settings, "utf-8")


def _begun(kind: str, file: str) -> str:
    return XML.format(kind=kind, owner=OWNER, file=file)
