package leadacid

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/unit"
)

// convertible are the standards that conversions lead to and from.
var convertible = []string{"sae", "en", "en2", "iec", "din", "ca", "hca"}

func TestEveryStandardHasItsTest(t *testing.T) {
	for _, test := range ratingTests {
		assert.NotEmpty(t, test.title)
		assert.NotEmpty(t, test.test)
		checkSource(t, test.standard, test.source)
	}
}

func convert(t require.TestingT, rating any, from, to string) unit.Range {
	return first(t, "convert_rating", "rating", rating, "from", from, "to", to)
}

// There and back covers where it began, and the value to show comes back itself.
func TestConversionsGoThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from, to := rapid.SampledFrom(convertible).Draw(t, "from"), rapid.SampledFrom(convertible).Draw(t, "to")
		rating := rapid.Float64Range(300, 700).Draw(t, "rating")
		there := convert(t, rating, from, to)
		back := convert(t, there, to, from)
		require.True(t, back.Lo <= rating+1e-9 && rating-1e-9 <= back.Hi, "%v", back)
		require.InDelta(t, rating, back.Best, 1e-9)
		requireNotLess(t, convert(t, rating+10, from, to), there)
	})
}

func TestJISConvertsToItselfOnly(t *testing.T) {
	assert.Equal(t, unit.Exactly(520), convert(t, 520, jis, jis))
	for _, s := range convertible {
		_, err := Find("convert_rating").Run(argsOf([]any{"rating", 520, "from", s, "to", jis}))
		assert.Error(t, err)
	}
}

const unequal = "They cannot be called unequal: the difference is inside the spread of the conversion. Ask for both in one standard."

func compare(t require.TestingT, first any, a string, second any, b string) string {
	return ask(t, "compare_ratings", "first", first, "first_standard", a, "second", second, "second_standard", b).Says[0]
}

// In one standard the numbers decide; in two none is called the lesser inside the
// spread or within ten per cent.
func TestCompareRatings(t *testing.T) {
	for _, c := range []struct {
		second any
		in     string
		says   string
	}{
		{640, "en", "They are equal."},
		{639, "en", "The second is the lesser one."},
		{641, "en", "The first is the lesser one."},
		{unit.Around(645, 10), "en", "Too close to call within the doubt of the numbers."},
		{680, "sae", unequal},
		{640, "sae", unequal},
		{380, "din", unequal},
		{300, "din", "The second is the lesser one."},
		{600, "din", "The first is the lesser one."},
	} {
		assert.Equal(t, c.says, compare(t, 640, "en", c.second, c.in), "%v %s", c.second, c.in)
	}
}

// A difference of less than ten per cent never counts between two standards.
func TestTenPerCentNeverCounts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.SampledFrom(convertible).Draw(t, "a"), rapid.SampledFrom(convertible).Draw(t, "b")
		if a == b {
			t.Skip("one standard")
		}
		rating := rapid.Float64Range(300, 700).Draw(t, "rating")
		near := convert(t, rating, a, b).Best * rapid.Float64Range(0.92, 1.08).Draw(t, "near")
		require.Equal(t, unequal, compare(t, rating, a, near, b))
	})
}
