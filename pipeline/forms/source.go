package forms

import (
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// Source is what a survey knows that a form is made of. Parts that are empty
// are not used.
type Source struct {
	Title    string // of the data set
	Name     string // of the mapping
	Permits  string
	Language string
	From, To string // ISO 8601 days that captures lie between

	Key      []string // terms that name a capture; recordNumber if empty
	Session  []string // terms that name a session
	Marks    []string // terms within whose values a mark names one animal
	Defaults []string // terms that hold for every capture and need no column
	Taxon    string   // the one taxon of the survey, where defaults name it

	Entries     []Entry
	Weighing    Weighing
	Decimal     string
	DateOrder   string
	Remarks     string
	ZeroMissing bool
	Words       map[string]map[string]string // own words of the team, per term

	Instruments []Instrument
	Choices     map[string][]Word // what a term may hold
	Bags        []Word
	Limits      []Limit

	Replicates int // columns for each length; 0 and 1: as the entries have it
	Sessions   int // tabs to type into; 4 if 0
}

// Entry is one heading of a mapping and its meaning.
type Entry struct {
	Heading   string // empty where the mapping has a pattern only
	Repeats   bool   // the pattern numbers replicates
	Observers []Word // the pattern names observers: what is written, who it is
	Meaning   record.Meaning
}

// Weighing says how the mass of the animal comes about.
type Weighing struct {
	Way        record.WeighWay
	Unit       string  // UCUM code
	Scale      string  // name of the instrument
	Tare       float64 // mass of the empty bag for the whole session
	TareSpread float64
}

// Instrument is a caliper, ruler or scale. Graduation and Capacity are in
// Unit; zero means not known.
type Instrument struct {
	Name, Kind, Unit     string
	Graduation, Capacity float64
	Calibration          float64
}

// Word is one text that may be written in a column, and what it stands for.
type Word struct {
	Text  string
	Means string // empty where Text says it
}

// Limit says between which values a measurement of a taxon lies; an empty sex
// or life stage means any, nil means open.
type Limit struct {
	Taxon, Measurement, Unit, Sex, LifeStage, Source string
	Minimum, Maximum                                 *float64
}

// Form is a planned form.
type Form struct {
	Source
	Columns []Column
}

// Column is one column of a form.
type Column struct {
	Heading string // as it is in the workbook, unit and all
	Name    string // the heading without its unit
	Unit    string // as people write it; empty for none
	Label   string // what it is, in a few words
	Says    string // what is to be written, in a sentence
	Tool    string // the instrument and what it can show
	Meaning record.Meaning
	Words   []Word
	Session bool    // holds for the whole session
	Low     float64 // smallest number that can be, in the column's unit
	High    float64 // largest number that the instrument shows; 0 if not known
	Width   float64 // of the workbook's column in characters
	Ideal   float64 // width on the page in millimetres
	Grow    float64 // share of what is left of the page's width
}

// measure is the name of the column without the number of its replicate.
func (c *Column) measure() string {
	if c.Meaning.Replicate == 0 {
		return c.Name
	}
	return strings.TrimSuffix(c.Name, " "+strconv.Itoa(c.Meaning.Replicate))
}

// Number reports whether the column holds measured numbers.
func (c *Column) Number() bool { return c.Meaning.IsMeasured() }
