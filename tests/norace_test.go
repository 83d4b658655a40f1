//go:build !race

package tests

// raceDetector makes the program under test be built as the tests are.
const raceDetector = false
