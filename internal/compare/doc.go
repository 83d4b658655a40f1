// Package compare says what changed between two editions of a tree: what its
// author changed, in the words of the file; and which answers now come to another
// finding, found by walking both editions with the same answers.
//
// The second part is trial, not proof: answers that nobody tried may differ as
// well. It may be imported by the command alone.
//
// What always holds: the same two editions and cases give the same report; every
// difference in findings comes with the answers that show it, given to both
// editions as a person would give them.
package compare
