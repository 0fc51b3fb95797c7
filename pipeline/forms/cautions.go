package forms

// Cautions for people who handle amphibians: common practice. The first says
// what is above all others.
var cautions = []string{
	"Local rules, permit conditions and licensed practice come before anything on this form.",
	"Catch and handle only under the permits that the place and the species require, and carry them.",
	"Clean, moist, powder-free gloves; a fresh pair and a clean bag for each animal.",
	"Keep handling short. Keep the animal cool, moist and out of the sun, and release it at once if it tires.",
	"Disinfect boots, nets, bags, calipers and scales between sites so that you do not spread disease.",
	"Release each animal where it was caught. Wash your hands: some skins harm eyes and wounds.",
}

// typing says how the workbook is filled.
var typing = []string{
	"One row per animal, in the tab of its session. For another session, copy a tab and give it a name that begins with Session.",
	"Type what the field sheet says. Every cell holds text: 57.0 stays 57.0, and nothing turns into a date.",
	"Not measured: leave the cell blank, or write na. Never write 0.",
	"Write doubts down: 57.5? for a doubtful value, <0.5 for less than the first mark, >60 for more than the scale shows.",
	"A warning asks you to look again. If the value is what was read, keep it: a run checks it again and changes nothing.",
	"To repeat the cell above, press Ctrl and D. Dragging a corner increments dates and numbers.",
	"Do not change the headings; a run recognises the columns by them.",
}

// writing says how the page is filled.
var writing = []string{
	"Use pencil on a dry sheet. One row per animal. Strike a wrong value through once so that it stays readable.",
	"Read the instrument at eye level and write every digit: 57.0, not 57. Let a second person repeat it aloud.",
	"Not measured: a dash. In doubt: a question mark after the value. Less than the first mark: <0.5. More than the scale shows: >60.",
	"Gross first, then the empty bag on the same scale, as wet as it was. Net = gross − bag is a check in the field and is computed again later.",
	"If a measurement has several columns, open the jaws and measure afresh each time, without looking at the previous reading.",
	"Close the caliper and check its zero before and after the session. Weigh a known check mass on the scale before and after.",
}
