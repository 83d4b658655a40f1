// Package compare says what changed between two editions of a tree: what its
// author changed, in the words of the file; which answers now go another way at a
// step, by proof; and which come to another finding, found by walking both editions
// with the same answers.
//
// The last part is trial, not proof: answers that nobody tried may differ as
// well. It may be imported by the command alone.
//
// What always holds: the same two editions and cases give the same report; every
// difference comes with the answers that show it; what is said to be proved holds
// for every exact answer that both editions can be given, if both are sound, and
// what is too complex is said to be undecided.
package compare
