// Package alarms measures on invented populations how many of the warnings and
// errors of the whole way up to the judgement are true. It consists of tests.
package alarms
