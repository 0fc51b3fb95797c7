// Package weigh turns the scale's readings into the mass of the animal: the
// fifth stage, one capture at a time.
//
// A frog is weighed in a bag. The mass of the animal is gross (animal and bag)
// less tare (the empty bag), and is only as accurate as the two readings
// together. Weigh handles the ways that teams work (record.WeighWay): the tare
// in the same row, in a table of bags, one for the session, a scale zeroed with
// the bag on, no tare at all, and a mass with no record of how it was weighed.
// A gross without a known tare is published as the mass of animal and bag,
// never as body mass, and so is one with a tare of 0 where other bags weigh
// something.
//
// The net has the decimals of the finer of its two readings. Nothing is rounded
// to graduations, and a written net is kept.
//
// The uncertainty of a reading is that of a rectangular distribution over one
// graduation: u = graduation/√12 (JCGM 100:2008, 4.3.7). Added to it are
// calibration, the spread between bags if one tare serves many, and the
// repeatability of weighing, each if known; the parts are assumed independent
// (5.1.2). The accuracy is the expanded uncertainty with coverage factor 2, and
// the remark names its parts. A zeroed scale is set once and read once, so it
// carries the graduation twice. If the scale is not declared, or the bags'
// spread is unknown, there is no accuracy.
//
// JudgeTare compares one tare with the others of its session, which TareSummary
// gathers. Findings never change a value: an implausible net is not published,
// and the original text stays where it was.
package weigh
