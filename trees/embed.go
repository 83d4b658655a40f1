// Package trees holds the decision trees that the program ships, as YAML: what
// they share (common.yaml), the list of faults (faults.yaml), the trees and
// their worked cases.
//
// It is data and nothing else: no code here understands the files, and
// internal/engine does not know this package. Only a command, or a test, may import it. Every
// tree in it loads without a fault, and every branch of it is walked by a
// worked case; the test beside this file holds both.
package trees

import (
	"embed"
	"iter"
)

//go:generate go test -run TestIndex -update .

//go:embed *.yaml
var built embed.FS

// All gives the name and the text of every file of trees and cases, by name.
func All() iter.Seq2[string, []byte] {
	return func(yield func(string, []byte) bool) {
		entries, _ := built.ReadDir(".") // what is built in can be read
		for _, e := range entries {
			text, _ := built.ReadFile(e.Name())
			if !yield(e.Name(), text) {
				return
			}
		}
	}
}
