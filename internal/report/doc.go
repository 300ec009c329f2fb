// Package report turns a kitchen's records into a PDF, a CSV and a JSON.
//
// The PDF is what a person reads: the same records and instant give the same bytes, every row stands whole on one page,
// and what a letter lacks in the font is spelt out rather than left out. The CSV is for spreadsheets (RFC 4180), the JSON
// for programs. None of them decides anything: whether a limit was met, the records say.
package report
