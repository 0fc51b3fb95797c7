package pipeline

import (
	"fmt"
	"slices"

	"spadefoot/pipeline/parallel"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/weigh"
)

// eachCapture lets a stage that looks at one capture at a time work on all
// processors, and takes its findings in the order of the captures.
func (w *walk) eachCapture(captures []*record.Capture, work func(*record.Capture) []record.Finding) {
	_ = parallel.InOrder(slices.Values(captures), func(cs []*record.Capture) (fs []record.Finding) {
		for _, c := range cs {
			fs = append(fs, captureFindings(c, work(c))...)
		}
		return fs
	}, func(fs []record.Finding) error {
		w.find(fs...)
		return nil
	})
}

// tares are the tares that are compared with each other, by group.
type tares map[string]*weigh.TareSummary

func (t tares) add(c *record.Capture) {
	key := tareGroup(c)
	if t[key] == nil {
		t[key] = &weigh.TareSummary{}
	}
	t[key].AddCapture(c)
}

func (t tares) judge(c *record.Capture, s weigh.Settings) []record.Finding {
	return weigh.JudgeTare(c, *t[tareGroup(c)], s)
}

// tareGroup is what a tare is compared within: the sheet, since a team takes
// the same few bags through a season and a single night has too few of them.
func tareGroup(c *record.Capture) string { return c.File + "\x1f" + c.Sheet }

func captureFindings(c *record.Capture, fs []record.Finding) []record.Finding {
	for i := range fs {
		if fs[i].Capture == "" {
			fs[i].Capture = c.Key
		}
	}
	return fs
}

// driftedScales are the findings on the checks of scales, at their lines in the
// description of the survey.
func (w *walk) driftedScales() []record.Finding {
	found, at := weigh.DriftOf(w.learned.weighed)
	for i := range found {
		found[i].At = record.Address{File: survey.FileName, Row: w.survey.Line(fmt.Sprintf("scaleChecks.%d.reading", at[i]))}
	}
	return found
}
