// Package alarms measures on invented populations how many of the warnings and
// errors of all stages up to the judgement are true. It consists of tests.
package alarms
