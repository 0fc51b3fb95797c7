package pipeline

import (
	"errors"
	"slices"
	"sync"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/screen"
)

// verdicts is what judging needs between the parts.
type verdicts struct {
	screening *screen.Screening
	inference *infer.Inference
	quality   *qualityJudge
	said      map[record.Address]bool // cells whose date or position is doubted
	columns   *report.Columns
	doubted   map[int]bool              // captures that are told with a later one
	joined    func(record.Finding) bool // what two sources that are one say of single rows
	doubles   pairs
	follows   pairs
}

// judge is the second pass: every part against the summary of all. Where one
// cause was found of many cells, the survey is learnt again with them as they
// should be, and the parts are judged once more.
func (l *long) judge() error {
	var v verdicts
	if err := l.prepareJudgement(&v); err != nil {
		return err
	}
	for {
		if err := l.judgeParts(&v); err != nil {
			return err
		}
		again := v.screening.Again()
		if again == nil {
			break
		}
		v.screening = again
	}
	l.verdicts = v
	return nil
}

// prepareJudgement fits the summaries, and pairs the captures that are to be
// compared with each other.
func (l *long) prepareJudgement(v *verdicts) (err error) {
	g := &l.learned
	v.screening = screen.NewScreening(g.sum, l.tables.limits, g.screened)
	doubles, err := g.doubles.Pairs()
	if err != nil {
		return err
	}
	v.doubles = doubles
	if err := errors.Join(g.doubles.Close(), g.keys.Close()); err != nil {
		return err
	}
	g.keys, g.sum = nil, nil
	v.doubles.sort()
	l.region = l.regionOf(g.spots)
	v.joined, err = l.joinTwice(v)
	return err
}

// judgeParts judges every part by the screening in force, from the beginning.
func (l *long) judgeParts(v *verdicts) error {
	inputs, settings, err := l.inferInputs()
	if err != nil {
		return err
	}
	v.inference = infer.New(inputs, settings)
	v.quality, v.said = l.qualityJudge(), map[record.Address]bool{}
	v.quality.columns = &darwincore.Columns{}
	l.animal = l.animal[:0]
	animals := 0
	v.columns = &report.Columns{}
	l.judged.Clear()
	for key := range l.repeated.told {
		l.repeated.told[key] = report.Counts{}
	}
	for i := range l.runs {
		l.runs[i] = nil
	}
	if err := l.doubtEarlier(v); err != nil {
		return err
	}
	l.changed, l.vain = make([]bool, l.shelf.Parts()), make([]bool, l.shelf.Parts())
	return l.eachPart(func(l *long, i int) error { return l.screenPart(i, v) }, func(i int) error {
		l.animal = append(l.animal, animals)
		n, err := l.judgePart(i, v)
		animals += n
		return err
	})
}

// screenPart names the captures of the part in hand and compares them with the
// survey.
func (l *long) screenPart(i int, v *verdicts) error {
	read, err := l.read.Run(i)
	if err != nil {
		return err
	}
	l.findings, l.settled = read, len(read)
	if l.changed[i], err = l.rename(l.shelf.First(i)); err != nil {
		return err
	}
	animals := l.animals()
	g := &l.learned
	l.eachCapture(animals, func(c *record.Capture) []record.Finding { return g.tares.judge(c, g.weighed) })
	l.find(v.screening.Part(animals)...)
	l.vain[i] = v.screening.InVain()
	if err := l.compareWithOthers(l.shelf.First(i), v); err != nil {
		return err
	}
	l.yieldToExplanations()
	if v.joined != nil {
		l.leaveOut(v.joined)
	}
	l.suspectPlaces(g.read, l.region)
	l.settle()
	return nil
}

// judgePart judges the part in hand further, puts it back where judging filled
// it in, and gives the number of its animals.
func (l *long) judgePart(i int, v *verdicts) (int, error) {
	animals := l.animals()
	if l.vain[i] {
		return len(animals), nil // the screening asks for the parts again
	}
	filled, err := l.inferPart(i, animals, v)
	if err != nil {
		return 0, err
	}
	var beside sync.WaitGroup
	beside.Go(func() {
		for _, c := range l.captures {
			v.columns.Add(c)
		}
	})
	l.whole = append(l.whole, l.unsaid(v.quality.Add(l.captures))...)
	saidOfCells(v.said, l.findings)
	beside.Wait()
	if l.changed[i] || filled {
		if err := l.shelf.Replace(i, l.captures); err != nil {
			return 0, err
		}
	}
	return len(animals), l.put(i, l.findings)
}

// put adds findings of a part to those judged.
func (l *long) put(i int, fs []record.Finding) error {
	if len(fs) == 0 {
		return nil
	}
	record.SortFindings(fs)
	l.repeated.count(fs)
	l.runs[i] = append(l.runs[i], l.judged.Runs())
	return l.judged.Add(fs)
}

// inferPart indicates sexes and lets species and condition learn. It reports
// whether values were filled in.
func (l *long) inferPart(i int, animals []*record.Capture, v *verdicts) (bool, error) {
	aside, err := l.aside.Run(i)
	if err != nil {
		return false, err
	}
	saidOfCells(v.said, aside)
	doubted := l.flagged(aside)
	from := l.shelf.First(i)
	for k, c := range l.captures {
		if v.doubted[from+k] {
			doubted[c.ID] = true
		}
	}
	looked := v.inference.Look(animals, func(k int) bool { return doubted[animals[k].ID] })
	l.find(looked.Findings...)
	for k, value := range looked.Fills {
		animals[k].Fill(value)
	}
	return len(looked.Fills) > 0, nil
}

// conclude ends the judgement: species where there is something to compare
// with, and what is said of the whole survey.
func (l *long) conclude() error {
	v := &l.verdicts
	if v.inference.Learn() {
		err := l.eachPart(nil, func(i int) error {
			l.find(v.inference.Judge(l.animals())...)
			l.settle()
			return l.put(i, l.findings)
		})
		if err != nil {
			return err
		}
	}
	l.captures, l.findings, l.settled = nil, nil, 0
	l.find(l.whole...)
	l.find(v.screening.End()...)
	l.find(v.inference.Settle()...)
	for _, f := range v.quality.Findings() {
		if !v.said[f.At] {
			l.find(f)
		}
	}
	l.settle()
	l.whole = slices.Clone(l.findings)
	record.SortFindings(l.whole)
	return l.judged.Add(l.whole)
}
