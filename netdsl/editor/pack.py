"""Packs the extension for editors of the VS Code family, without network: `python -m netdsl.editor.pack netdsl.vsix`."""

from __future__ import annotations

import json
import sys
import zipfile
from pathlib import Path

FOLDER = Path(__file__).parent / "extension"
_TYPES = """<?xml version="1.0" encoding="utf-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension=".json" ContentType="application/json"/>
<Default Extension=".js" ContentType="application/javascript"/>
<Default Extension=".vsixmanifest" ContentType="text/xml"/>
</Types>
"""
_MANIFEST = """<?xml version="1.0" encoding="utf-8"?>
<PackageManifest Version="2.0.0" xmlns="http://schemas.microsoft.com/developer/vsx-schema/2011">
<Metadata>
<Identity Language="en-US" Id="{name}" Version="{version}" Publisher="{publisher}"/>
<DisplayName>{displayName}</DisplayName>
<Description xml:space="preserve">{description}</Description>
<Categories>Programming Languages</Categories>
</Metadata>
<Installation><InstallationTarget Id="Microsoft.VisualStudio.Code"/></Installation>
<Dependencies/>
<Assets>
<Asset Type="Microsoft.VisualStudio.Code.Manifest" Path="extension/package.json" Addressable="true"/>
</Assets>
</PackageManifest>
"""


def pack(target: Path) -> None:
    """Write the package; the same bytes every time. Raises OSError where it cannot be written."""
    about = json.loads((FOLDER / "package.json").read_text("utf-8"))
    files = {"[Content_Types].xml": _TYPES.encode(), "extension.vsixmanifest": _MANIFEST.format(**about).encode()}
    for file in sorted(FOLDER.rglob("*")):
        if file.is_file():
            files[f"extension/{file.relative_to(FOLDER).as_posix()}"] = file.read_bytes()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in files.items():
            packed.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data)


if __name__ == "__main__":
    pack(Path(sys.argv[1]))
