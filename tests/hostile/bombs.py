"""Logs that are bombs, pictures, nothing, or full of what means something elsewhere."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable

import numpy as np
import pyarrow as pa
from pyarrow import parquet

__all__ = ["LOGS"]


def _workbook(sheet: bytes) -> bytes:
    stored = io.BytesIO()
    kinds = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    space = "http://schemas.openxmlformats.org"
    with zipfile.ZipFile(stored, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr(
            "[Content_Types].xml",
            f'<Types xmlns="{space}/package/2006/content-types"><Default Extension="rels" '
            'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
            f'<Override PartName="/xl/workbook.xml" ContentType="{kinds}.sheet.main+xml"/>'
            f'<Override PartName="/xl/s.xml" ContentType="{kinds}.worksheet+xml"/></Types>',
        )
        rel = f"{space}/officeDocument/2006/relationships"
        one = f'<Relationships xmlns="{space}/package/2006/relationships"><Relationship Id="r1" '
        packed.writestr(
            "_rels/.rels",
            f'{one}Type="{rel}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        )
        packed.writestr(
            "xl/_rels/workbook.xml.rels",
            f'{one}Type="{rel}/worksheet" Target="s.xml"/></Relationships>',
        )
        packed.writestr(
            "xl/workbook.xml",
            f'<workbook xmlns="{space}/spreadsheetml/2006/main" xmlns:r="{rel}"><sheets>'
            '<sheet name="a" sheetId="1" r:id="r1"/></sheets></workbook>',
        )
        packed.writestr("xl/s.xml", sheet)
    return stored.getvalue()


def _sheet(rows: bytes, before: bytes = b"") -> bytes:
    space = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    return (
        before
        + b'<worksheet xmlns="'
        + space
        + b'"><sheetData>'
        + rows
        + b"</sheetData></worksheet>"
    )


def _parquet() -> bytes:
    stored = io.BytesIO()
    block = pa.table({"t": np.zeros(1 << 20), "flow": np.zeros(1 << 20)})
    with parquet.ParquetWriter(stored, block.schema, compression="zstd") as writer:
        for _ in range(50):
            writer.write_table(block)
    return stored.getvalue()


def _logs() -> dict[str, Callable[[], bytes]]:
    row = b'<row><c><v>1</v></c><c><f>HYPERLINK("http://127.0.0.1")</f><v>2</v></c></row>'
    laughs = b"".join(b'<!ENTITY e%d "%s">' % (n, b"&e%d;" % (n - 1) * 20) for n in range(1, 9))
    wide = b"".join(b'<row r="%d"><c r="XFD%d"><v>3</v></c></row>' % (n, n) for n in range(1, 900))
    entities = b'<!DOCTYPE x [<!ENTITY e0 "ha">' + laughs + b"]>"
    names = b",".join(b"c%d" % n for n in range(9000))
    return {
        "workbook": lambda: _workbook(_sheet(row * 50)),
        "workbook of spaces": lambda: _workbook(_sheet(b" " * 20_000_000)),
        "workbook of wide rows": lambda: _workbook(
            _sheet(wide)
        ),
        "workbook of laughs": lambda: _workbook(
            _sheet(b"<row><c><v>&e8;</v></c></row>", entities)
        ),
        "packed": lambda: b"PK\x03\x04" + b"\0" * 500,
        "parquet bomb": _parquet,
        "parquet": lambda: b"PAR1" + b"\xff" * 400 + b"PAR1",
        "mdf": lambda: b"MDF     4.10    " + b"\xff" * 900,
        "gzip": lambda: b"\x1f\x8b\x08" + b"\0" * 90,
        "picture": lambda: b"\x89PNG\r\n\x1a\n" + b"\0" * 90,
        "empty": lambda: b"",
        "noughts": lambda: b"\0" * 5000,
        "one line": lambda: b"1," * 300_000,
        "columns": lambda: names + b"\n" + b"1," * 8999 + b"1\n",
        "quotes": lambda: b't,flow\n"' + b'"\n' * 9000,
        "formulas": lambda: b"t,flow,pressure\n" + b"0,=1+1,=cmd|'/C calc'!A1\n" * 90,
        "escapes": lambda: b"t,flow\x1b[2J,pressure\n0,1,\x1b]0;x\x07\n0.1,2,3\n",
        "numbers": lambda: b"t,flow,q\n0,1e999,-1e999\n1e308,nan,inf\n" + b"9" * 99 + b",1\n",
        "times": lambda: b"t,flow,pressure\n" + b"9999-99-99 99:99:99,1,2\n" * 90,
        "wide": lambda: ("t,flow,pressure\n" + "0,1,2\n" * 90).encode("utf-32"),
    }  # fmt: skip


LOGS = _logs()
