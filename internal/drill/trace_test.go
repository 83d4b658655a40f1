package drill

import (
	"encoding/xml"
	"errors"
	"io"
	"math/rand/v2"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/vehicle"
)

func healthy(t testing.TB) *Trace {
	v, err := vehicle.New(vehicle.Standard("medium petrol"))
	require.NoError(t, err)
	got, err := record(newBay(v, engine.FindMeter("workshop"), rand.New(rand.NewPCG(1, 1))), "battery_positive_post", "battery_negative_post")
	require.NoError(t, err)
	return got
}

// The first dip is far below what a display or a plain hold shows of it. The ranges
// are those of the model's own transient, with room for a change of its parameters.
func TestWhatAMeterMakesOfTheDip(t *testing.T) {
	tr := healthy(t)
	low, at := tr.Furthest()
	assert.InDelta(t, 8.8, low, 0.4)
	assert.Less(t, at, 0.1)
	assert.InDelta(t, low, last(tr.held(quickHold)), 0.1, "a quick hold keeps it")
	slow := last(tr.held(hold))
	assert.Greater(t, slow, low+1, "a plain hold does not")
	shown := last(tr.Shown)
	assert.Greater(t, shown, slow)
	assert.InDelta(t, 11.4, shown, 0.3)
	text := strings.Join(tr.Words(), "\n")
	assert.Contains(t, text, "True: falls to")
}

// Of a drop the jolt is the highest, and a highest hold is what keeps it.
func TestWhatAMeterMakesOfADrop(t *testing.T) {
	v, err := vehicle.New(vehicle.Standard("medium petrol"))
	require.NoError(t, err)
	tr, err := record(newBay(v, engine.FindMeter("workshop"), rand.New(rand.NewPCG(1, 1))), "starter_case", "battery_negative_post")
	require.NoError(t, err)
	assert.True(t, tr.Drop)
	high, at := tr.Furthest()
	assert.Less(t, at, 0.1)
	assert.Greater(t, high, 2*last(tr.Shown), "the inrush takes several times the current of the plateau")
	assert.Greater(t, last(tr.held(quickHold)), last(tr.held(hold)))
	assert.Contains(t, strings.Join(tr.Words(), " "), "highest hold")
	assert.Contains(t, strings.Join(tr.Draw(false, 1.5, 80, 20), "\n"), "the highest in each column")
}

// A drawing stays in its columns and rows, and shows no more than has come about.
// Of a solenoid that rattles, a record with its contact closed is not what a display
// shows, and that is said.
func TestTraceOfARattle(t *testing.T) {
	whole := 0
	for seed := uint64(1); whole == 0 && seed < 300; seed++ {
		d := begin(t, oneFault, "", seed)
		if d.start.said != "rattle" {
			continue
		}
		do(t, d, "neutral")
		r, err := d.Do("trace")
		require.NoError(t, err)
		if r.Trace != nil && r.Trace.Whole {
			whole++
			assert.Contains(t, strings.Join(r.Trace.Words(), " "), "It rattles")
		}
	}
	require.Positive(t, whole)
	d := with(t, "engine_strap_high_resistance")
	r, err := d.Do("trace")
	require.NoError(t, err)
	assert.NotContains(t, strings.Join(r.Trace.Words(), " "), "It rattles")
}

func TestDrawing(t *testing.T) {
	tr := healthy(t)
	for _, size := range [][2]int{{80, 22}, {40, 18}, {40, 10}, {120, 40}} {
		for _, slow := range []bool{false, true} {
			for _, until := range []float64{0, 0.01, tr.Seconds(slow) / 2, tr.Seconds(slow)} {
				lines := tr.Draw(slow, until, size[0], size[1])
				for _, l := range lines {
					assert.LessOrEqual(t, utf8.RuneCountInString(l), size[0], l)
					assert.NotContains(t, l, "\x1b")
				}
				if size[1] >= 18 {
					assert.LessOrEqual(t, len(lines), size[1])
				}
			}
		}
	}
	half, whole := strings.Join(tr.Draw(false, 0.7, 80, 22), "\n"), strings.Join(tr.Draw(false, 1.5, 80, 22), "\n")
	assert.Greater(t, strings.Count(whole, markShown), strings.Count(half, markShown))
	early := strings.Join(tr.Draw(false, 0.05, 80, 22), "\n")
	assert.Contains(t, early, "the display: nothing yet")
	assert.Contains(t, whole, markShown+markShown+markShown, "the display's line is to be seen")
}

func TestSVGIsWellFormed(t *testing.T) {
	tr := healthy(t)
	for _, slow := range []bool{false, true} {
		svg := tr.SVG(slow)
		d := xml.NewDecoder(strings.NewReader(svg))
		for {
			_, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err)
		}
		assert.Contains(t, svg, "stroke-dasharray", "the lines differ in more than colour")
		assert.NotContains(t, svg, "NaN")
	}
}

// The report as a page: the debrief and the crank, and nothing that would be run or
// fetched.
func TestPage(t *testing.T) {
	d := with(t, "engine_strap_high_resistance")
	for _, l := range []string{"look battery_case", "look battery_inside", "neutral", "trace", "find engine_strap"} {
		do(t, d, l)
	}
	var b strings.Builder
	require.NoError(t, d.HTML(&b))
	for _, s := range []string{"<svg", "The crank, as the meter shows it", "Safety", "What would have told more", "true", "This is a virtual vehicle"} {
		assert.Contains(t, b.String(), s)
	}
	assert.Equal(t, 2, strings.Count(b.String(), "<svg"), "the whole crank, and its beginning")
	assert.NotContains(t, b.String(), "<script")

	d = with(t, "engine_strap_high_resistance")
	_, err := d.Do("<script>alert(1)</script>")
	require.Error(t, err)
	do(t, d, "measure <b> + -"[:8]+"+ -")
	b.Reset()
	require.NoError(t, d.HTML(&b))
	assert.Contains(t, b.String(), "Nothing was recorded; this is a crank at the battery&#39;s posts")
}
