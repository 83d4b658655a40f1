package prove

import "strings"

// Cases is filled in cases.go.
type Cases struct{ Typical Length }

func (c *Cases) Sound() bool              { return true }
func (c *Cases) print(b *strings.Builder) {}
