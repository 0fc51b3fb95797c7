// Package weigh turns what the scale said into the mass of the animal: the
// fifth stage, one capture at a time.
//
// A frog is weighed in a bag. The mass of the animal is gross (animal and bag)
// less tare (the empty bag), and it is known no better than the two readings
// together. Weigh handles the five ways that teams work (record.WeighWay):
// the tare in the same row, in a table of bags, one for the session, a scale
// zeroed with the bag on, and no tare at all. A gross with no tare known is
// published as the mass of animal and bag, never as body mass.
//
// The uncertainty of a reading is that of a rectangular distribution over one
// graduation: u = graduation/√12 (JCGM 100:2008, 4.3.7). The two readings are
// taken as independent, so u(net) = √(u²(gross) + u²(tare)) (5.1.2), and the
// accuracy that goes with the net is the expanded uncertainty with coverage
// factor 2. A zeroed scale is set once and read once, so it carries the
// graduation twice as well.
//
// JudgeTare compares one tare with the others of its session, which TareSummary
// gathers. Findings never change a value: an implausible net is not published,
// and what was written stays where it was.
package weigh
