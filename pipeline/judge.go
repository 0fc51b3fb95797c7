package pipeline

import (
	"cmp"
	"errors"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/parallel"
	"spadefoot/pipeline/place"
	"spadefoot/pipeline/place/located"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/undecided"
	"spadefoot/pipeline/weigh"
)

// screen is the second pass: every part against the summary of all. Where one
// cause was found of many cells, the survey is learnt again with them as they
// should be, and the parts are judged once more.
func (w *walk) screen() error {
	var v verdicts
	if err := w.prepareJudgement(&v); err != nil {
		return err
	}
	if err := w.findRecaught(&v); err != nil {
		return err
	}
	before := slices.Clip(w.whole)
	for {
		w.whole = before
		if err := w.judgeParts(&v, (*walk).screenPart); err != nil {
			return err
		}
		again := v.screening.Again()
		if again == nil {
			break
		}
		v.screening = again
	}
	w.verdicts = v
	return nil
}

// prepareJudgement fits the summaries, and pairs the captures that are to be
// compared with each other.
func (w *walk) prepareJudgement(v *verdicts) (err error) {
	g := &w.learned
	var beside errgroup.Group
	beside.Go(func() (err error) {
		v.duplicates, err = g.duplicates.Pairs(g.sum, g.screened)
		return err
	})
	v.screening = screen.NewScreening(g.sum, w.tables.limits, g.screened)
	if err := beside.Wait(); err != nil {
		return err
	}
	if err := errors.Join(g.duplicates.Close(), g.keys.Close()); err != nil {
		return err
	}
	g.keys, g.sum = nil, nil
	v.duplicates.sort()
	if w.region = w.regionOf(g.spots.Places()); w.sensitive.file == "" {
		w.sites = g.spots.Sites() // what is far from a site tells where the site is
	}
	twice, sameDay, err := w.enteredTwice(v)
	if err != nil {
		return err
	}
	if v.joined, err = w.joinTwice(sameDay); err != nil {
		return err
	}
	w.whole = append(w.whole, w.keys.Again(v.joined, twice)...)
	v.joined = eitherOf(v.joined, w.keys.Covers(twice))
	return nil
}

// judgeParts judges every part by the screening in force, from the beginning. First
// screens a part, and then it is judged further.
func (w *walk) judgeParts(v *verdicts, first func(w *walk, i int, v *verdicts) error) error {
	inputs, settings, err := w.inferInputs()
	if err != nil {
		return err
	}
	v.inference = infer.New(inputs, settings)
	v.quality, v.doubtedCells = w.qualityJudge(), map[record.Address]bool{}
	v.quality.columns, v.quality.fit = &columns{}, w.tested == nil
	w.animal = w.animal[:0]
	animals := 0
	w.judged.Clear()
	for key := range w.repeated.counts {
		w.repeated.counts[key] = findings.Counts{}
	}
	for i := range w.runs {
		w.runs[i] = nil
	}
	if err := w.doubtEarlier(v); err != nil {
		return err
	}
	w.changed, w.superseded = make([]bool, w.store.Parts()), make([]bool, w.store.Parts())
	return w.eachPart(func(w *walk, i int) error { return first(w, i, v) }, func(i int) error {
		w.animal = append(w.animal, animals)
		n, err := w.judgePart(i, v)
		animals += n
		return err
	})
}

// screenPart names the captures of the part in hand and compares them with the
// survey.
func (w *walk) screenPart(i int, v *verdicts) error {
	heard, err := w.fromReading.Run(i)
	if err != nil {
		return err
	}
	w.findings, w.settled = heard, len(heard)
	from := w.store.First(i)
	w.changed[i] = w.rename(from)
	near := screen.Beside{Before: w.last, After: w.next[:min(len(w.next), screen.Neighbours)]}
	w.last = near.Last(w.captures)
	err = w.screenCaptures(from, v, near)
	w.superseded[i] = v.screening.Superseded()
	return err
}

// screenCaptures compares the captures of the part in hand, which are named, with the
// survey.
func (w *walk) screenCaptures(from int, v *verdicts, near screen.Beside) error {
	animals := w.animals()
	near.Before, near.After = animalsAmong(near.Before), animalsAmong(near.After)
	g := &w.learned
	w.eachCapture(animals, func(c *record.Capture) []record.Finding { return g.tares.Judge(c, g.weighed) })
	var suspects []record.Finding
	var beside sync.WaitGroup // it reads the captures, as screening does
	beside.Go(func() { suspects = located.Suspects(w.captures, g.places, w.region, w.sites) })
	found, shared := v.screening.Part(animals, near)
	beside.Wait()
	w.sharing = shared
	w.find(found...)
	for k, list := range []pairs{v.duplicates, v.follows} {
		if err := w.compareWithOthers(from, list, k == 1); err != nil {
			return err
		}
	}
	w.yieldToExplanations()
	if v.joined != nil {
		w.leaveOut(v.joined)
	}
	w.find(suspects...)
	w.offerLinks(from, v)
	w.settle()
	return nil
}

// judgePart judges the part in hand further, puts it back where judging filled
// it in, and returns the number of its animals.
func (w *walk) judgePart(i int, v *verdicts) (int, error) {
	animals := w.animals()
	if w.superseded[i] {
		return len(animals), nil // the screening asks for the parts again
	}
	aside, err := w.aside.Run(i)
	if err != nil {
		return 0, err
	}
	filled := w.inferPart(w.store.First(i), aside, animals, v)
	if err := w.testPart(i, v); err != nil {
		return 0, err
	}
	noteDoubtedCells(v.doubtedCells, w.findings)
	if w.changed[i] || filled {
		if err := w.store.Replace(i, w.captures); err != nil {
			return 0, err
		}
	}
	return len(animals), w.put(i, w.findings)
}

// testPart asks the quality tests about the part in hand, unless they were asked
// before.
func (w *walk) testPart(i int, v *verdicts) error {
	if w.tested != nil {
		found, err := w.tested.Run(i)
		w.whole = append(w.whole, w.notYetSaid(v.quality.Take(found, w.testedFrom[i]))...)
		return err
	}
	w.whole = append(w.whole, w.notYetSaid(v.quality.Add(w.captures))...)
	return nil
}

// put adds findings of a part to those judged.
func (w *walk) put(i int, fs []record.Finding) error {
	if len(fs) == 0 {
		return nil
	}
	record.SortFindings(fs)
	w.repeated.count(fs)
	w.runs[i] = append(w.runs[i], w.judged.Runs())
	return w.judged.Add(fs)
}

// inferPart indicates the sexes of the part in hand, whose first capture has an
// ordinal, and lets species and condition learn. It reports whether values were filled
// in.
func (w *walk) inferPart(from int, aside []record.Finding, animals []*record.Capture, v *verdicts) bool {
	noteDoubtedCells(v.doubtedCells, aside)
	doubted := w.flagged(aside)
	var ofAnimals []bool
	for k, c := range w.captures {
		if n := len(ofAnimals); n < len(animals) && animals[n] == c {
			ofAnimals = append(ofAnimals, doubted[k] || v.doubted[from+k] || v.screening.Untared(c) || w.sharing[c.Address()])
		}
	}
	indicated := v.inference.Add(animals, func(k int) bool { return ofAnimals[k] })
	w.find(indicated.Findings...)
	for k, value := range indicated.Fills {
		animals[k].Fill(value)
	}
	w.settle()
	return len(indicated.Fills) > 0
}

// infer ends the judgement: species where there is something to compare
// with, and what is said of the whole survey.
func (w *walk) infer() error {
	v := &w.verdicts
	if v.inference.Learn() {
		err := w.eachPart(nil, func(i int) error {
			w.find(v.inference.Judge(w.animals())...)
			w.settle()
			return w.put(i, w.findings)
		})
		if err != nil {
			return err
		}
	}
	return w.judgeWhole(v)
}

// judgeWhole ends the judgement with the findings on the survey as a whole.
func (w *walk) judgeWhole(v *verdicts) error {
	w.captures, w.findings, w.settled = nil, nil, 0
	w.find(w.whole...)
	w.find(v.screening.End()...)
	v.screening = v.screening.Learnt() // what it gathered of blocks, hands and rows goes
	if ordinal, f, some := w.learned.marks.Scope(); some {
		c, err := w.store.Find(ordinal)
		if err != nil {
			return err
		}
		if f.At = c.Address(); c.Value("organismID") != nil && c.Value("organismID").From().File != "" {
			f.At, f.Value = c.Value("organismID").From(), c.Get("organismID")
		}
		w.find(f)
	}
	w.find(v.inference.Settle()...)
	w.computed = v.inference.Methods()
	for _, f := range v.quality.Findings() {
		if !alreadySaid(f, v.doubtedCells) {
			w.find(f)
		}
	}
	w.settle()
	w.whole = slices.Clone(w.findings)
	record.SortFindings(w.whole)
	return w.judged.Add(w.whole)
}

// yieldToExplanations leaves one finding where weighing and screening doubt a cell for
// one cause: the slip that screening found explains what weighing saw, and that a mass
// is unlike the animal says no more of a reading that the scale cannot show.
func (w *walk) yieldToExplanations() {
	explained, beyond, unlike := map[record.Address]bool{}, map[record.Address]string{}, map[record.Address]string{}
	for _, f := range w.findings {
		switch {
		case f.Rule == "gross-tare-swapped" || f.Rule == "weighing-slip":
			for _, at := range f.Places() {
				explained[at] = true
			}
		case f.Rule == weigh.RuleCapacity:
			beyond[f.At] = f.Reason
		}
	}
	if len(explained)+len(beyond) == 0 {
		return
	}
	massDoubted := func(f *record.Finding) bool {
		return f.Level >= record.Warning && f.Field == "bodyMass" && beyond[f.At] != ""
	}
	w.rephrase(func(f *record.Finding) {
		switch {
		case !massDoubted(f):
		case f.Suggestion != "":
			f.Reason += " " + beyond[f.At] + "."
			explained[f.At] = true
		default:
			unlike[f.At] = f.Reason
		}
	})
	w.rephrase(func(f *record.Finding) {
		if said := unlike[f.At]; said != "" && f.Rule == weigh.RuleCapacity {
			f.Reason += "; " + said
		}
	})
	w.leaveOut(func(f record.Finding) bool {
		switch f.Rule {
		case "tare-not-less-than-gross", "tare-unlike-session", weigh.RuleCapacity:
			return explained[f.At]
		}
		return unlike[f.At] != "" && massDoubted(&f)
	})
}

// flagged says which of the captures in hand have a doubt at warning or above, on the
// capture or on any of its cells but its key. More findings than those of the part may
// count.
func (w *walk) flagged(more []record.Finding) []bool {
	doubts := slices.DeleteFunc(slices.Concat(w.findings, more), func(f record.Finding) bool {
		return f.Level < record.Warning || f.Field == "key" // a doubtful number says nothing of the readings
	})
	rows, keyed := map[record.Address]int{}, map[string]int{} // those that are doubted, with the last capture of each
	for i := range doubts {
		rows[doubts[i].At.OfRow()] = -1
		for _, at := range doubts[i].Also {
			rows[at.OfRow()] = -1
		}
	}
	lastOf(w.captures, rows, (*record.Capture).Address)
	for i := range doubts {
		if rows[doubts[i].At.OfRow()] < 0 { // of a cell that is elsewhere
			keyed[doubts[i].Capture] = -1
		}
	}
	lastOf(w.captures, keyed, func(c *record.Capture) string { return c.Key })
	out := make([]bool, len(w.captures))
	flag := func(k int) {
		if k >= 0 {
			out[k] = true
		}
	}
	for i := range doubts {
		f := &doubts[i]
		if k := rows[f.At.OfRow()]; k >= 0 {
			flag(k)
		} else {
			flag(keyed[f.Capture])
		}
		for _, at := range f.Also {
			flag(rows[at.OfRow()])
		}
	}
	return out
}

// lastOf notes the last capture of each key that is asked for.
func lastOf[K comparable](captures []*record.Capture, asked map[K]int, key func(*record.Capture) K) {
	if len(asked) == 0 {
		return
	}
	for k, c := range captures {
		own := key(c)
		if _, there := asked[own]; there {
			asked[own] = k
		}
	}
}

// regionOf is where the survey's places lie, those of the table of sites
// included.
func (w *walk) regionOf(points []place.LatLon) place.Region {
	if w.tables.sites != nil {
		points = append(points, w.tables.sites.Places()...)
	}
	return place.NewRegion(points, 0)
}

// finish makes the part in hand what is published: with its findings, the
// doubts beside its readings, and the readings of condition.
func (w *walk) finish(i int) error {
	if err := w.recall(i); err != nil {
		return err
	}
	aside, err := w.aside.Run(i)
	if err != nil {
		return err
	}
	w.derive(i)
	w.traceDecisions(i)
	w.doubt(aside)
	return w.linkPart(i)
}

// derive adds the readings of condition to the captures of the part in hand.
func (w *walk) derive(i int) {
	if w.derived {
		return
	}
	type numbered struct {
		c *record.Capture
		n int
	}
	animals := func(yield func(numbered) bool) {
		n := w.animal[i]
		for _, c := range w.captures {
			if !c.Absent() {
				if !yield(numbered{c, n}) {
					return
				}
				n++
			}
		}
	}
	_ = parallel.InOrder(animals, func(some []numbered) struct{} {
		for _, a := range some {
			w.learned.repeats.Fill(a.c)
			a.c.Readings = w.verdicts.inference.AppendReadings(a.c.Readings, a.n, a.c)
		}
		return struct{}{}
	}, func(struct{}) error { return nil })
}

// doubt writes beside every reading of the part in hand that is in doubt that it is,
// so that the doubt travels with the value into the archive, and marks what is not
// published for an error. A date that fails a published test is called wrong.
func (w *walk) doubt(aside []record.Finding) {
	all := slices.Concat(w.findings, aside)
	said, wrong := remarksOf(all), map[record.Address]bool{}
	for _, f := range all {
		if f.Level >= record.Warning && f.Rule == "quality-validation" && f.Field == "eventDate" {
			for _, at := range f.Places() {
				wrong[at] = true
			}
		}
	}
	marker := undecided.NewMarker(w.undecidedIn(all), w.undecided)
	judged := w.verdicts.quality != nil && w.verdicts.quality.fit
	var fit prove.Fitness
	row, noted := 0, false // the one that was looked at last
	for _, c := range w.captures {
		if len(wrong) > 0 {
			if v := c.Value("eventDate"); v != nil && wrong[v.From()] {
				v.Vary(func(f *record.Field) { f.Wrong = true })
			}
		}
		for i := range c.Readings {
			r := &c.Readings[i]
			if at := int(r.Row); at != row {
				row = at
				noted = said.rows[row] || w.doubted.rows[row]
			}
			if !noted {
				continue
			}
			if s := cmp.Or(said.of[r.From()], w.doubted.of[r.From()]); s != "" && !strings.Contains(r.Remark(), s) {
				r.SetRemark(strings.TrimPrefix(r.Remark()+"; "+s, "; "))
			}
		}
		marker.Mark(c)
		if !judged {
			for _, v := range fit.Unfit(c) {
				undecided.MarkUnfit(v.Value)
			}
		}
	}
}

// remarks are what is said of cells, with the rows of those, in any sheet.
type remarks struct {
	of   map[record.Address]string
	rows map[int]bool
}

// remarksOf is what findings on captures say of their cells, the first of each.
func remarksOf(fs []record.Finding) remarks {
	said := remarks{map[record.Address]string{}, map[int]bool{}}
	for _, f := range fs {
		if f.Level < record.Warning || f.At.Column == 0 || f.Capture == "" {
			continue
		}
		for _, at := range f.Places() {
			if said.of[at] == "" {
				said.of[at], said.rows[at.Row] = "in doubt: "+findings.Short(f.Reason), true
			}
		}
	}
	return said
}
