package forms

// Cautions for people who handle amphibians: common practice. The first says
// what stands above all others.
var cautions = []string{
	"Local rules, the conditions of your permits and licensed practice come before anything on this form.",
	"Catch and handle only under the permits that the place and the species need, and carry them.",
	"Clean, moist, powder-free gloves; a fresh pair and a clean bag for each animal.",
	"Keep handling short. Keep the animal cool, moist and out of the sun, and let it go at once if it tires.",
	"Disinfect boots, nets, bags, calipers and scales between sites, so that no disease travels with you.",
	"Release each animal where it was caught. Wash your hands: some skins harm eyes and wounds.",
}

// typing says how the workbook is filled.
var typing = []string{
	"One animal, one row, in the tab of its session. For a further session copy a tab and let its name begin with Session.",
	"Type what the field sheet says. Every cell holds text: 57.0 stays 57.0, and nothing turns into a date.",
	"Nothing was taken: leave the cell blank, or write na. Never write 0 for it.",
	"A doubt is worth writing: 57.5? for a value in doubt, <0.5 for less than the first mark, >60 for more than the scale shows.",
	"A warning asks you to look again. If the value is what was read, keep it: a run judges it once more and changes nothing.",
	"To repeat the cell above press Ctrl and D. Dragging a corner counts dates and numbers on.",
	"Do not change the headings; a run knows the columns by them.",
}

// writing says how the page is filled.
var writing = []string{
	"Pencil on a dry sheet. One animal, one row; a wrong value is struck through once and stays readable.",
	"Read the instrument at eye level and write every digit: 57.0, not 57. Let a second person repeat it aloud.",
	"Nothing was taken: a dash. In doubt: a question mark behind the value. Less than the first mark: <0.5. More than the scale shows: >60.",
	"Gross first, then the empty bag on the same scale, as wet as it was. Net = gross − bag is a check in the field and is computed anew later.",
	"Where a measurement has several columns, open the jaws and take it anew each time, without a look at the reading before.",
	"Close the caliper and look at its zero before and after the session. Hang a check mass of known grams on the scale before and after.",
}
