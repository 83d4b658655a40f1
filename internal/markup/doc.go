// Package markup writes HTML and SVG that is well-formed XML by its making: it closes what
// it opened, in order, and cleans and escapes every text and attribute.
//
// It knows no page and no picture; those are the business of the packages that use it. What
// is handed to WriteString goes out as it is, so no text of a stranger may.
package markup
