// Package eval decides expressions over answers.
//
// An answer is the set of what can be true: for a number a range round a best
// value, for a choice a set of the words. An expression over such sets is true,
// false or open (it could be either), or unknown when it needs an answer that
// nobody gave. The library expr parses and type-checks what a tree's author
// wrote; this package allows only a small part of expr's language, checks the
// units, and compiles each step's branches to a compact form of its own, a list
// of comparisons shared by the branches and a small tree of and, or, not over
// them. Evaluating that form leaves a trace, and the trace is the explanation.
//
// It knows nothing of batteries, of walks or of files. It may be imported by
// engine and by whatever stands above engine. What always holds: evaluation
// has no loops and cannot fail, and but for functions of the trade it allocates
// nothing; a verdict true or false is
// right for every value inside the sets.
package eval
