package main

import (
	"archive/zip"
	"bytes"
	"io"
	"io/fs"
	"sort"
	"time"

	"github.com/klauspost/compress/flate"
)

// sound returns the files of an archive without a fault.
func sound() map[string]string {
	return map[string]string{
		"meta.xml": `<?xml version="1.0" encoding="UTF-8"?>
<archive xmlns="http://rs.tdwg.org/dwc/text/" metadata="eml.xml">
  <core encoding="UTF-8" fieldsTerminatedBy="," linesTerminatedBy="\n" fieldsEnclosedBy="&quot;" ignoreHeaderLines="1" rowType="http://rs.tdwg.org/dwc/terms/Occurrence">
    <files>
      <location>occurrence.csv</location>
    </files>
    <id index="0"/>
    <field index="0" term="http://rs.tdwg.org/dwc/terms/occurrenceID"/>
    <field index="1" term="http://rs.tdwg.org/dwc/terms/basisOfRecord"/>
    <field index="2" term="http://rs.tdwg.org/dwc/terms/scientificName"/>
    <field index="3" term="http://rs.tdwg.org/dwc/terms/eventDate"/>
    <field index="4" term="http://rs.tdwg.org/dwc/terms/decimalLatitude"/>
    <field index="5" term="http://rs.tdwg.org/dwc/terms/decimalLongitude"/>
    <field index="6" term="http://rs.tdwg.org/dwc/terms/countryCode"/>
    <field index="7" term="http://rs.tdwg.org/dwc/terms/recordedBy"/>
    <field term="http://rs.tdwg.org/dwc/terms/occurrenceStatus" default="present"/>
  </core>
  <extension encoding="UTF-8" fieldsTerminatedBy="," linesTerminatedBy="\n" fieldsEnclosedBy="&quot;" ignoreHeaderLines="1" rowType="http://rs.tdwg.org/dwc/terms/MeasurementOrFact">
    <files>
      <location>measurementorfact.csv</location>
    </files>
    <coreid index="0"/>
    <field index="1" term="http://rs.tdwg.org/dwc/terms/measurementType"/>
    <field index="2" term="http://rs.tdwg.org/dwc/terms/measurementValue"/>
    <field index="3" term="http://rs.tdwg.org/dwc/terms/measurementUnit"/>
  </extension>
</archive>
`,
		"occurrence.csv": `occurrenceID,basisOfRecord,scientificName,eventDate,decimalLatitude,decimalLongitude,countryCode,recordedBy
mc-1,HumanObservation,Rana luteiventris,2021-06-12,51.25,-116.5,CA,Ada Wren
mc-2,HumanObservation,"Rana luteiventris, young",2021-06-12,51.25,-116.5,CA,Éric Stone
mc-3,HumanObservation,Anaxyrus boreas,2021-06-13/14,51.26,-116.51,CA,Ada Wren
`,
		"measurementorfact.csv": `occurrenceID,measurementType,measurementValue,measurementUnit
mc-1,snout-vent length,71,mm
mc-1,body mass,35.5,g
mc-2,snout-vent length,40-42,mm
mc-3,snout-vent length,88,mm
`,
		"eml.xml": `<?xml version="1.0" encoding="UTF-8"?>
<eml:eml xmlns:eml="https://eml.ecoinformatics.org/eml-2.2.0" packageId="https://marrowcreek.example/frogs" system="https://marrowcreek.example">
  <dataset>
    <title>Frogs of Marrow Creek</title>
    <creator id="ada">
      <individualName>
        <givenName>Ada</givenName>
        <surName>Wren</surName>
      </individualName>
      <userId directory="https://orcid.org">https://orcid.org/0000-0003-0077-4738</userId>
    </creator>
    <pubDate>2021-07-01</pubDate>
    <language>en</language>
    <contact>
      <references>ada</references>
    </contact>
  </dataset>
</eml:eml>
`,
	}
}

// entry is a file of a zip that a map cannot hold: a name that is twice, a
// link, a bomb.
type entry struct {
	name, text string
	link       bool
}

// pack makes a zip of files in the order of their names, then the extras.
func pack(files map[string]string, extra []entry) ([]byte, error) {
	var list []entry
	for name, text := range files {
		list = append(list, entry{name: name, text: text})
	}
	sort.Slice(list, func(i, j int) bool { return list[i].name < list[j].name })
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	z.RegisterCompressor(zip.Deflate, compressor)
	for _, e := range append(list, extra...) {
		h := &zip.FileHeader{Name: e.name, Method: zip.Deflate, Modified: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)}
		if e.link {
			h.SetMode(0o777 | fs.ModeSymlink)
		}
		w, err := z.CreateHeader(h)
		if err != nil {
			return nil, err
		}
		if _, err := w.Write([]byte(e.text)); err != nil {
			return nil, err
		}
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// compressor is one whose version is in go.mod, so that the bytes do not
// change with the version of Go.
func compressor(w io.Writer) (io.WriteCloser, error) {
	return flate.NewWriter(w, flate.BestCompression)
}
