// Package draw lays a tree out for the eye and the hand: as a picture on one
// sheet (SVG, or HTML that holds it), as a graph for other programs (dot,
// Mermaid), and as a checklist to fill in by hand.
//
// It judges nothing: every word comes from the tree, every number from its
// limits. It may be imported by the command alone.
//
// What always holds: steps are numbered so that every branch leads to a higher
// number; the same tree gives the same bytes; what an author wrote is shown as
// text whatever it holds, and no form carries a script or fetches anything.
package draw
