// Package background says that the terminal's background is dark, so that the
// drawing libraries do not ask.
//
// One of them asks in its init function, whatever command was typed, and waits
// five seconds for a terminal that does not answer. None of our styles depends
// on the answer.
//
// It works only because Go initialises packages in the order of their import
// paths, each as soon as its own imports are ready: this package must import
// nothing but lipgloss, and its path must sort before
// "github.com/charmbracelet/bubbletea". Whoever imports bubbletea or huh
// imports this too; a test in internal/terminal holds it.
package background

import "github.com/charmbracelet/lipgloss"

func init() { lipgloss.SetHasDarkBackground(true) }
