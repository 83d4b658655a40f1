package vehicle

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A guess is called a guess.
func TestBasesNameTheGuesses(t *testing.T) {
	guesses := 0
	for _, b := range Bases() {
		assert.NotEmpty(t, b.Part)
		assert.NotEmpty(t, b.Source, b.Part)
		if b.Source == "guess" {
			guesses++
		}
	}
	assert.GreaterOrEqual(t, guesses, 2)
}
