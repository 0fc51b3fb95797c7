// Package agreement writes the comparison of observers: observers.csv, agreement.csv,
// observers.json and observers.html, a page in the style of the report.
package agreement
