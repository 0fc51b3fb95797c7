package season

import "errors"

// The words of every table for what a row is of.
var (
	bySpecies = Column{"scientificName", "", "species as published; “not stated” where the capture does not say"}
	bySex     = Column{"sex", "", "sex as published"}
	byStage   = Column{"lifeStage", "", "life stage as published"}
	bySite    = Column{"locality", "", "site as published; “all” for all sites together"}
	bySeason  = Column{"season", "", "year, or the two years that it spans; “all” for all seasons together"}
)

const (
	meanSource   = "Student 1908, Biometrika 6: 1–25"
	welchSource  = "Welch 1947, Biometrika 34: 28–35"
	wilsonSource = "Wilson 1927, J. Am. Stat. Assoc. 22: 209–212"
	ratioSource  = "Cochran 1977, Sampling Techniques, 6.4"
)

func sizeColumns(unit string) []Column {
	return []Column{bySpecies, bySex, byStage, bySite, bySeason,
		{"n", "", "animals; each counts once a season, at its first capture"},
		{"mean", unit, "arithmetic mean; repeated readings of one animal are averaged first"},
		{"SD", unit, "standard deviation, with n − 1"},
		{"median", unit, "median"},
		{"minimum", unit, "smallest value"},
		{"maximum", unit, "largest value"},
		{"mean from", unit, "lower confidence limit of the mean, by Student's t (" + meanSource + ")"},
		{"mean to", unit, "upper confidence limit of the mean"},
		{"left out", "", "animals whose value is in doubt"}}
}

func classColumns(unit string) []Column {
	return []Column{bySpecies, bySex, byStage, {"season", "", bySeason.Meaning},
		{"from", unit, "lower limit of the size class"},
		{"below", unit, "upper limit of the size class, not included"},
		{"n", "", "animals in the class"}}
}

func changeColumns(unit string) []Column {
	return []Column{bySpecies, bySex, byStage, bySite,
		{"earlier", "", "the earlier season"}, {"later", "", "the next season with a value"},
		{"n earlier", "", "animals of the earlier season"}, {"n later", "", "animals of the later season"},
		{"mean earlier", unit, "mean of the earlier season"}, {"mean later", unit, "mean of the later season"},
		{"difference", unit, "mean of the later season minus that of the earlier"},
		{"standard error", unit, "of the difference, for unequal variances (" + welchSource + ")"},
		{"degrees of freedom", "", "after Satterthwaite 1946, Biometrics Bull. 2: 110–114"},
		{"difference from", unit, "lower confidence limit of the difference (" + welchSource + ")"},
		{"difference to", unit, "upper confidence limit of the difference"}}
}

var sexColumns = []Column{bySpecies, byStage, bySite, bySeason,
	{"animals", "", "animals; each counts once a season"}, {"males", "", "animals whose sex is male"}, {"females", "", "animals whose sex is female"},
	{"other", "", "animals of neither sex, or whose sex is not stated"},
	{"share of males", "", "males divided by males and females together"},
	{"share from", "", "lower limit of its score interval (" + wilsonSource + ")"},
	{"share to", "", "upper limit of its score interval"}}

var nightColumns = []Column{bySeason,
	{"night", "", "day on which the night began if survey.yaml says night: true, otherwise the date of the capture"},
	bySite, {"scientificName", "", "species as published; blank for a night when nothing was found"},
	{"captures", "", "animals caught, each time they were caught"},
	{"effort", "", "effort of the night at the site, as stated; blank if none or several are stated"},
	{"effort unit", "", "its unit as written"},
	{"captures per effort", "", "captures divided by effort"}}

var catchColumns = []Column{bySpecies, bySeason, bySite,
	{"nights", "", "nights at a site when somebody was there; a night at two sites counts as two, one at a withheld place does not count"},
	{"captures", "", "animals caught, each time they were caught"},
	{"captures per night", "", "captures divided by nights; nights without the species count as 0"},
	{"SD between nights", "", "standard deviation of the captures per night"},
	{"per night from", "", "lower confidence limit of captures per night, by Student's t (" + meanSource + ")"},
	{"per night to", "", "upper confidence limit of captures per night"},
	{"nights with effort", "", "nights with one stated effort"},
	{"captures with effort", "", "captures in those nights"},
	{"effort", "", "total effort of those nights"},
	{"effort unit", "", "its unit as written; blank if there are several"},
	{"captures per effort", "", "captures divided by effort, as a ratio of sums (" + ratioSource + ")"},
	{"per effort from", "", "lower confidence limit (" + ratioSource + ")"},
	{"per effort to", "", "upper confidence limit"}}

func lifeColumns(grown []string, units map[string]string) []Column {
	columns := []Column{{"organismID", "", "mark of the animal"}, {"capture", "", "key of the capture"}, bySpecies, bySex, byStage,
		{"eventDate", "", "date as published"}, {"locality", "", "site as published"}, {"capture of the animal", "", "first, second and so on, among undoubted captures"},
		{"days", "d", "since the previous capture; blank if a date is not a single day"}}
	for _, m := range grown {
		columns = append(columns, Column{m, units[m], "value of the capture"},
			Column{m + " per day", units[m] + "/d", "change since the last capture with a value, divided by the days between"})
	}
	return columns
}

const leftOutFile = "left-out.csv"

var leftOutColumns = []Column{
	{"what", "", "captures, nights, captures per night, captures of marked animals, or the values of a measurement"},
	{"why", "", "rule of the finding that doubts them, or a reason"},
	{"n", "", "how many"}}

// writeColumns writes what every column of the tables means.
func writeColumns(create Create, measurements []string, units map[string]string, grown []string) error {
	f, err := create.open("columns.csv", []Column{{Name: "file"}, {Name: "column"}, {Name: "meaning"}})
	if err != nil {
		return err
	}
	write := func(name string, columns []Column) {
		for _, c := range columns {
			err = errors.Join(err, f.row(name, c.Heading(), c.Meaning))
		}
	}
	for _, m := range measurements {
		write("sizes-"+m+".csv", sizeColumns(units[m]))
		write("classes-"+m+".csv", classColumns(units[m]))
		write("changes-"+m+".csv", changeColumns(units[m]))
	}
	write("sexes.csv", sexColumns)
	write("catch.csv", catchColumns)
	write("nights.csv", nightColumns)
	write("animals.csv", lifeColumns(grown, units))
	write(leftOutFile, leftOutColumns)
	return errors.Join(err, f.close())
}
