// Package engine holds a decision tree in memory and walks it.
//
// Loading reads YAML with every position kept, reports all faults of all files
// in one run, lays sub-trees in, compiles the guards and orders the steps. A
// walk asks for readings (Next), takes answers (Answer) and explains every
// branch from the trace of its decision. A walk's state is the fold of its
// events, so undo, resume, replay and audit are one mechanism.
//
// The package is pure: no clock, no terminal, no files; the answerer stamps the
// time. It knows nothing of batteries: the trade lives in the trees. It may be
// imported by report, terminal, job, batch and the command.
//
// What always holds: the same events give the same walk; a decision rests on no
// stale or unknown reading; no step of a kind that a hazard rule guards is
// entered unless the rule holds for everything that can be true.
package engine
