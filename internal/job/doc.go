// Package job keeps jobs on disk: one append-only file a job, so that nothing
// that was answered is lost when the power goes, and so that a decision can be
// replayed years later with the tree it was made by.
//
// It is not a store of results: a file holds what was said, in order, and the
// state of the walk is worked out from that by package engine. It knows nothing
// of terminals, reports or commands. Only cmd/deadflat may import it.
//
// What always holds: an event is on disk before Append returns; two programs
// never write one file at a time; a file cut off at any byte opens to the
// events that were whole; a file is refused with the reason, never half read.
//
// The file is JSON, one object a line. The first line is the Header, every
// later line one engine.Event. Lines end with a line feed. Version says which
// edition of this format a file is written in; a program refuses versions newer
// than its own.
package job
