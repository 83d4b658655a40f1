package terminal

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// However wide the terminal, a number stands on the line of its unit and of its doubt.
func TestNumbersStayWithTheirUnits(t *testing.T) {
	said := "The battery rested for 30 minutes and reads 12.55 V ± 0.06 V, which is above 12.40 V (charged enough), by 0.15 V; " +
		"the lead drops 0.31 V ± 0.02 V at 155.9 A ± 5.12 A, so its allowed drop of 0.002 V/A is passed, and the air is at 0.3 °C ± 4.5 K."
	for _, p := range []Part{{Text: said}, {Kind: Slot, Label: "Read", Text: said}, {Text: said, In: 2}} {
		for width := narrowest; width <= widest; width++ {
			for _, line := range p.lay(width) {
				assert.NotRegexp(t, `^ *(±|minutes|V|A|V/A|°C|K)( |[.,;]|$)|±$`, line, "width %d", width)
			}
		}
	}
}
