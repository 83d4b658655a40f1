// Package drill lets an apprentice practise on a virtual vehicle, and talks it over
// with them afterwards.
//
// Four levels hide a fault and let the apprentice do what they want; three ask
// questions: what a reading says, where the probes go, where the mistake in a record
// is. A drill is a list of typed lines on what a level, a family and a seed settle,
// so that a file of the lines is the whole drill and a class can have the same one.
// No question and no vehicle stands in a list: all come from the seed, and the
// answers from the shipped trees and the model. What would hurt somebody is stopped,
// explained and counted.
//
// What a test told is reckoned by doing the same on simulated vehicles with every
// other fault (suspects.go), and what would have told more by the time that the best
// order of tests still takes (reckon.go). Both are reckonings on the model, by
// samples, and not measurements.
//
// It prints nothing; how its files are kept is package journal's. Only the command may
// import it. What always holds: the same level, family, seed and lines give the same
// answers; what is not understood changes nothing.
package drill
