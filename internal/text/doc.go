// Package text is plain text as people read it: what a stranger wrote made safe to
// print, sentences, lists and counts, and lines broken to a width.
//
// Width is in terminal columns, the same on every machine. A number is never torn from
// its unit. It knows no form: markup, Markdown and colours are not its business. Every
// package may import it.
package text
