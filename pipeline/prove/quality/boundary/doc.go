// Package boundary answers in which country a place is, and how far it is from
// the land of each country.
//
// The boundaries are Natural Earth 1:10 000 000 (public domain), embedded in
// package schemas on a grid of about 400 m by 190 m. Land borders are accurate
// to a kilometre or two; islets smaller than about a kilometre may be missing.
// Lakes count as land. Codes are ISO 3166-1 alpha-2.
//
// The data have no maritime boundaries. An exclusive economic zone is taken to
// be the sea within 200 nautical miles of a country's land that is nearer to it
// than to any other (UN Convention on the Law of the Sea, articles 15 and 57).
// Agreed boundaries differ from that, so near a median line or the outer limit
// the answer is "doubtful", not a country.
//
// [At] and [Within] read tables that are unpacked once, at the first call, and
// are safe for use by many goroutines.
package boundary
