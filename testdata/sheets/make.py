#!/usr/bin/python3
"""Write the fixture workbooks of this folder: make.py

One invented field book of the Marrow Creek Field Station is written as flat
OpenDocument and converted by LibreOffice (soffice on the PATH) into
frogs.ods, frogs.xlsx and frogs-97.xls (BIFF8). LibreOffice reads BIFF5 but no
longer writes it, so biff5.py writes the same cells as frogs-95.xls. All four
have to read the same. The texts stay within Latin-1, since BIFF5 has no more.
"""
import pathlib, shutil, subprocess, tempfile
import biff5
from xml.sax.saxutils import escape, quoteattr

HERE = pathlib.Path(__file__).resolve().parent
HEAD = """<?xml version="1.0" encoding="UTF-8"?>
<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:fo="urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0" xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0" xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2" xmlns:dc="http://purl.org/dc/elements/1.1/" office:version="1.2" office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
<office:automatic-styles>
<number:number-style style:name="N1"><number:number number:decimal-places="1" number:min-integer-digits="1"/></number:number-style>
<number:number-style style:name="N2"><number:number number:decimal-places="2" number:min-integer-digits="1"/></number:number-style>
<number:number-style style:name="N4"><number:number number:decimal-places="0" number:min-integer-digits="4"/></number:number-style>
<number:number-style style:name="NG"><number:number number:decimal-places="1" number:min-integer-digits="1"/><number:text> g</number:text></number:number-style>
<number:percentage-style style:name="NP"><number:number number:decimal-places="0" number:min-integer-digits="1"/><number:text>%</number:text></number:percentage-style>
<number:date-style style:name="ND"><number:year number:style="long"/><number:text>-</number:text><number:month number:style="long"/><number:text>-</number:text><number:day number:style="long"/></number:date-style>
<number:date-style style:name="NS"><number:day/><number:text>-</number:text><number:month number:textual="true"/></number:date-style>
<number:date-style style:name="NM"><number:month number:textual="true"/><number:text> </number:text><number:year number:style="long"/></number:date-style>
<number:date-style style:name="NX"><number:year number:style="long"/><number:text>-</number:text><number:month number:style="long"/><number:text>-</number:text><number:day number:style="long"/><number:text> </number:text><number:hours number:style="long"/><number:text>:</number:text><number:minutes number:style="long"/></number:date-style>
<number:time-style style:name="NT"><number:hours number:style="long"/><number:text>:</number:text><number:minutes number:style="long"/></number:time-style>
<number:time-style style:name="NE" number:truncate-on-overflow="false"><number:hours/><number:text>:</number:text><number:minutes number:style="long"/><number:text>:</number:text><number:seconds number:style="long"/></number:time-style>
<number:boolean-style style:name="NB"><number:boolean/></number:boolean-style>
<style:style style:name="tshown" style:family="table"><style:table-properties table:display="true"/></style:style>
<style:style style:name="thidden" style:family="table"><style:table-properties table:display="false"/></style:style>
STYLES
<style:style style:name="cyellow" style:family="table-cell" style:parent-style-name="Default"><style:table-cell-properties fo:background-color="#ffff00"/></style:style>
</office:automatic-styles>
<office:body><office:spreadsheet>
"""
DATA = ["N1", "N2", "N4", "NG", "NP", "ND", "NS", "NM", "NX", "NT", "NE", "NB"]


def cell(kind, value=None, shown="", style=None, formula=None, tokens=None, comment=None, span=1):
    """One cell. tokens is the formula as BIFF has it."""
    return dict(kind=kind, value=value, shown=shown, style=style, formula=formula, tokens=tokens, comment=comment, span=span)


def t(s, **k): return cell("string", s, **k)
def n(v, shown=None, **k): return cell("float", v, shown or str(v), **k)


BLANK = cell(None)
COVERED = cell("covered")


def row(*cells, hidden=False): return (cells, hidden)


def xml(c):
    kind = c["kind"]
    if kind == "covered":
        return "<table:covered-table-cell/>"
    a = "".join(f" {k}={quoteattr(str(v))}" for k, v in [("table:style-name", c["style"]), ("table:formula", c["formula"])] if v)
    if c["span"] > 1:
        a += f' table:number-columns-spanned="{c["span"]}" table:number-rows-spanned="1"'
    name = {"float": "value", "percentage": "value", "date": "date-value", "time": "time-value", "boolean": "boolean-value"}.get(kind)
    if kind:
        a += f' office:value-type="{kind}"'
    if name:
        a += f" office:{name}={quoteattr(str(c['value']))}"
    note = f"<office:annotation><dc:creator>A. Quill</dc:creator><text:p>{escape(c['comment'])}</text:p></office:annotation>" if c["comment"] else ""
    text = "".join(f"<text:p>{escape(p)}</text:p>" for p in (c["shown"] if kind != "string" else c["value"]).split("\n")) if kind else ""
    return f"<table:table-cell{a}>{note}{text}</table:table-cell>"


def rows_xml(rows):
    return "".join(f'<table:table-row{" table:visibility=%s" % quoteattr("collapse") if hidden else ""}>{"".join(map(xml, cells))}</table:table-row>\n' for cells, hidden in rows)


SPRING = [
    row(t("Marrow Creek, spring round", span=3), COVERED, COVERED),
    row(),
    row(*map(t, ["Tag", "Field no", "Date", "Time", "Taken", "SVL (mm)", "Gross", "Tare", "Net", "Humidity", "Adult", "Notes"])),
    row(t("0017"), n(42, "0042", style="cN4"), cell("date", "2021-04-05", "2021-04-05", style="cND"), cell("time", "PT07H30M00S", "07:30", style="cNT"),
        cell("date", "2021-04-05T07:30:00", "2021-04-05 07:30", style="cNX"), n(57.5, "57.50", style="cN2"), n(31.2, "31.2 g", style="cNG"), n(4.9),
        n(26.3, formula="of:=[.G4]-[.H4]", tokens=biff5.ref(4, 7) + biff5.ref(4, 8) + biff5.SUB), cell("percentage", 0.83, "83%", style="cNP"), cell("boolean", "true", "TRUE", style="cNB"),
        t("Ile aux Cèdres, under a log")),
    row(t("0018"), n(43, "0043", style="cN4"), cell("date", "2021-04-06", "6-Apr", style="cNS"), cell("time", "PT19H05M30S", "19:05", style="cNT"),
        cell("date", "2021-04-01", "Apr 2021", style="cNM"), n(60, "60.0", style="cN1", comment="measured twice"), n(0.30000000000000004, "0.3"), BLANK,
        cell("string", "over 60", formula='of:="over "&"60"', tokens=biff5.text("over ") + biff5.text("60") + biff5.CONCAT), cell("percentage", 0.125, "13%", style="cNP"),
        cell("boolean", "false", "FALSE", style="cNB"), t("two lines:\ncalling male, 5\" pool")),
    row(t("0019", style="cyellow"), n(1234, "1234", style="cN4"), cell("date", "1999-12-31", "1999-12-31", style="cND"), cell("time", "PT26H30M00S", "26:30:00", style="cNE"),
        BLANK, n(-3.25, "-3.3", style="cN1"), n(985112004567890), n(2.5e-3), cell("string", "", "#DIV/0!", formula="of:=1/0", tokens=biff5.whole(1) + biff5.whole(0) + biff5.DIV), BLANK, BLANK, BLANK),
    row(t("0020"), n(45, "0045", style="cN4"), t("5 April"), BLANK, BLANK, t("57,5"), t("n/a"), t("-"), hidden=True),
    row(),
    row(*[BLANK] * 5, n(0.1, "0.10", style="cN2")),
]
BAGS = [row(t("Bag"), t("Weight g")), row(t("A"), n(4.5, "4.5", style="cN1")), row(t("B"), n(5, "5.0", style="cN1"))]


def main():
    styles = "\n".join(f'<style:style style:name="c{d}" style:family="table-cell" style:parent-style-name="Default" style:data-style-name="{d}"/>' for d in DATA)
    doc = HEAD.replace("STYLES", styles)
    tabs = [("Spring", "tshown", SPRING), ("Bags", "thidden", BAGS), ("Empty", "tshown", [row()])]
    for name, style, rows in tabs:
        doc += f'<table:table table:name="{name}" table:style-name="{style}">\n<table:table-column table:number-columns-repeated="12"/>\n{rows_xml(rows)}</table:table>\n'
    doc += "</office:spreadsheet></office:body></office:document>\n"
    with tempfile.TemporaryDirectory() as tmp:
        tmp = pathlib.Path(tmp)
        src = tmp / "frogs.fods"
        src.write_text(doc, encoding="utf-8")
        for target, to in [("frogs.ods", "ods"), ("frogs.xlsx", "xlsx"), ("frogs-97.xls", "xls:MS Excel 97")]:
            out = tmp / target
            (tmp / ("to-" + target)).mkdir()
            subprocess.run(["soffice", f"-env:UserInstallation=file://{tmp}/profile", "--headless", "--convert-to", to, "--outdir", (tmp / ("to-" + target)), src], check=True, stdout=subprocess.DEVNULL)
            shutil.copy(next((tmp / ("to-" + target)).iterdir()), HERE / target)

    (HERE / "frogs-95.xls").write_bytes(biff5.workbook([(name, style == "thidden", rows) for name, style, rows in tabs]))


main()
