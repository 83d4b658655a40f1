package leadacid

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// convertible are the standards that conversions lead to and from.
var convertible = []Standard{SAE, EN, EN2, IEC, DIN, CA, HCA}

func TestEveryStandardHasItsTest(t *testing.T) {
	require.Len(t, ratingTests, len(standardNames))
	for i, name := range standardNames {
		test, err := RatingTestOf(Standard(name))
		require.NoError(t, err)
		assert.Equal(t, Standard(name), ratingTests[i].Standard)
		assert.NotEmpty(t, test.Title)
		assert.NotEmpty(t, test.Test)
		checkSource(t, name, test.Source)
	}
}

// There and back covers where it began, and the value to show comes back itself.
func TestConversionsGoThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from, to := rapid.SampledFrom(convertible).Draw(t, "from"), rapid.SampledFrom(convertible).Draw(t, "to")
		rating := rapid.Float64Range(300, 700).Draw(t, "rating")
		there, err := ConvertRating(Exactly(rating), from, to)
		require.NoError(t, err)
		back, err := ConvertRating(there, to, from)
		require.NoError(t, err)
		require.True(t, back.Lo <= rating+1e-9 && rating-1e-9 <= back.Hi, "%v", back)
		require.InDelta(t, rating, back.Best, 1e-9)
		more, err := ConvertRating(Exactly(rating+10), from, to)
		require.NoError(t, err)
		requireNotLess(t, more, there)
	})
}

func TestJISConvertsToItselfOnly(t *testing.T) {
	same, err := ConvertRating(Exactly(520), JIS, JIS)
	require.NoError(t, err)
	assert.Equal(t, Exactly(520), same)
	for _, s := range convertible {
		_, err := ConvertRating(Exactly(520), s, JIS)
		assert.Error(t, err)
	}
}

// In one standard the numbers decide; in two none is called the lesser inside the
// spread or within ten per cent.
func TestCompareRatings(t *testing.T) {
	for _, c := range []struct {
		first  float64
		a      Standard
		second float64
		b      Standard
		says   string
	}{
		{640, EN, 640, EN, "They are equal."},
		{640, EN, 639, EN, "The second is the lesser one."},
		{640, EN, 641, EN, "The first is the lesser one."},
		{640, EN, 680, SAE, "They cannot be called unequal: the difference is inside the spread of the conversion. Ask for both in one standard."},
		{640, EN, 640, SAE, "They cannot be called unequal: the difference is inside the spread of the conversion. Ask for both in one standard."},
		{640, EN, 380, DIN, "They cannot be called unequal: the difference is inside the spread of the conversion. Ask for both in one standard."},
		{640, EN, 300, DIN, "The second is the lesser one."},
		{640, EN, 600, DIN, "The first is the lesser one."},
	} {
		o, err := CompareRatings(Exactly(c.first), c.a, Exactly(c.second), c.b)
		require.NoError(t, err)
		assert.Equal(t, c.says, o.says(c.a, c.b), "%v %s, %v %s", c.first, c.a, c.second, c.b)
	}
	o, err := CompareRatings(Around(640, 10), EN, Around(645, 10), EN)
	require.NoError(t, err)
	assert.Equal(t, "Too close to call within the doubt of the numbers.", o.says(EN, EN))
}

// A difference of less than ten per cent never counts between two standards.
func TestTenPerCentNeverCounts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.SampledFrom(convertible).Draw(t, "a"), rapid.SampledFrom(convertible).Draw(t, "b")
		if a == b {
			t.Skip("one standard")
		}
		rating := rapid.Float64Range(300, 700).Draw(t, "rating")
		like, err := ConvertRating(Exactly(rating), a, b)
		require.NoError(t, err)
		near := like.Best * rapid.Float64Range(0.92, 1.08).Draw(t, "near")
		o, err := CompareRatings(Exactly(rating), a, Exactly(near), b)
		require.NoError(t, err)
		require.Equal(t, RatingOrder{o.SecondInFirst, Open, Open}, o)
	})
}
