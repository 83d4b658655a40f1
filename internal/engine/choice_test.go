package engine

import (
	"math/bits"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"deadflat/internal/eval"
)

// However several choices are typed (words or numbers, any order, anything between
// them that may stand there), they are the same combination; and each combination that
// is printed reads back.
func TestSeveralChoicesReadAlike(t *testing.T) {
	list := []string{"left", "right", "number plate", "plate", "fog", "l"}
	r := &Reading{Short: "dark", Unsure: true, Domain: eval.SeveralOf(list)}
	require.Len(t, r.Choices, 64)
	rapid.Check(t, func(t *rapid.T) {
		set := rapid.Uint64Range(0, 63).Draw(t, "set")
		rng := rand.New(rand.NewPCG(set, rapid.Uint64().Draw(t, "seed")))
		words := []string{}
		for i, w := range list {
			if set&(1<<i) != 0 {
				words = append(words, []string{w, strings.ToUpper(w), strconv.Itoa(i + 1)}[rng.IntN(3)])
			}
		}
		rng.Shuffle(len(words), func(i, k int) { words[i], words[k] = words[k], words[i] })
		typed := strings.Join(words, rapid.SampledFrom([]string{", ", ",", "+", " + ", " and ", "; ", " & "}).Draw(t, "between"))
		if set == 0 {
			typed = rapid.SampledFrom([]string{"none", "None", "7"}).Draw(t, "none")
		}
		a, ref := r.Parse(typed, nil)
		require.Nil(t, ref, typed)
		require.Equal(t, []string{r.Choices[set]}, a.Choice, typed)
		require.Nil(t, r.fits(&a, nil))
		v := choiceValue(r, &a)
		require.Equal(t, uint64(1)<<set, v.Set)
		back, ref := r.Parse(valueText(r, &v), nil)
		require.Nil(t, ref)
		require.Equal(t, a.Choice, back.Choice)
		for i, w := range list {
			require.Equal(t, set&(1<<i) != 0, r.With(w)&v.Set != 0, w)
			require.Equal(t, 32, bits.OnesCount64(r.With(w)))
		}
	})
	for typed, want := range map[string]string{"left right": "left and right", "1 3": "left and number plate", "number plate plate": "number plate and plate"} {
		a, ref := r.Parse(typed, nil)
		require.Nil(t, ref, typed)
		require.Equal(t, []string{want}, a.Choice, typed)
	}
	for typed, why := range map[string]string{"left, none": "cannot stand beside", "left, middle": `"middle" is not one of the choices`, "1 9": "choices 1 to 7", ",": "one or more of the choices", "left, not sure": `"not sure" is not one`} {
		_, ref := r.Parse(typed, nil)
		require.NotNil(t, ref, typed)
		require.Contains(t, ref.Reason, why, typed)
	}
	for _, typed := range []string{"not sure", "8"} {
		a, ref := r.Parse(typed, nil)
		require.Nil(t, ref, typed)
		v := choiceValue(r, &a)
		require.True(t, a.Unsure && v.Set == ^uint64(0), typed)
		require.Equal(t, "not sure", valueText(r, &v))
	}
}
