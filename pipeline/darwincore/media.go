package darwincore

import (
	"path"
	"strings"

	"golang.org/x/text/language"
)

// Medium is one photograph or recording.
type Medium struct {
	ID     string
	Type   string // DCMI type: StillImage, MovingImage, Sound, or ""
	URI    string // where it can be had, if it was given by its address
	Name   string // how it was written
	Format string // media type, or ""
}

// formats by the ending of a file name (media types as Debian's package media-types 10.0.0
// lists them, but for audio/wav, which it still has as audio/x-wav).
var formats = map[string][2]string{
	".jpg": {"StillImage", "image/jpeg"}, ".jpeg": {"StillImage", "image/jpeg"}, ".png": {"StillImage", "image/png"}, ".tif": {"StillImage", "image/tiff"},
	".tiff": {"StillImage", "image/tiff"}, ".heic": {"StillImage", "image/heic"}, ".gif": {"StillImage", "image/gif"},
	".wav": {"Sound", "audio/wav"}, ".mp3": {"Sound", "audio/mpeg"}, ".flac": {"Sound", "audio/flac"}, ".m4a": {"Sound", "audio/mp4"},
	".mp4": {"MovingImage", "video/mp4"}, ".mov": {"MovingImage", "video/quicktime"}, ".avi": {"MovingImage", "video/x-msvideo"},
}

// Media reads associatedMedia: a list with " | " between names or addresses.
func Media(datasetID, list string) []Medium {
	var out []Medium
	for _, name := range split(list) {
		f := formats[strings.ToLower(path.Ext(name))]
		m := Medium{ID: named(datasetID, "media\x1f"+name), Type: f[0], Name: name, Format: f[1]}
		if strings.HasPrefix(name, "http://") || strings.HasPrefix(name, "https://") {
			m.ID, m.URI = name, name
		}
		out = append(out, m)
	}
	return out
}

// mediumTerms are the terms of the row of a medium, in the order of the columns;
// the first where the core is of events.
var mediumTerms = [...]string{"eventID", "occurrenceID", "type", "license", "accessURI", "creator", "format", "identifier", "metadataLanguageLiteral", "providerManagedID"}

// mediumRow is the row of a medium in the extension of an archive, by
// mediumTerms.
type mediumRow [len(mediumTerms)]string

// medium makes the row of a medium. Audiovisual Core asks that every row says
// the language of what is written in it, by its code of three letters.
func (m *RowBuilder) medium(one Medium, occurrenceID string) mediumRow {
	rights := m.dataset.Media
	row := mediumRow{"", occurrenceID, one.Type, rights.URL(), one.URI, rights.Creator, one.Format, one.ID, m.language, one.Name}
	for i := 2; i < len(row); i++ {
		row[i] = strings.TrimSpace(row[i])
	}
	return row
}

func (r *mediumRow) mark(m *marks) {
	for i, text := range r {
		if text != "" {
			m.add(i)
		}
	}
}

// threeLetters is the code of ISO 639 with three letters for a language tag of
// RFC 5646, or "".
func threeLetters(tag string) string {
	t, err := language.Parse(tag)
	if err != nil || tag == "" {
		return ""
	}
	base, _ := t.Base()
	return base.ISO3()
}
