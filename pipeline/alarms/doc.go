// Package alarms measures on invented populations how many warnings and errors,
// from all stages up to judging, are true. It contains only tests.
package alarms
