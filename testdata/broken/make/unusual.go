package main

import (
	"archive/tar"
	"bytes"
	"strings"

	"github.com/klauspost/compress/gzip"
)

// unusual archives are valid by the guides, each odd in one way.
var unusual = []fault{
	{name: "date-basic", in: core, old: "2021-06-13/14", new: "20210613"},
	{name: "date-week", in: core, old: "2021-06-13/14", new: "2021-W23-7"},
	{name: "date-week-basic", in: core, old: "2021-06-13/14", new: "2021W237"},
	{name: "date-ordinal", in: core, old: "2021-06-13/14", new: "2021-164"},
	{name: "date-month", in: core, old: "2021-06-13/14", new: "2021-06"},
	{name: "date-year", in: core, old: "2021-06-13/14", new: "2021"},
	{name: "date-time-zone", in: core, old: "2021-06-13/14", new: "2021-06-13T21:30-06:00"},
	{name: "date-time-interval", in: core, old: "2021-06-13/14", new: "2021-06-13T21:30Z/2021-06-14T01:00Z"},
	{name: "date-duration", in: core, old: "2021-06-13/14", new: "2021-06-13/P2D"},
	{name: "date-declared", in: core, old: "2021-06-13/14", new: "13-06-2021", change: inMeta(`ignoreHeaderLines="1" rowType="http://rs.tdwg.org/dwc/terms/Occurrence"`, `ignoreHeaderLines="1" dateFormat="DD-MM-YYYY" rowType="http://rs.tdwg.org/dwc/terms/Occurrence"`)},
	{name: "number-plus", in: core, old: "51.26,", new: "+51.26,"},
	{name: "number-exponent", in: core, old: "51.26,", new: "5.126e1,"},
	{name: "country-high-seas", in: core, old: ",CA,Éric", new: ",XZ,Éric"},
	{name: "country-unknown", in: core, old: ",CA,Éric", new: ",ZZ,Éric"},
	{name: "id-address", change: everywhere("mc-1", "https://marrowcreek.example/o/1?x=1&y=2")},
	{name: "id-number", change: everywhere("mc-", "10000000000000000")},
	{name: "core-without-rows", change: func(f map[string]string) {
		f[core], f[facts] = f[core][:strings.Index(f[core], "\n")+1], f[facts][:strings.Index(f[facts], "\n")+1]
	}},
	{name: "extension-without-rows", change: func(f map[string]string) { f[facts] = f[facts][:strings.Index(f[facts], "\n")+1] }},
	{name: "last-line-open", change: func(f map[string]string) { f[core] = strings.TrimSuffix(f[core], "\n") }},
	{name: "line-ends-declared", change: carriageReturns, in: meta, old: `linesTerminatedBy="\n"`, new: `linesTerminatedBy="\r\n"`},
	{name: "line-ends-old", change: func(f map[string]string) { f[core] = strings.ReplaceAll(f[core], "\n", "\r") }, in: meta, old: `linesTerminatedBy="\n"`, new: `linesTerminatedBy="\r"`},
	{name: "quoted-line-break", in: core, old: `"Rana luteiventris, young"`, new: "\"Rana luteiventris,\nyoung\""},
	{name: "quoted-quotes", in: core, old: `"Rana luteiventris, young"`, new: `"Rana ""luteiventris"""`},
	{name: "quoted-all", change: func(f map[string]string) {
		f[facts] = `"` + strings.ReplaceAll(strings.ReplaceAll(strings.TrimSuffix(f[facts], "\n"), ",", `","`), "\n", "\"\n\"") + "\"\n"
	}},
	{name: "quote-single", change: func(f map[string]string) { f[core] = strings.ReplaceAll(f[core], `"`, "'") }, in: meta, old: `fieldsEnclosedBy="&quot;"`, new: `fieldsEnclosedBy="'"`},
	{name: "quote-none", change: func(f map[string]string) {
		f[meta] = strings.ReplaceAll(f[meta], `fieldsEnclosedBy="&quot;"`, `fieldsEnclosedBy=""`)
		f[core] = strings.ReplaceAll(f[core], `"Rana luteiventris, young"`, "Rana luteiventris")
	}},
	{name: "separator-tab", change: separated("\t", `\t`)},
	{name: "separator-tab-itself", change: separated("\t", "&#9;")},
	{name: "separator-semicolon", change: separated(";", ";")},
	{name: "separator-pipe", change: separated("|", "|")},
	{name: "attributes-left-out", change: everywhere(` encoding="UTF-8" fieldsTerminatedBy="," linesTerminatedBy="\n" fieldsEnclosedBy="&quot;"`, "")},
	{name: "encoding-latin1", change: latin1, in: meta, old: `encoding="UTF-8" fields`, new: `encoding="ISO-8859-1" fields`},
	{name: "encoding-windows", change: latin1, in: meta, old: `encoding="UTF-8" fields`, new: `encoding="Windows-1252" fields`},
	{name: "encoding-16", change: utf16, in: meta, old: `encoding="UTF-8" fields`, new: `encoding="UTF-16" fields`},
	{name: "encoding-small", change: everywhere(`encoding="UTF-8" fields`, `encoding="utf8" fields`)},
	{name: "mark", change: func(f map[string]string) { f[core] = "\uFEFF" + f[core] }},
	{name: "meta-16", change: func(f map[string]string) {
		f[meta] = strings.Replace(f[meta], `encoding="UTF-8"?`, `encoding="UTF-16"?`, 1)
		f[meta] = as16(f[meta])
	}},
	{name: "meta-mark", change: func(f map[string]string) { f[meta] = "\uFEFF" + f[meta] }},
	{name: "meta-prefix", change: func(f map[string]string) {
		text := strings.NewReplacer("<", "<t:", "<t:/", "</t:", "<t:?", "<?").Replace(f[meta])
		text = strings.ReplaceAll(text, "<t:/", "</t:")
		f[meta] = strings.ReplaceAll(strings.Replace(text, `xmlns=`, `xmlns:t=`, 1), "<t:?", "<?")
	}},
	{name: "meta-schema-location", change: inMeta(`<archive `, `<archive xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" xsi:schemaLocation="http://rs.tdwg.org/dwc/text/ http://rs.tdwg.org/dwc/text/tdwg_dwc_text.xsd" `)},
	{name: "meta-comment", change: inMeta("<core", "<!-- the frogs --><?note keep?>\n  <core")},
	{name: "meta-blanks", change: inMeta("<location>occurrence.csv</location>", "<location>\n        occurrence.csv\n      </location>")},
	{name: "location-dot", change: inMeta("<location>occurrence.csv", "<location>./occurrence.csv")},
	{name: "location-folder", change: rename(core, "data/occurrence.csv"), in: meta, old: "<location>occurrence.csv", new: "<location>data/occurrence.csv"},
	{name: "location-web", change: drop(facts), in: meta, old: "<location>measurementorfact.csv", new: "<location>https://marrowcreek.example/measurementorfact.csv"},
	{name: "location-blank-within", change: rename(core, "all frogs.TXT"), in: meta, old: "<location>occurrence.csv", new: "<location>all frogs.TXT"},
	{name: "files-two", change: func(f map[string]string) {
		f["more.csv"] = f[core][:strings.Index(f[core], "\n")+1] + "mc-4,HumanObservation,Anaxyrus boreas,2021-06-14,51.26,-116.51,CA,Ada Wren\n"
		f[meta] = strings.Replace(f[meta], "<location>occurrence.csv</location>", "<location>occurrence.csv</location>\n      <location>more.csv</location>", 1)
	}},
	{name: "in-a-folder", change: func(f map[string]string) {
		for _, name := range []string{meta, core, facts, eml} {
			rename(name, "frogs/"+name)(f)
		}
	}},
	{name: "preamble", change: func(f map[string]string) { f[core] = "Frogs of Marrow Creek\n\n" + f[core] }, in: meta, old: `ignoreHeaderLines="1"`, new: `ignoreHeaderLines="3"`},
	{name: "headings-own", in: core, old: "occurrenceID,basisOfRecord,scientificName", new: "Number,How,Species"},
	{name: "columns-unmapped", change: inMeta("    <field index=\"7\" term=\"http://rs.tdwg.org/dwc/terms/recordedBy\"/>\n", "")},
	{name: "columns-unsorted", change: func(f map[string]string) {
		line := "    <field index=\"3\" term=\"http://rs.tdwg.org/dwc/terms/eventDate\"/>\n"
		f[meta] = strings.Replace(strings.Replace(f[meta], line, "", 1), "    <field term=", line+"    <field term=", 1)
	}},
	{name: "default-with-index", change: inMeta(`term="http://rs.tdwg.org/dwc/terms/recordedBy"`, `term="http://rs.tdwg.org/dwc/terms/recordedBy" default="Ada Wren"`)},
	{name: "vocabulary", change: inMeta(`default="present"`, `default="present" vocabulary="http://rs.gbif.org/vocabulary/gbif/occurrence_status.xml"`)},
	{name: "term-of-others", change: inMeta("    <field term=", "    <field term=\"https://marrowcreek.example/terms/mood\" default=\"calm\"/>\n    <field term=")},
	{name: "rowtype-of-others", change: inMeta("http://rs.tdwg.org/dwc/terms/MeasurementOrFact", "http://rs.iobis.org/obis/terms/ExtendedMeasurementOrFact")},
	{name: "rowtype-simple", change: inMeta(`"http://rs.tdwg.org/dwc/terms/Occurrence"`, `"http://rs.tdwg.org/dwc/xsd/simpledarwincore/SimpleDarwinRecord"`)},
	{name: "metadata-web", change: drop(eml), in: meta, old: `metadata="eml.xml"`, new: `metadata="https://marrowcreek.example/eml.xml"`},
	{name: "metadata-text", change: rename(eml, "about.txt"), in: meta, old: `metadata="eml.xml"`, new: `metadata="about.txt"`},
	{name: "metadata-none", change: drop(eml), in: meta, old: ` metadata="eml.xml"`},
	{name: "metadata-older", in: eml, old: "https://eml.ecoinformatics.org/eml-2.2.0", new: "eml://ecoinformatics.org/eml-2.1.1"},
	{name: "file-beside", change: func(f map[string]string) { f["readme.txt"] = "Frogs.\n" }},
	{name: "core-alone", change: func(f map[string]string) {
		drop(facts)(f)
		f[meta] = f[meta][:strings.Index(f[meta], "  <extension")] + "</archive>\n"
		f[meta] = strings.Replace(f[meta], "    <id index=\"0\"/>\n", "", 1)
	}},

	{name: "package", base: soundPackage},
	{name: "package-no-eml", base: soundPackage, change: drop(eml)},
	{name: "package-gzip", base: soundPackage, ext: ".tar.gz"},
	{name: "package-file-gzip", base: soundPackage, change: func(f map[string]string) {
		f["occurrence.csv.gz"] = packed([]byte(f[core]))
		drop(core)(f)
		f[descriptor] = strings.Replace(f[descriptor], `"occurrence.csv"`, `"occurrence.csv.gz"`, 1)
	}},
	{name: "package-dialect", base: soundPackage, change: func(f map[string]string) { f[core] = strings.ReplaceAll(f[core], ",", ";") }, in: descriptor, old: `"name": "occurrence"`, new: `"dialect": {"delimiter": ";"}, "name": "occurrence"`},
	{name: "package-no-header", base: soundPackage, change: func(f map[string]string) { f[core] = f[core][strings.Index(f[core], "\n")+1:] }, in: descriptor, old: `"name": "occurrence"`, new: `"dialect": {"header": false}, "name": "occurrence"`},
	{name: "package-missing-values", base: soundPackage, in: "event.csv", old: "51.26,-116.51", new: "NA,NA", change: func(f map[string]string) {
		f[descriptor] = strings.Replace(f[descriptor], `"primaryKey": "eventID"`, `"missingValues": ["", "NA"], "primaryKey": ["eventID"]`, 1)
	}},
	{name: "package-other-resource", base: soundPackage, change: func(f map[string]string) { f["notes.txt"] = "Frogs.\n" }, in: descriptor, old: `"resources": [`, new: `"resources": [{"name": "notes", "path": "notes.txt"},`},
	{name: "package-own-properties", base: soundPackage, in: descriptor, old: `"version": "1.0"`, new: `"version": "1.0", "title": "Frogs", "mood": "calm"`},

	{name: "table", isTable: true, table: "occurrenceID,scientificName,eventDate\na,Rana luteiventris,2021-06-12\n"},
	{name: "table-semicolon", isTable: true, table: "occurrenceID;scientificName;eventDate\na;Rana luteiventris;2021-06-12\n"},
	{name: "table-tab", isTable: true, table: "occurrenceID\tscientificName\teventDate\na\tRana luteiventris\t2021-06-12\n"},
	{name: "table-pipe", isTable: true, table: "occurrenceID|scientificName|eventDate\na|Rana luteiventris|2021-06-12\n"},
	{name: "table-prefixed", isTable: true, table: "dwc:occurrenceID,dcterms:license\na,http://creativecommons.org/publicdomain/zero/1.0/legalcode\n"},
	{name: "table-16", isTable: true, table: as16("occurrenceID,scientificName\na,Rana luteiventris\n")},
	{name: "table-facts", isTable: true, table: "occurrenceID,measurementID,measurementType,measurementValue,measurementUnit\na,m1,body mass,35.5,g\na,m2,snout-vent length,71,mm\n"},
	{name: "table-facts-without-id", isTable: true, table: "occurrenceID,measurementType,measurementValue,measurementUnit\na,body mass,35.5,g\na,snout-vent length,71,mm\n"},
	{name: "table-events", isTable: true, table: "eventID,parentEventID,eventDate,samplingProtocol\nn1,s,2021-06-12,by hand\nn2,s,2021-06-13,by hand\n"},
	{name: "table-taxa", isTable: true, table: "taxonID,scientificName,taxonRank,acceptedNameUsageID\n1,Rana luteiventris,species,\n2,Rana pretiosa luteiventris,subspecies,1\n"},
	{name: "table-vernacular", isTable: true, table: "taxonID,vernacularName,language\n1,Columbia spotted frog,en\n1,grenouille maculée de Columbia,fr\n"},
	{name: "table-distribution", isTable: true, table: "taxonID,locality,countryCode,occurrenceStatus\n1,Marrow Creek,CA,present\n1,Alder Fen,CA,present\n"},
	{name: "table-identifications", isTable: true, table: "occurrenceID,identificationID,scientificName,dateIdentified\na,i1,Rana pretiosa,2021-06-12\na,i2,Rana luteiventris,2021-07-01\n"},
	{name: "table-without-ids", isTable: true, table: "institutionCode,catalogNumber,scientificName\nMC,1,Rana luteiventris\nMC,2,Rana luteiventris\n"},
}

func inMeta(old, text string) func(map[string]string) {
	return func(files map[string]string) { files[meta] = strings.Replace(files[meta], old, text, 1) }
}

func everywhere(old, text string) func(map[string]string) {
	return func(files map[string]string) {
		for name := range files {
			files[name] = strings.ReplaceAll(files[name], old, text)
		}
	}
}

// separated parts the fields of the core, none of which holds what parts them.
func separated(by, declared string) func(map[string]string) {
	return func(files map[string]string) {
		files[core] = strings.ReplaceAll(strings.ReplaceAll(files[core], `"Rana luteiventris, young"`, "Rana luteiventris"), ",", by)
		files[meta] = strings.Replace(files[meta], `fieldsTerminatedBy=","`, `fieldsTerminatedBy="`+declared+`"`, 1)
	}
}

func as16(text string) string {
	files := map[string]string{core: text}
	utf16(files)
	return files[core]
}

func packed(b []byte) string {
	var out bytes.Buffer
	z, _ := gzip.NewWriterLevel(&out, gzip.BestCompression)
	_, _ = z.Write(b)
	_ = z.Close()
	return out.String()
}

// bundled puts files into a compressed tape archive.
func bundled(files map[string]string, names []string) ([]byte, error) {
	var b bytes.Buffer
	w := tar.NewWriter(&b)
	for _, name := range names {
		if err := w.WriteHeader(&tar.Header{Name: name, Mode: 0o644, Size: int64(len(files[name]))}); err != nil {
			return nil, err
		}
		if _, err := w.Write([]byte(files[name])); err != nil {
			return nil, err
		}
	}
	err := w.Close()
	return []byte(packed(b.Bytes())), err
}
