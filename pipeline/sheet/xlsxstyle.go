package sheet

import (
	"strings"

	"github.com/xuri/excelize/v2"
)

// style returns what a style number means; an unknown one means nothing.
func (b *xlsxBook) style(id int) (s cellStyle) {
	if s, ok := b.styles[id]; ok {
		return s
	}
	defer func() {
		recover() // a style that points at parts that are not there
		b.styles[id] = s
	}()
	st, err := b.book.GetStyle(id)
	if err != nil {
		return s
	}
	code := builtinFormats()[st.NumFmt]
	if st.CustomNumFmt != nil {
		code = *st.CustomNumFmt
	}
	s.format = parseFormat(code)
	s.fill = b.fill(id)
	s.struck = st.Font != nil && st.Font.Strike
	return s
}

// fill returns the colour of a style. The library gives it only for workbooks
// with a theme, so it is taken from the style sheet. A solid fill has its
// colour in the foreground.
func (b *xlsxBook) fill(id int) string {
	sheet := b.book.Styles
	xf := sheet.CellXfs.Xf[id]
	if xf.FillID == nil || xf.ApplyFill != nil && !*xf.ApplyFill {
		return ""
	}
	p := sheet.Fills.Fill[*xf.FillID].PatternFill
	if p == nil || p.PatternType == "" || p.PatternType == "none" || p.FgColor == nil || p.FgColor.Auto {
		return ""
	}
	c := p.FgColor
	if len(c.RGB) >= 6 {
		return fillColour(c.RGB)
	}
	base := b.book.GetBaseColor("", c.Indexed, c.Theme)
	if len(base) != 6 {
		return ""
	}
	return fillColour(excelize.ThemeColor(base, c.Tint))
}

// fillColour brings a colour into the form RRGGBB; white is not a fill.
func fillColour(c string) string {
	c = strings.ToUpper(strings.TrimPrefix(c, "#"))
	if len(c) == 8 {
		c = c[2:]
	}
	if len(c) != 6 || c == "FFFFFF" {
		return ""
	}
	return c
}
