package infer

// Settings are the thresholds of the stage. Keys in survey.yaml are the
// mapstructure tags, under rules.
type Settings struct {
	// FillSex is the survey's consent to fill an empty sex from an
	// indication; method and remark go with the value.
	FillSex bool `mapstructure:"fillSex"`
	// SexCoverage is how many standard uncertainties a ratio must lie beyond
	// its threshold.
	SexCoverage float64 `mapstructure:"sexCoverage"`
	// SexReadingError is the least relative standard uncertainty of one
	// reading in a ratio: small soft characters repeat no better, whatever
	// the instrument. Common practice.
	SexReadingError float64 `mapstructure:"sexReadingError"`
	// SexOverlap is the relative standard deviation by which a sexed ratio
	// varies among animals of one sex. A recorded sex is doubted where the
	// ratio lies beyond what that and the reading leave open. Common practice.
	SexOverlap float64 `mapstructure:"sexOverlap"`
	// SexVerified are words in the notes on an animal that say that its sex was
	// verified, beside the signs of the rules.
	SexVerified []string `mapstructure:"sexVerified"`
	// SexLeast is how many animals of either sex, verified, tell how far the sexes
	// overlap in a measurement.
	SexLeast int `mapstructure:"sexLeast"`

	// Verified are the texts of identificationVerificationStatus that make a
	// capture one to learn from. Case doesn't matter.
	Verified []string `mapstructure:"verified"`
	// TrustRecorded learns from every recorded name, verified or not, leaving
	// out those that then turn out doubtful.
	TrustRecorded bool `mapstructure:"trustRecorded"`
	// SpeciesMeasurements limits what shape is made of; empty takes every
	// length and mass that most of the training has.
	SpeciesMeasurements []string `mapstructure:"speciesMeasurements"`
	// SpeciesLeast is how many captures to learn from each taxon needs.
	SpeciesLeast int `mapstructure:"speciesLeast"`
	// SpeciesQuadratic gives each taxon its own covariance.
	SpeciesQuadratic bool `mapstructure:"speciesQuadratic"`
	// SpeciesPriors is "equal", or "training" for the shares of the training.
	SpeciesPriors string `mapstructure:"speciesPriors"`
	// NameDoubt is the prior probability that a recorded name is wrong.
	NameDoubt float64 `mapstructure:"nameDoubt"`
	// OtherPosterior is the posterior from which another taxon is named.
	OtherPosterior float64 `mapstructure:"otherPosterior"`
	// NoneLevel is the probability of one or more false "looks like none" in
	// the whole survey; it is shared out over the captures (Šidák 1967). A
	// capture that is less typical of every taxon than its share looks like
	// none, however high the posterior of one.
	NoneLevel float64 `mapstructure:"noneLevel"`

	// ConditionLength and ConditionMass are the measurements of the index.
	ConditionLength string `mapstructure:"conditionLength"`
	ConditionMass   string `mapstructure:"conditionMass"`
	// ConditionLeast is the smallest group that gets an index.
	ConditionLeast int `mapstructure:"conditionLeast"`
	// ConditionCorrelation is the least correlation of log mass and log length.
	ConditionCorrelation float64 `mapstructure:"conditionCorrelation"`

	// YoungStages are the life stages that are not grown up. No sex is
	// indicated for them, and shape is compared within each stage only.
	YoungStages []string `mapstructure:"youngStages"`
}

// Defaults returns the usual thresholds.
func Defaults() Settings {
	return Settings{
		SexCoverage:     2,
		SexReadingError: 0.02,
		SexOverlap:      0.08,
		SexVerified:     []string{"dissected", "dissection", "by gonads", "sex verified", "sexed genetically"},
		SexLeast:        10,

		Verified:       []string{"verified"},
		SpeciesLeast:   15,
		SpeciesPriors:  "equal",
		NameDoubt:      0.05,
		OtherPosterior: 0.9,
		NoneLevel:      0.05,

		ConditionLength:      "snoutVentLength",
		ConditionMass:        "bodyMass",
		ConditionLeast:       20,
		ConditionCorrelation: 0.5,

		YoungStages: []string{"egg", "embryo", "larva", "tadpole", "metamorph", "hatchling",
			"neonate", "nestling", "fledgling", "juvenile", "immature", "subadult"},
	}
}
