package normalise

import (
	"time"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/taxon"
	"spadefoot/pipeline/vocabulary"
)

// Weighing is how the masses of one sheet come about.
type Weighing struct {
	Way    record.WeighWay
	Unit   string // UCUM code
	Scale  string // name of the instrument
	Tare   float64
	Spread float64        // standard deviation of the bags that the tare stands for
	From   record.Address // where a tare for the whole sheet is written
}

// Instrument is what a reading's graduation is known from.
type Instrument struct {
	Name, Kind, Unit                  string
	Graduation, Capacity, Calibration float64
}

// Context is what the cells of one sheet are read against. Nil parts are not
// used.
type Context struct {
	Key         []string // terms that name a capture
	Session     []string // terms that name a session
	Marks       []string // terms within whose values a mark names one animal
	RemarksTerm string   // where notes beside values go; occurrenceRemarks if empty
	Defaults    []Default
	Weighing    Weighing
	Instruments map[string]Instrument
	Repeats     record.Repeats
	Checklist   *taxon.Checklist
	Sites       *place.Sites
	SitesFile   string                      // name of the table of sites, for addresses
	Words       map[string]*vocabulary.List // by term
	Joined      func(term string) bool      // several columns may fill the term, joined; every term if nil
	UnitOf      func(measurement string) string
	Measurement func(text string) (name string, ok bool)
	Word        func(text string) (string, uint32) // the same text for equal ones that many values have, and its number
	Zone        *time.Location
	First, Last calendar.Day // the survey's window; zero for open
	Hemisphere  byte         // 'N' or 'S'
	Datum       string
	GPSError    float64
	UTMZone     string
	LetterO     string // what the letter O means in coordinates: "W", "E" or ""
	Cut         bool   // the last place of written coordinates was cut off, not rounded
	Night       bool   // dates are those of the evening: times before noon are of the day after
	NightStated bool   // somebody decided on Night
	Date1904    bool   // day numbers as text count from 1904
}

// Default is a term that holds unless the row says otherwise, with the place
// where it was stated.
type Default struct {
	Term, Text string
	From       record.Address
}
