// Package job keeps jobs on disk, one file a job, so that nothing that was answered
// is lost and a decision can be replayed years later with the tree it was made by.
//
// A file holds what was said, in order, and the state of the walk is worked out from
// that by package engine; how files are kept is package journal's. It knows nothing
// of terminals, reports or commands. Only cmd/deadflat may import it.
//
// The first line of a file is the Header, every later one an engine.Event, with
// "state" behind it: how the job then stood, in the words of State, for lists only.
// Version 1 has neither checksums nor states. A job of it still opens, and goes on
// without them.
//
// What always holds: a job is refused with the reason, never half read; what breaks
// the program in one job is an error of that job alone; what an answer is said to
// have been typed as reads as that answer.
package job
