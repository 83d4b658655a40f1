package report

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
	"deadflat/internal/text"
)

// volts is a comparison of a reading of 12.21 V ± 0.08 V, or of another.
func volts(best, doubt, limit float64) engine.Comparison {
	return engine.Comparison{
		Left: "battery voltage at rest", Value: "read", Limit: number(limit, 2) + " V", Drawn: true,
		Best: best, Lo: best - doubt, Hi: best + doubt, LimitLo: limit, LimitHi: limit, UnitName: "V",
	}
}

func TestScaleHoldsReadingAndNearLimits(t *testing.T) {
	got := scales([]engine.Comparison{volts(12.21, 0.08, 1), volts(12.21, 0.08, 12.4), volts(12.21, 0.08, 12.4), volts(12.21, 0.08, 12.8)})
	require.Len(t, got, 1, "one drawing a reading")
	s := got[0]
	assert.Equal(t, []limit{{12.4, 12.4, "12.40 V"}, {12.8, 12.8, "12.80 V"}}, s.limits, "each once, ascending, the far one apart")
	assert.Equal(t, []string{"1.00 V"}, s.beyond)
	assert.Contains(t, s.words(), "1.00 V", "what is not drawn is said")
	assert.LessOrEqual(t, s.from, 12.13)
	assert.GreaterOrEqual(t, s.to, 12.8)
}

func TestScaleOfALoneFarLimitDrawsIt(t *testing.T) {
	s := scales([]engine.Comparison{volts(12.21, 0.001, 1)})[0]
	assert.Len(t, s.limits, 1)
	assert.Empty(t, s.beyond)
}

func TestScaleLeavesOutWhatCannotBeDrawn(t *testing.T) {
	infinite, unknown, words := volts(math.Inf(1), 1, 1), volts(1, 1, 1), volts(1, 1, 1)
	unknown.UnitName, words.Drawn = "furlong", false
	assert.Empty(t, scales([]engine.Comparison{infinite, unknown, words}))
}

func TestOneSidedReadingIsDrawnOpen(t *testing.T) {
	c := volts(8.8, 0.05, 9.6)
	c.Hi, c.Reading = 18, &engine.Reading{Domain: eval.Domain{Span: [2]float64{-15, 18}}}
	s := scales([]engine.Comparison{c})[0]
	assert.Equal(t, [2]bool{false, true}, s.open)
	assert.Less(t, s.to, 12.0, "the open end does not stretch the axis to the end of the span")
	assert.Contains(t, s.lines(60)[0], ">")
}

func TestAxisIsRoundAndHoldsItsEnds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(-1e4, 1e4).Draw(t, "from")
		to := from + rapid.Float64Range(0, 1e4).Draw(t, "width")
		a := fitAxis(from, to)
		slack := 1e-6 * math.Max(1e-3, math.Max(math.Abs(from), math.Abs(to)))
		assert.LessOrEqual(t, a.from, from+slack)
		assert.GreaterOrEqual(t, a.to, to-slack)
		ticks := a.ticks()
		assert.GreaterOrEqual(t, len(ticks), 3)
		assert.LessOrEqual(t, len(ticks), 11)
		for i := 1; i < len(ticks); i++ {
			assert.NotEqual(t, ticks[i-1].label, ticks[i].label)
		}
	})
}

// box is a drawn label.
type box struct{ left, right, top, low float64 }

func boxOf(l placedLabel) box {
	b := box{left: l.text, right: l.text + l.width(), top: l.y - labelSize + 1, low: l.y + labelRow*float64(len(l.lines)-1) + 2}
	if l.text < l.x {
		b.left, b.right = l.text-l.width(), l.text
	}
	return b
}

func TestLabelsOfAScaleNeverCollide(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := &scale{best: 12, band: [2]float64{11.9, 12.1}, value: "read", unit: "V"}
		for range rapid.IntRange(1, 6).Draw(t, "limits") {
			from := rapid.Float64Range(11.5, 12.5).Draw(t, "from")
			to := from + rapid.SampledFrom([]float64{0, 0.02, 0.4}).Draw(t, "doubt")
			s.addLimit(limit{from, to, strings.Repeat("word ", rapid.IntRange(1, 30).Draw(t, "words"))})
		}
		s.arrange()
		labels, left, right, top := s.placeLabels()
		assert.Greater(t, right-left, 250.0, "the axis stays long enough to read")
		x := func(v float64) float64 { return left + s.share(v)*(right-left) }
		for i, a := range labels {
			at := boxOf(a)
			assert.GreaterOrEqual(t, at.left, -0.01)
			assert.LessOrEqual(t, at.right, scaleWidth+0.01)
			for j, b := range labels {
				if i == j {
					continue
				}
				other := boxOf(b)
				assert.True(t, at.low <= other.top || other.low <= at.top, "labels one above the other")
				lineTop := b.y - labelSize + 2
				crosses := x(b.limit.from) < at.right-0.01 && x(b.limit.to) > at.left+0.01 && lineTop < at.low && at.top < top
				assert.False(t, crosses, "the line of %v crosses the label of %v", b.limit, a.limit)
			}
		}
	})
}

func TestTextScaleFitsItsWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.IntRange(38, 98).Draw(t, "width")
		best := rapid.Float64Range(-15, 18).Draw(t, "best")
		var rules []engine.Comparison
		for range rapid.IntRange(1, 4).Draw(t, "limits") {
			rules = append(rules, volts(best, rapid.Float64Range(0, 2).Draw(t, "doubt"), rapid.Float64Range(-15, 18).Draw(t, "limit")))
		}
		lines := scales(rules)[0].lines(width)
		assert.Contains(t, lines[0], "*")
		for _, line := range lines {
			assert.LessOrEqual(t, text.Width(line), width)
		}
	})
}
