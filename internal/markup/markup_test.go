package markup

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestTenth(t *testing.T) {
	for in, want := range map[float64]string{0: "0.0", -0.04: "0.0", -0.06: "-0.1", 182: "182.0", 12.34: "12.3"} {
		assert.Equal(t, want, Tenth(in))
	}
}
