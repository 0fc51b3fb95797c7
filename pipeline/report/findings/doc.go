// Package findings writes the findings of a survey: findings.csv and findings.json,
// SARIF, JUnit XML and Markdown for continuous integration, and the file of known
// findings. A finding has an identity without row, column and file name, and a
// fingerprint made from it, by which it is known again in another run.
package findings
