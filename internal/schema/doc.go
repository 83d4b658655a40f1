// Package schema holds the keys of the files a trainer writes, each with its
// meaning, in one table; and makes of it a JSON Schema (draft 2020-12) by which
// an editor completes keys, explains them and marks what is wrong.
//
// It reads no files and checks no trees: the loader does, and says more. It may
// be imported by the command alone.
//
// What always holds, held by tests: a key stands in the table if and only if the
// loader takes it at that place; the schema accepts every file that ships with
// the program.
package schema
