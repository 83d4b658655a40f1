// Package calc is what a function of the trade is: its parameters, what is given
// for them, what comes out, and the sources that it rests on.
//
// A function is worked out over ranges: what is given out covers everything that
// can follow from what was put in and from what the sources leave open. What
// cannot be is refused with an [*Impossible] that says why; nothing is computed
// from NaN or from a number outside the span of its [Quantity].
//
// It holds no function itself: internal/leadacid lists them, a command runs them
// by name ([Function.Run]) and expressions call them ([Function.Over]). It imports
// internal/unit only.
package calc
