// Package pipeline is the way from what a field team wrote to what the world
// can use. run.go has the list of its stages; each of the other files
// carries one part of it: the tables beside the sheets, identifiers, outputs.
//
//	read         files to sheets                                pipeline/sheet
//	lay out      sheets to tables                               pipeline/layout
//	map          headings to meaning                            pipeline/mapping
//	normalise    cells to typed values, the original beside     pipeline/normalise
//	weigh        gross and tare to net                          pipeline/weigh
//	screen       values against their group                     pipeline/screen
//	infer        sex, species, condition                        pipeline/infer
//	standardise  captures to Darwin Core rows                   pipeline/darwincore
//	prove        files against the published standards          pipeline/prove
//	report       findings for people and machines               pipeline/report
//
// A stage gets what the stages before it made and never reaches back. The
// package knows the survey folder and the output folder; the stages know
// neither.
package pipeline
