// Package batch decides without a person: readings come from a command line, a
// file, or a stream of rows with one vehicle a row, and are given to a walk as
// it asks for them.
//
// It is not a second way to decide: package engine walks the tree, exactly as
// it does for a person. Nor is it a second way to report: as JSON a result is an
// envelope round the document of package report, which also prints a single
// vehicle as text. It opens no files and knows no commands. Only cmd/deadflat may
// import it.
//
// What always holds: rows come out in the order they went in; any number of
// workers gives the same bytes; memory does not grow with the number of rows;
// a bad row gives an error row, even one on which the program itself fails, and
// the next row is read as if nothing had happened.
//
// How a stream flows: lines.go cuts the input into blocks of whole lines,
// csv.go and jsonl.go turn a line into a Row, decide.go turns a Row into a
// Result, result.go and csvout.go print it, and stream.go runs them side by side
// and in order.
package batch
