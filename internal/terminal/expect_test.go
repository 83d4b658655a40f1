package terminal

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// told is what a Reply says at once, a line each.
func told(r Reply) []string {
	var out []string
	for _, p := range append(r.Told, r.Refused...) {
		out = append(out, p.whole())
	}
	return out
}

func TestWhatIsExpectedIsHeldAgainstWhatIsFound(t *testing.T) {
	for _, c := range []struct{ guess, found, says string }{
		{"12.7", "12.62", "That leads where you expected."},
		{"11.9", "12.62", "What you expected would have led elsewhere: "},
	} {
		w := bench()
		s := newSession(w, testOptions())
		r := enter(t, s, "expect "+c.guess)
		assert.Equal(t, []string{"Expected: rest " + c.guess + "0 V. Now find out."}, told(r))
		assert.Equal(t, "rest_voltage", w.Next().Fields[0].Reading.ID, "it is no answer")
		assert.Equal(t, "expected: rest "+c.guess+"0 V", w.Events()[0].Text)

		said := told(enter(t, s, c.found))
		require.Len(t, said, 2)
		assert.Equal(t, "You expected rest "+c.guess+"0 V and found 12.62 V ± 0.06 V.", said[0])
		assert.Contains(t, said[1], c.says)

		assert.Empty(t, told(enter(t, s, "1")), "it is said once")
	}
}

// A guess that is no reading of the step, or could not be typed as an answer, is
// refused, and nothing is written into the job.
func TestWhatCannotBeExpected(t *testing.T) {
	w := bench()
	s := newSession(w, testOptions())
	for _, c := range []struct{ typed, says string }{
		{"expect", "Say what you expect this step to show: expect rest and the value."},
		{"expect crank 9", `"crank" is not asked at this step.`},
		{"expect 99", "99"},
		{"expect rest bananas", "bananas"},
	} {
		assert.Contains(t, told(enter(t, s, c.typed))[0], c.says, c.typed)
	}
	assert.Empty(t, w.Events())
	enter(t, s, "expect 11", "back", "12.62", "1", "+", "done")
	require.NotNil(t, w.Next().Gate)
	assert.Equal(t, []string{"Nothing is measured or looked at here."}, told(enter(t, s, "expect none seen")))
}

// A supposed answer leaves the walk as it was.
func TestSupposingChangesNothing(t *testing.T) {
	w := bench()
	ev := engine.Event{Do: engine.DoAnswer, Reading: "rest_voltage", Answer: &engine.Answer{Value: 12.6, Unit: "V"}}
	out, err := w.Suppose(ev)
	require.NoError(t, err)
	require.Len(t, out.Decided, 1)
	assert.Empty(t, w.Events())
	assert.Equal(t, "rest_voltage", w.Next().Fields[0].Reading.ID)
}
