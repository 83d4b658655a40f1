// Package trees holds the decision trees that the program ships, as YAML: what
// they share (common.yaml), the list of faults (faults.yaml), the trees and
// their worked cases.
//
// It is data and nothing else: no code here reads the files, and internal/engine
// does not know this package. Only a command, or a test, may import it. Every
// tree in it loads without a fault, and every branch of it is walked by a
// worked case; the test beside this file holds both.
package trees

import "embed"

// FS holds every file of trees and cases, at its top level.
//
//go:embed *.yaml
var FS embed.FS
