package sheet

import (
	"archive/zip"
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record/budget"
)

const odsHead = `<?xml version="1.0" encoding="UTF-8"?><office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:fo="urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0" xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0" xmlns:draw="urn:oasis:names:tc:opendocument:xmlns:drawing:1.0" xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0">`

// odsBytes packs content.xml, whose tab holds the given rows, with other parts.
func odsBytes(t testing.TB, styles, rows string, parts map[string]string) []byte {
	t.Helper()
	all := map[string]string{
		"mimetype":    "application/vnd.oasis.opendocument.spreadsheet",
		"content.xml": odsHead + "<office:automatic-styles>" + styles + `</office:automatic-styles><office:body><office:spreadsheet><table:table table:name="Tab">` + rows + "</table:table></office:spreadsheet></office:body></office:document-content>",
	}
	for k, v := range parts {
		all[k] = v
	}
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, name := range []string{"mimetype", "content.xml", "styles.xml", "META-INF/manifest.xml"} {
		if body, ok := all[name]; ok {
			f, err := w.Create(name)
			must(t, err)
			_, err = f.Write([]byte(body))
			must(t, err)
		}
	}
	must(t, w.Close())
	return b.Bytes()
}

func TestODSCells(t *testing.T) {
	tests := []struct {
		name, styles, rows string
		want, found        []string
	}{
		{"repeated cells and rows", "",
			`<table:table-row table:number-rows-repeated="2"><table:table-cell/><table:table-cell office:value-type="string" table:number-columns-repeated="2"><text:p>x</text:p></table:table-cell><table:table-cell table:number-columns-repeated="16381"/></table:table-row>
			<table:table-row table:number-rows-repeated="3"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>
			<table:table-row><table:table-cell office:value-type="float" office:value="5"><text:p>5</text:p></table:table-cell></table:table-row>
			<table:table-row table:number-rows-repeated="1048570"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>`,
			[]string{"1:|x|x", "2:|x|x", "3:", "4:", "5:", "6:5"}, nil},
		{"texts", "",
			`<table:table-row><table:table-cell office:value-type="string"><text:p>a<text:s text:c="2"/>b<text:tab/><text:span>c</text:span><text:line-break/>d</text:p><text:p>e</text:p></table:table-cell>
			<table:table-cell office:value-type="string" office:string-value="kept"/><table:table-cell office:value-type="string"><draw:frame><draw:text-box><text:p>not this</text:p></draw:text-box></draw:frame><text:p>this</text:p></table:table-cell></table:table-row>`,
			[]string{"1:a  b\tc\nd\ne|kept|this"}, nil},
		{"numbers as shown in a locale with a decimal comma", "",
			`<table:table-row><table:table-cell office:value-type="float" office:value="57.5"><text:p>57,50</text:p></table:table-cell><table:table-cell office:value-type="float" office:value="1234.5"><text:p>1.234,5</text:p></table:table-cell>
			<table:table-cell office:value-type="float" office:value="1234"><text:p>1.234</text:p></table:table-cell><table:table-cell office:value-type="float" office:value="1.234"><text:p>1,234</text:p></table:table-cell>
			<table:table-cell office:value-type="percentage" office:value="0.5"><text:p>50 %</text:p></table:table-cell><table:table-cell office:value-type="currency" office:currency="EUR" office:value="5"><text:p>5,00 €</text:p></table:table-cell>
			<table:table-cell office:value-type="float" office:value="1e3"><text:p>1,00E+003</text:p></table:table-cell><table:table-cell office:value-type="float" office:value="57.456"><text:p>57,5 mm</text:p></table:table-cell></table:table-row>`,
			[]string{"1:57.50|1234.5|1234|1.234|50%|5.00|1000|57.456 mm"}, nil},
		{"truth values that a formula gives", "",
			`<table:table-row><table:table-cell table:formula="of:=FALSE()" office:value-type="float" office:value="0"><text:p>FALSE</text:p></table:table-cell><table:table-cell office:value-type="float" office:value="0"><text:p>-</text:p></table:table-cell></table:table-row>`,
			[]string{"1:FALSE|0"}, nil},
		{"covered cell with a value", "",
			`<table:table-row><table:table-cell table:number-columns-spanned="2" table:number-rows-spanned="1" office:value-type="float" office:value="1"><text:p>1</text:p></table:table-cell><table:covered-table-cell office:value-type="float" office:value="2"><text:p>2</text:p></table:covered-table-cell></table:table-row>`,
			[]string{"1:1|2"}, []string{"merge-covered tab Tab, B1"}},
		{"formulas", "",
			`<table:table-row><table:table-cell table:formula="of:=[.B1]"/><table:table-cell table:formula="of:=1/0" office:value-type="string" office:string-value="" calcext:value-type="error"><text:p>#DIV/0!</text:p></table:table-cell><table:table-cell table:formula="of:=&quot;&quot;" office:value-type="string" office:string-value=""/><table:table-cell office:value-type="boolean" office:boolean-value="true"><text:p>WAHR</text:p></table:table-cell></table:table-row>`,
			[]string{"1:|#DIV/0!||TRUE"}, []string{"formula-no-value tab Tab, A1", "cell-fault tab Tab, B1"}},
		{"dates and times", `<number:date-style style:name="D"><number:day/><number:month/></number:date-style><style:style style:name="base" style:family="table-cell" style:data-style-name="D"/><style:style style:name="c" style:family="table-cell" style:parent-style-name="base"><style:table-cell-properties fo:background-color="#ff8800"/></style:style>`,
			`<table:table-column table:default-cell-style-name="c"/><table:table-column table:visibility="collapse" table:number-columns-repeated="2"/>
			<table:table-row><table:table-cell office:value-type="date" office:date-value="2021-04-05"><text:p>5.4.</text:p></table:table-cell><table:table-cell office:value-type="date" office:date-value="2021-04-05T07:30:00.500000000"><text:p>x</text:p></table:table-cell>
			<table:table-cell office:value-type="time" office:time-value="PT07H30M15S"><text:p>7:30</text:p></table:table-cell><table:table-cell office:value-type="time" office:time-value="oddly"><text:p>half past</text:p></table:table-cell><table:table-cell office:value-type="date" office:date-value="1899"><text:p>x</text:p></table:table-cell></table:table-row>`,
			[]string{"1:2021-04-05|2021-04-05T07:30:00.500|07:30:15|half past|1899"}, []string{"date-year-unshown tab Tab, A1", "columns-hidden tab Tab, column B", "fill-meaning tab Tab, A1"}},
		{"rows in groups, changes kept apart", "",
			`<table:table-header-rows><table:table-row table:visibility="filter"><table:table-cell office:value-type="string"><text:p>h</text:p></table:table-cell></table:table-row></table:table-header-rows><table:table-row-group><table:table-row><table:table-cell office:value-type="string"><text:p>g</text:p></table:table-cell></table:table-row></table:table-row-group>
			<table:tracked-changes><table:table-cell office:value-type="string"><text:p>old</text:p></table:table-cell></table:tracked-changes>`,
			[]string{"1:h", "2:g"}, []string{"rows-hidden tab Tab, row 1"}},
	}
	for _, test := range tests {
		sheets, fs, err := readBytes("t.ods", odsBytes(t, test.styles, test.rows, nil), Options{})
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		if d := cmp.Diff(test.want, texts(sheets[0])); d != "" {
			t.Errorf("%s: %s", test.name, d)
		}
		if d := cmp.Diff(test.found, raised(fs)); d != "" {
			t.Errorf("%s: %s", test.name, d)
		}
	}
}

func TestODSDamaged(t *testing.T) {
	row := `<table:table-row><table:table-cell office:value-type="string"><text:p>x</text:p></table:table-cell></table:table-row>`
	for name, test := range map[string]struct {
		parts map[string]string
		rows  string
		cause string
	}{
		"password":         {map[string]string{"META-INF/manifest.xml": `<manifest:manifest><manifest:encryption-data/></manifest:manifest>`}, row, "password"},
		"broken XML":       {nil, row + "<table:table-row><", "damaged"},
		"cut short":        {map[string]string{"content.xml": odsHead + "<office:body><office:spreadsheet><table:table>" + row}, "", "damaged"},
		"broken styles":    {map[string]string{"styles.xml": "<a><b></a>"}, row, "styles"},
		"a text document":  {map[string]string{"mimetype": "application/vnd.oasis.opendocument.text"}, row, "not a sheet"},
		"nothing in there": {nil, `<table:table-row table:number-rows-repeated="1048576"><table:table-cell/></table:table-row>`, "every cell is blank"},
	} {
		_, _, err := readBytes("t.ods", odsBytes(t, "", test.rows, test.parts), Options{})
		if e, ok := err.(*Error); !ok || !strings.Contains(e.Cause, test.cause) || e.Advice == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestODSRepeatsAreBounded(t *testing.T) {
	rows := `<table:table-row table:number-rows-repeated="1048576"><table:table-cell table:number-columns-repeated="16384" office:value-type="string"><text:p>x</text:p></table:table-cell></table:table-row>`
	b := odsBytes(t, "", rows, nil)
	z, err := openZip("t.ods", bytes.NewReader(b), int64(len(b)), limitsOf(budget.Budgets{}))
	must(t, err)
	r := &odsReader{file: "t.ods", styles: newODSStyles(), spent: newSpent(budget.Budgets{Repeated: 1000})}
	err = walkPart(z, "content.xml", r.read)
	if e, ok := err.(*Error); !ok || e.Row != 1 || e.Column != 1002 || !strings.Contains(e.Advice, "budgets.repeated") {
		t.Errorf("got %v", err)
	}
}
