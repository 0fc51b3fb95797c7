package main

import "strings"

var dataFaults = []fault{
	{name: "2.2.1-encoding-latin1", change: latin1, rule: "encoding-invalid", level: wrong, file: core, line: 3, section: "2.2.1"},
	{name: "2.2.1-encoding-doubtful", in: meta, old: `encoding="UTF-8" fields`, new: `encoding="ISO-8859-1" fields`, change: accents, rule: "encoding-doubtful", level: warning, file: core, line: 3, section: "2.2.1"},
	{name: "2.2.1-encoding-utf16", change: utf16, rule: "encoding-differs", level: wrong, file: core, line: 1, section: "2.2.1"},
	{name: "2.2.1-separator-differs", change: semicolons, rule: "separator-differs", level: wrong, file: facts, line: 1, section: "2.2.1"},
	{name: "2.2.1-line-ends", change: carriageReturns, rule: "line-end-differs", level: warning, file: core, line: 1, section: "2.2.1"},
	{name: "2.2.1-quote-open", in: core, old: `young"`, new: "young", rule: "text-shape", level: wrong, file: core, line: 3, section: "2.2.1"},
	{name: "2.2.1-quote-stray", in: core, old: "Anaxyrus boreas", new: `Anaxyrus "boreas"`, rule: "text-quote-stray", level: warning, file: core, line: 4, section: "2.2.1"},
	{name: "2.2.1-row-short", in: core, old: ",CA,Ada Wren\nmc-2", new: ",CA\nmc-2", rule: "row-short", level: wrong, file: core, line: 2, section: "2.2.1"},
	{name: "2.2.1-row-long", in: core, old: `"Rana luteiventris, young"`, new: "Rana luteiventris, young", rule: "row-long", level: wrong, file: core, line: 3, section: "2.2.1"},
	{name: "2.2.1-file-empty", change: func(files map[string]string) { files[facts] = "" }, rule: "file-empty", level: wrong, file: facts, section: "2.2.1"},
	{name: "4.1-null", in: core, old: "Ada Wren\nmc-2", new: "\\N\nmc-2", rule: "value-null", level: wrong, file: core, line: 2, section: "4.1"},
	{name: "value-latitude", in: core, old: "51.26", new: "511.26", rule: "value-out-of-range", level: wrong, file: core, line: 4, section: dwc + "decimalLatitude"},
	{name: "value-comma", in: core, old: "51.26", new: `"51,26"`, rule: "value-not-number", level: wrong, file: core, line: 4, section: dwc + "decimalLatitude"},
	{name: "value-date", in: core, old: "2021-06-13/14", new: "13.06.2021", rule: "value-not-date", level: wrong, file: core, line: 4, section: dwc + "eventDate"},
	{name: "value-interval", in: core, old: "2021-06-13/14", new: "2021-06-13/12", rule: "value-not-date", level: wrong, file: core, line: 4, section: dwc + "eventDate"},
	{name: "value-country", in: core, old: ",CA,Éric", new: ",Canada,Éric", rule: "value-not-listed", level: wrong, file: core, line: 3, section: dwc + "countryCode"},
	{name: "value-basis", in: core, old: "HumanObservation,Anaxyrus", new: "human observation,Anaxyrus", rule: "basis-not-class", level: warning, file: core, line: 4, section: dwc + "basisOfRecord"},
	{name: "value-status", in: meta, old: `default="present"`, new: `default="seen"`, rule: "value-not-listed", level: wrong, file: meta, line: 16, section: dwc + "occurrenceStatus"},
	{name: "value-half-place", in: core, old: "51.26,-116.51", new: "51.26,", rule: "values-disagree", level: warning, file: core, line: 4, section: dwc + "decimalLatitude"},
	{name: "value-with-unit", in: facts, old: ",71,", new: ",71 mm,", rule: "measurement-not-number", level: warning, file: facts, line: 2, section: dwc + "measurementValue"},
	{name: "eml-malformed", in: eml, old: "</title>", new: "</titel>", rule: "xml-malformed", level: wrong, file: eml, line: 4, section: "XML 1.0, section 2.1"},
	{name: "eml-order", in: eml, old: "    <title>Frogs of Marrow Creek</title>\n", change: func(files map[string]string) {
		files[eml] = strings.Replace(files[eml], "    <pubDate>", "    <title>Frogs</title>\n    <pubDate>", 1)
	}, rule: "eml-schema", level: wrong, file: eml, line: 4, section: emlXSD},
	{name: "eml-contact-missing", in: eml, old: "    <contact>\n      <references>ada</references>\n    </contact>\n", rule: "eml-schema", level: wrong, file: eml, line: 3, section: emlXSD},
	{name: "eml-date", in: eml, old: "2021-07-01", new: "July 2021", rule: "eml-schema", level: wrong, file: eml, line: 12, section: emlXSD},
	{name: "eml-title-empty", in: eml, old: "Frogs of Marrow Creek", new: " ", rule: "eml-empty", level: wrong, file: eml, line: 4, section: emlXSD},
	{name: "eml-reference-lost", in: eml, old: "<references>ada", new: "<references>eve", rule: "eml-reference-lost", level: wrong, file: eml, line: 15, section: emlXSD},
	{name: "eml-orcid", in: eml, old: "4738", new: "4783", rule: "orcid-invalid", level: wrong, file: eml, line: 10, section: "ISO 7064 MOD 11-2"},
}

// hostile archives are refused, most of them before anything is read.
var hostile = []fault{
	{name: "hostile-location-absolute", in: meta, old: "<location>occurrence.csv", new: "<location>/etc/passwd", rule: "meta-location-form", level: wrong, file: meta, line: 5, section: "2.3.1", refused: "meta.xml, line 5"},
	{name: "hostile-location-up", in: meta, old: "<location>occurrence.csv", new: "<location>data/../../occurrence.csv", rule: "meta-location-form", level: wrong, file: meta, line: 5, section: "2.3.1", refused: "meta.xml, line 5"},
	{name: "hostile-location-file-url", in: meta, old: "<location>occurrence.csv", new: "<location>file:///etc/passwd", rule: "meta-location-form", level: wrong, file: meta, line: 5, section: "2.3.1", refused: "meta.xml, line 5"},
	{name: "hostile-entity", in: eml, old: "<eml:eml", new: "<!DOCTYPE x [<!ENTITY a \"frog\">]>\n<eml:eml", rule: "xml-refused", level: wrong, file: eml, line: 2, refused: "document type declaration"},
	{name: "hostile-external-dtd", in: meta, old: "<archive", new: "<!DOCTYPE archive SYSTEM \"http://marrowcreek.example/a.dtd\">\n<archive", rule: "xml-refused", level: wrong, file: meta, line: 2, refused: "document type declaration"},
	{name: "hostile-zip-up", extra: []entry{{name: "../meta.xml", text: "x"}}, refused: "leads outside the archive"},
	{name: "hostile-zip-absolute", extra: []entry{{name: "/tmp/meta.xml", text: "x"}}, refused: "is an absolute path"},
	{name: "hostile-zip-backslash", extra: []entry{{name: `..\meta.xml`, text: "x"}}, refused: "contains a backslash"},
	{name: "hostile-zip-twice", extra: []entry{{name: "Occurrence.csv", text: "x"}}, refused: "is in the zip twice"},
	{name: "hostile-zip-link", extra: []entry{{name: "photos", text: "/etc", link: true}}, refused: "is a link"},
	{name: "hostile-zip-bomb", extra: []entry{{name: "notes.txt", text: strings.Repeat("\x00", 8<<20)}}, refused: "unpacks to more than"},
}

func latin1(files map[string]string) {
	files[core] = strings.Replace(files[core], "É", "\xc9", 1)
}

func accents(files map[string]string) {
	files[core] = strings.Replace(files[core], "Éric", "Renée", 1)
}

func utf16(files map[string]string) {
	var b strings.Builder
	b.WriteString("\xff\xfe")
	for _, r := range files[core] { // no character of the file is beyond U+FFFF
		b.WriteByte(byte(r))
		b.WriteByte(byte(r >> 8))
	}
	files[core] = b.String()
}

func semicolons(files map[string]string) {
	files[facts] = strings.ReplaceAll(files[facts], ",", ";")
}

func carriageReturns(files map[string]string) {
	files[core] = strings.ReplaceAll(files[core], "\n", "\r\n")
}
