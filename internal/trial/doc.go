// Package trial tries a tree on many virtual vehicles and says how often it is
// right, what it costs, and where it goes wrong.
//
// Every vehicle has a seed of its own, so that any of them can be had again. What
// counts is the first finding that leads to work (outcome.go): a wrong repair counts
// even if a later round is right. A repair that a finding asks for is done on the
// vehicle, and what all rounds renew without need is counted. The same is reckoned for two rules of thumb on the same vehicles, and, if
// asked for, an estimate of the best that the readings of the trees allow (bound.go):
// it takes a fixed course of readings on vehicles of other seeds, learns from them
// which faults read alike (cells.go), and calls the vehicles tried by what is likeliest.
//
// It shows that a tree agrees with the model of package vehicle, and no more: how
// common faults are in that model is a guess, and every report says so. It writes
// no files and knows no terminal; only the command may import it.
//
// What always holds: the same options give the same report, byte for byte,
// whatever the number of workers and whatever the machine: what differs in the last bit from
// one to the other is rounded before it is told or decided upon.
package trial
