package survey

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"iter"
	"maps"
	"path"
	"slices"
	"sort"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/config"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/budget"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/vocabulary"
)

// FileName is the name of the description in a survey folder.
const FileName = "survey.yaml"

const schemaName = "survey.schema.json"

// Survey is a survey folder as described.
type Survey struct {
	Dataset      Dataset           `json:"dataset"`
	Window       Window            `json:"survey"`
	Defaults     map[string]any    `json:"defaults"`
	Instruments  []Instrument      `json:"instruments"`
	ScaleChecks  []ScaleCheck      `json:"scaleChecks"`
	Measurements []Measurement     `json:"measurements"`
	Repeats      []Repeatability   `json:"repeatability"`
	Tables       Tables            `json:"tables"`
	Sheets       []SheetRef        `json:"sheets"`
	Rules        Rules             `json:"rules"`
	Archive      Archive           `json:"archive"`
	Budgets      budget.Budgets    `json:"budgets"`
	FailOn       string            `json:"failOn"`
	Mapping      json.RawMessage   `json:"mapping"`
	LeftAlone    []string          `json:"-"` // files matched by a pattern of sheets that programs left there
	Files        map[string][]byte `json:"-"` // survey.yaml and mappings as read, by path

	doc      *config.Document
	measures *vocabulary.Measures
}

// Dataset describes the data set that is published.
type Dataset struct {
	ID                    string   `json:"id"`
	Title                 string   `json:"title"`
	Description           string   `json:"description"`
	Language              string   `json:"language"`
	Licence               string   `json:"licence"`
	RightsHolder          string   `json:"rightsHolder"`
	InstitutionCode       string   `json:"institutionCode"`
	Published             string   `json:"published"`
	Creators              []Person `json:"creators"`
	Contacts              []Person `json:"contacts"`
	Associates            []Person `json:"associates"`
	Publisher             Person   `json:"publisher"`
	Country               string   `json:"country"`
	CountryCode           string   `json:"countryCode"`
	Keywords              []string `json:"keywords"`
	URL                   string   `json:"url"`
	Purpose               string   `json:"purpose"`
	Funding               string   `json:"funding"`
	Thanks                string   `json:"thanks"`
	Quality               []string `json:"quality"`
	Permits               string   `json:"permits"`
	Ethics                string   `json:"ethics"`
	Citation              string   `json:"citation"`
	GeographicDescription string   `json:"geographicDescription"`
	Methods               string   `json:"methods"`
	Media                 Media    `json:"media"`
}

// Media is what holds for all photographs and recordings.
type Media struct {
	Licence string `json:"licence"`
	Creator string `json:"creator"`
}

// Person is a person or an organisation that has to do with the data set.
type Person struct {
	Given        string `json:"given"`
	Family       string `json:"family"`
	Organisation string `json:"organisation"`
	Position     string `json:"position"`
	Email        string `json:"email"`
	ORCID        string `json:"orcid"`
	Country      string `json:"country"`
	Role         string `json:"role"`
}

// Window is the time and place that written values are read in.
type Window struct {
	Timezone   string  `json:"timezone"`
	From       string  `json:"from"`
	To         string  `json:"to"`
	Datum      string  `json:"datum"`
	GPSError   float64 `json:"gpsError"`
	Hemisphere string  `json:"hemisphere"`
	UTMZone    string  `json:"utmZone"`
	Night      *bool   `json:"night"`
	DateSystem int     `json:"dateSystem"`
	Rounding   string  `json:"coordinateRounding"`
}

// Instrument is a caliper, ruler or scale. Graduation and Capacity are in Unit.
type Instrument struct {
	Name       string  `json:"name"`
	Kind       string  `json:"kind"`
	Unit       string  `json:"unit"`
	Graduation float64 `json:"graduation"`
	Capacity   float64 `json:"capacity"`

	Calibration float64 `json:"calibration"` // expanded uncertainty (k = 2)
}

// ScaleCheck is a reading of a scale with a check weight on it, or with nothing, in
// the unit of the scale.
type ScaleCheck struct {
	Scale   string  `json:"scale"`
	Date    string  `json:"date"`
	Load    float64 `json:"load"`
	Reading float64 `json:"reading"`
}

// Repeatability says how well one person's repeats of a measurement on one
// animal agree: as a standard deviation in Unit, or in per cent of the value.
type Repeatability struct {
	Measurement       string  `json:"measurement"`
	Observer          string  `json:"observer"`
	StandardDeviation float64 `json:"standardDeviation"`
	Unit              string  `json:"unit"`
	Relative          float64 `json:"relative"`
	Source            string  `json:"source"`
}

// Tables are the files beside the sheets.
type Tables struct {
	Checklist string `json:"checklist"`
	Bags      string `json:"bags"`
	Checks    string `json:"scaleChecks"`
	Limits    string `json:"limits"`
	Sites     string `json:"sites"`
	Specimens string `json:"specimens"`
	Sensitive string `json:"sensitive"`
	Remedies  string `json:"remedies"`
	Known     string `json:"known"`
}

// All goes through the tables in one order: the key of each under tables, and
// its name; "" for none.
func (t Tables) All() iter.Seq2[string, string] {
	return func(yield func(key, name string) bool) {
		for _, table := range [][2]string{{"checklist", t.Checklist}, {"bags", t.Bags}, {"scaleChecks", t.Checks}, {"limits", t.Limits}, {"sites", t.Sites},
			{"specimens", t.Specimens}, {"sensitive", t.Sensitive}, {"remedies", t.Remedies}, {"known", t.Known}} {
			if !yield(table[0], table[1]) {
				return
			}
		}
	}
}

// SheetRef names a file of sheets and how it is read.
type SheetRef struct {
	File      string           `json:"file"`
	Tabs      []string         `json:"tabs"`
	RawMap    json.RawMessage  `json:"mapping"`
	Defaults  map[string]any   `json:"defaults"`
	Encoding  string           `json:"encoding"`
	Separator string           `json:"separator"`
	Pages     string           `json:"pages"` // folder with pictures of the pages, for people to look at
	Weighing  mapping.Weighing `json:"weighing"`
	Layout    Layout           `json:"layout"`

	Map *mapping.Mapping `json:"-"`
}

// Layout overrides what the layout stage would find.
type Layout struct {
	Plain       bool           `json:"plain"`
	HeadingRow  int            `json:"headingRow"`
	HeadingRows int            `json:"headingRows"`
	LastRow     int            `json:"lastRow"`
	FirstColumn int            `json:"firstColumn"`
	LastColumn  int            `json:"lastColumn"`
	Transposed  *bool          `json:"transposed"`
	CarryDown   []string       `json:"carryDown"`
	SkipRows    []int          `json:"skipRows"`
	Labels      map[string]any `json:"labels"`
}

// Rules are thresholds per stage, and levels of rules.
type Rules struct {
	Weigh     map[string]any    `json:"weigh"`
	Screen    map[string]any    `json:"screen"`
	Infer     map[string]any    `json:"infer"`
	Observers map[string]any    `json:"observers"`
	Season    map[string]any    `json:"season"`
	Levels    map[string]string `json:"levels"`
}

// Archive says what is published.
type Archive struct {
	GrossMass   bool   `json:"grossMass"`
	Package     bool   `json:"package"`
	Core        string `json:"core"`        // occurrence or event
	Descriptors string `json:"descriptors"` // folder of the published table schemas
	Undecided   string `json:"undecided"`   // one of LeaveOut, Keep and Refuse
}

// What becomes of values under an error that nobody decided on.
const (
	LeaveOut = "leave-out" // they are not published as values
	Keep     = "keep"      // they are published
	Refuse   = "refuse"    // nothing is published
)

// Load reads the survey folder's description. flags maps key paths to flags
// that may override the file. The error is of type config.Mistakes where the
// description is wrong, a *budget.Exceeded where it asks for more than it may, and
// an error of fs where it cannot be read.
func Load(folder fs.FS, flags map[string]*pflag.Flag, known mapping.Known) (*Survey, error) {
	text, err := fs.ReadFile(folder, FileName)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, config.Mistakes{{File: FileName, Problem: "is missing; a survey folder needs one (spadefoot draft writes a first version)"}}
		}
		return nil, err
	}
	doc, err := config.Parse(FileName, text)
	if err != nil {
		return nil, err
	}
	if err := doc.Overlay(schemaName, flags); err != nil {
		return nil, err
	}
	if err := doc.Check(schemaName); err != nil {
		return nil, err
	}
	s := &Survey{Files: map[string][]byte{FileName: text}, doc: doc}
	if err := doc.Decode(s); err != nil {
		return nil, err
	}
	for _, in := range s.Instruments {
		known.Instruments = append(known.Instruments, in.Name)
	}
	ms := s.ownMeasures(doc, &known)
	ms = append(ms, s.mistakes(doc, known)...)
	ms = append(ms, s.expand(folder, doc)...)
	unmapped, err := s.loadMappings(folder, doc, known)
	if err != nil {
		return nil, err
	}
	if ms = append(ms, unmapped...); len(ms) > 0 {
		return nil, ms
	}
	return s, nil
}

// mistakes checks what a schema cannot say.
func (s *Survey) mistakes(doc *config.Document, known mapping.Known) config.Mistakes {
	var ms config.Mistakes
	add := func(p, problem, nearest string) {
		m := doc.Mistake(p, problem)
		m.Nearest = nearest
		ms = append(ms, m)
	}
	if z := s.Window.Timezone; z != "" {
		if _, err := calendar.Zone(z); err != nil {
			add("survey.timezone", fmt.Sprintf("found %q, which is not a time zone of the IANA database; write area and city, such as America/Toronto or Europe/Berlin", z), "")
		}
	}
	if s.Window.From != "" && s.Window.To != "" && s.Window.From > s.Window.To+"~" {
		add("survey.to", fmt.Sprintf("found %q, which is before survey.from %q", s.Window.To, s.Window.From), "")
	}
	day := func(p, text string) {
		if _, err := time.Parse("2006-01-02"[:len(text)], text); err != nil {
			add(p, fmt.Sprintf("found %q, which is not in the calendar; check its month and day", text), "")
		}
	}
	day("survey.from", s.Window.From)
	day("survey.to", s.Window.To)
	day("dataset.published", s.Dataset.Published)
	for i, c := range s.ScaleChecks {
		day(fmt.Sprintf("scaleChecks.%d.date", i), c.Date)
	}
	for key, name := range s.Tables.All() {
		if name != "" && !fs.ValidPath(name) {
			add("tables."+key, fmt.Sprintf("found %q; it must be a path within the survey folder, with forward slashes", name), "")
		}
	}
	seen := map[string]bool{}
	for i, in := range s.Instruments {
		p := fmt.Sprintf("instruments.%d", i)
		if seen[in.Name] {
			add(p+".name", fmt.Sprintf("found %q twice", in.Name), "")
		}
		seen[in.Name] = true
		if ok, nearest := known.Unit(in.Unit); !ok {
			add(p+".unit", fmt.Sprintf("found %q, which is not a unit code known here (UCUM, for example mm or g)", in.Unit), nearest)
		}
	}
	for i, c := range s.ScaleChecks {
		if !seen[c.Scale] {
			add(fmt.Sprintf("scaleChecks.%d.scale", i), fmt.Sprintf("found %q, which is not among the survey's instruments", c.Scale), config.Nearest(c.Scale, known.Instruments))
		}
	}
	terms := func(p string, m map[string]any) {
		for _, k := range slices.Sorted(maps.Keys(m)) {
			if ok, nearest := known.Term(k); !ok {
				add(p+"."+k, fmt.Sprintf("found %q, which is not a current Darwin Core term", k), nearest)
			}
		}
	}
	terms("defaults", s.Defaults)
	for i, ref := range s.Sheets {
		terms(fmt.Sprintf("sheets.%d.defaults", i), ref.Defaults)
		if sc := ref.Weighing.Scale; sc != "" && !seen[sc] {
			add(fmt.Sprintf("sheets.%d.weighing.scale", i), fmt.Sprintf("found %q, which is not among the survey's instruments", sc), config.Nearest(sc, known.Instruments))
		}
	}
	ms = append(ms, s.repeatMistakes(doc, known)...)
	return append(ms, s.lineMistakes(doc, known)...)
}

// expand replaces a file name with * or ? by the files that it matches, in
// the order of their names, without those that a run wrote.
func (s *Survey) expand(folder fs.FS, doc *config.Document) config.Mistakes {
	var ms config.Mistakes
	var out []SheetRef
	for i, ref := range s.Sheets {
		p := fmt.Sprintf("sheets.%d.file", i)
		add := func(problem string) {
			ms = append(ms, config.Mistake{File: doc.File, Line: doc.Line(p), Path: p, Problem: problem})
		}
		if !within(ref.File) {
			add(fmt.Sprintf("found %q; it must be a path within the survey folder, with forward slashes", ref.File))
			continue
		}
		pattern := strings.ContainsAny(ref.File, "*?[")
		if !pattern && output.Made(folder, ref.File) {
			add(fmt.Sprintf("found %q, which is the output of a run; outputs are never read as sheets", ref.File))
			continue
		}
		names, err := fs.Glob(folder, ref.File)
		if err != nil {
			add(fmt.Sprintf("found %q, which is not a usable pattern: %v", ref.File, err))
			continue
		}
		names = slices.DeleteFunc(names, func(n string) bool { return output.Made(folder, n) })
		if pattern {
			names = s.leaveAlone(names)
		}
		if len(names) == 0 {
			switch {
			case strings.Contains(ref.File, `\`):
				add(fmt.Sprintf("found %q, which matches no file in the survey folder; write folders with forward slashes: %s", ref.File, strings.ReplaceAll(ref.File, `\`, "/")))
			case pattern:
				add(fmt.Sprintf("found %q, which matches no file in the survey folder", ref.File))
			default:
				out = append(out, ref) // reading it gives the error with exit code 3
			}
			continue
		}
		sort.Strings(names)
		for _, n := range names {
			one := ref
			one.File = n
			out = append(out, one)
		}
	}
	s.Sheets = out
	return ms
}

// within reports whether a path stays in the survey folder: it begins at no
// root, on no drive and climbs nowhere.
func within(file string) bool {
	drive := len(file) > 2 && file[1] == ':' && (file[2] == '/' || file[2] == '\\')
	return fs.ValidPath(file) && !drive && !strings.HasPrefix(file, `\`)
}

// leaveAlone takes out of the names that a pattern matches those of files that
// programs left there, and keeps them to be reported.
func (s *Survey) leaveAlone(names []string) []string {
	return slices.DeleteFunc(names, func(name string) bool {
		left := sheet.Leftover(name) != ""
		if left && !slices.Contains(s.LeftAlone, name) {
			s.LeftAlone = append(s.LeftAlone, name)
		}
		return left
	})
}

// Level returns the level of a rule in this survey; ok is false where the survey
// turned the rule off.
func (s *Survey) Level(rule string, usual record.Level) (level record.Level, ok bool) {
	word, set := s.Rules.Levels[rule]
	if !set {
		return usual, true
	}
	if word == "off" {
		return usual, false
	}
	if err := level.UnmarshalText([]byte(word)); err != nil {
		return usual, true
	}
	return level, true
}

// clean keeps a path within the folder.
func clean(p string) (string, bool) {
	p = path.Clean(p)
	return p, fs.ValidPath(p)
}

// Place says where a key of the description is, its items counted from 0
// in brackets ("dataset.creators[0].orcid"): a mistake with the file and the
// line, or with the flag or variable that set it, and what is wrong.
func (s *Survey) Place(key, problem string) config.Mistake {
	path := strings.NewReplacer("[", ".", "]", "").Replace(key)
	if s.doc == nil {
		return config.Mistake{File: FileName, Path: path, Problem: problem}
	}
	return s.doc.Mistake(path, problem)
}

// Line is the line of a key of the description, or of the nearest key above it
// that is there; 0 where there is none.
func (s *Survey) Line(key string) int { return s.Place(key, "").Line }
