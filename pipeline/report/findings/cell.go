package findings

import "unicode/utf8"

// maxInCell is how many bytes a cell of findings.csv holds. Spreadsheet programs
// take 32,767 characters (ECMA-376 workbooks, common practice) and cut what is
// longer without a word.
const maxInCell = 32_000

// fitting cuts a text that is too long for a cell and says so.
func fitting(text string) string {
	if len(text) <= maxInCell {
		return text
	}
	end := maxInCell
	for end > 0 && !utf8.RuneStart(text[end]) {
		end--
	}
	return text[:end] + " … (cut here; findings.json has the whole text)"
}
