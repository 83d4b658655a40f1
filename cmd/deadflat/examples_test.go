package main

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestReadingsOfTheExamplesAreTaken: what the help prints to be typed is taken.
func TestReadingsOfTheExamplesAreTaken(t *testing.T) {
	lib, _, err := loadLibrary("", nil)
	require.NoError(t, err)
	tree := lib.Tree("no-start")
	set := regexp.MustCompile(`decide no-start.*`)
	pair := regexp.MustCompile(`--set (\w+)=("[^"]*"|\S+)`)
	tried := 0
	for _, line := range set.FindAllString(rootExamples+"\n"+decideExamples, -1) {
		for _, m := range pair.FindAllStringSubmatch(line, -1) {
			r := tree.ReadingNamed(m[1])
			require.NotNil(t, r, m[0])
			_, refused := r.Parse(regexp.MustCompile(`"`).ReplaceAllString(m[2], ""), nil)
			require.Nil(t, refused, m[0])
			tried++
		}
	}
	require.GreaterOrEqual(t, tried, 4)
}
