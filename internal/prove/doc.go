// Package prove says what can be said of a tree without walking it.
//
// Of each step it proves that the branches cover every answer that can reach it
// and that no two hold at once, or it gives a witness: answers for which that
// is not so, in the words and on the grid of the readings. Along the ways of a
// tree it proves that nothing is decided on a reading that was not taken, that
// is stale or that could not be taken, that every step and finding can be
// reached, and what else the rules in this package demand. It runs the worked cases
// beside a tree and says what they do not cover.
//
// It is no linter of style and no judge of whether a tree is good advice. It
// knows nothing of batteries. It may be imported by the command.
//
// What always holds: arithmetic is exact, over the decimals that the author
// wrote; "proved" covers every answer inside the spans; what cannot be decided
// within a bound on work is reported as undecided and never passed in silence.
//
// How it works. Every reading is cut at the limits it is held against, so that a
// number becomes one of finitely many ranges and a set of answers a box over
// small whole numbers. A guard becomes a list of such boxes. A comparison of
// several readings is one more dimension with two values, and a box in which
// such comparisons are fixed is held against the numbers by an exact simplex.
// Coverage is box subtraction, overlap is box intersection, and what can be true
// at a step is a short list of boxes carried along the ways and merged.
package prove
