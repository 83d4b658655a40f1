// Package mechanic is a person at a virtual vehicle: it does what a walk asks for and
// says what it reads, so that any tree can be tried on any vehicle. The person is one
// who never errs and has everything, or one drawn from People, who slips and has not.
//
// It goes by the words of the tree and of the prompt alone: where the probes go,
// the state of the vehicle, the hold, the act, what is looked at. It knows no
// step, no limit and no branch, and never looks at a vehicle's hidden faults to
// answer; it looks at them only to tell whether an act that was asked for would
// have hurt somebody.
//
// It may be imported by packages trial and drill and by the command. What always
// holds: the same vehicle, meter and generator give the same answers; by one
// who never errs nothing is answered that the vehicle does not show.
package mechanic
