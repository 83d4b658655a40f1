// Package report prints the record of a walk: as text for a terminal, as
// Markdown, as one HTML page that prints on A4, and as JSON.
//
// It is not a place for judgement: every verdict, number and reason it prints
// was made by the engine and stands in the engine.Record. It reads no clock, no
// file and no environment, so the same record gives the same bytes.
//
// Commands and batch, which puts the JSON report of each row into an envelope, may
// import it; it imports none of the packages beside it.
//
// What always holds: Text, Markdown and HTML print the same outline, so none
// says less than another; every text that comes from a tree or an answer is
// cleaned of control codes and escaped for its form; the HTML is well-formed
// XML, holds no script and asks for nothing from outside; cautions stand before
// the work they belong to; nothing is told apart by colour alone.
//
// A note can say what it is by its first word: "vehicle: ...", "customer: ...",
// "old battery: ...", "new battery: ...", "declined: ..." and "advice: ..." are
// filed under those heads; the first two stand on top beside the words for the
// customer.
//
// # The JSON report
//
// One object, described field by field at Document. The rules that hold
// throughout:
//
//   - "report" is the number of the contract, now 2. It goes up when a field
//     changes its meaning or goes away; new fields may come without that.
//   - Everything measured is {"value": 12.55, "unit": "V"}, in the unit of its
//     reading; "best", "low" and "high" together are what can be true. Counts
//     are plain numbers.
//   - Times are RFC 3339, or "" when not known.
//   - Lists are always there, if need be empty; only "kit.has" may be null, for
//     "everything". A slot of an explanation that has nothing to say is absent.
//   - Ids are those of the tree; takes are named by the "seq" of their answer.
//   - Control codes inside strings are written as \u escapes.
package report
