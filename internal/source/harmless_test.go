package source

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestHarmless(t *testing.T) {
	for _, r := range "aä電 °Ωµ½\u00a0\u200d\u200c\ufffd😀" {
		assert.Truef(t, harmless(r), "%U", r)
	}
	for _, r := range "\x00\a\t\n\r\x1b\x7f\u0085\u009b\u00ad\u200b\u200e\u2028\u2029\u202e\u2066\ufeff\ufdd0\ufffe\uffff\U0001ffff" {
		assert.Falsef(t, harmless(r), "%U", r)
	}
}
