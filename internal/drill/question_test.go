package drill

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// stepOf is the paragraph of a question that says which step it is of.
func stepOf(q *Question) string {
	for _, l := range q.Text {
		if strings.HasPrefix(l, "The step is") {
			return l
		}
	}
	return ""
}

// rightly answers a question as the class sheet has it.
func rightly(t *testing.T, d *Drill, q *Question) string {
	switch d.Level {
	case readAndName:
		for i, c := range q.Choices {
			if q.answer == answered(strings.TrimSuffix(strings.TrimPrefix(stepOf(q), "The step is \""), "\"."), c) {
				return string(rune('1' + i))
			}
		}
	case placeProbes:
		_, where, _ := strings.Cut(q.answer, ": red on the ")
		red, where, _ := strings.Cut(where, ", black on the ")
		black, state, _ := strings.Cut(where, ", ")
		line := red + ", " + black
		for _, s := range strings.Split(state, ", ") {
			for word, text := range stateText {
				if text == s {
					line += " " + word
				}
			}
		}
		return line
	case badRecord:
		at, why, _ := strings.Cut(strings.TrimPrefix(q.answer, "line "), ": ")
		return at + " " + why
	}
	t.Fatalf("no answer in %q", q.answer)
	return ""
}

// Every question can be answered as the sheet says, and otherwise; both are talked
// over.
func TestQuestions(t *testing.T) {
	t.Parallel()
	for _, level := range []int{readAndName, placeProbes, badRecord} {
		for seed := uint64(1); seed <= 8; seed++ {
			d := begin(t, level, "", seed)
			for !d.Done {
				q, n := d.Asked()
				require.NotNil(t, q)
				line := rightly(t, d, q)
				says := do(t, d, line)
				assert.True(t, strings.HasPrefix(says, "Right."), "level %d, seed %d, question %d: %q: %s", level, seed, n, line, says)
				assert.NotEmpty(t, q.Comment)
			}
			assert.True(t, d.Right())
			assert.True(t, d.Passed())
			_, err := d.Do("1")
			assert.Error(t, err, "nothing is asked any more")
			assert.Contains(t, d.Debrief(), "were right")
		}
	}
}

// The questions of a class are the same by seed, and others by another.
func TestQuestionsBySeed(t *testing.T) {
	t.Parallel()
	text := func(level int, seed uint64) string {
		var all []string
		for _, q := range begin(t, level, "", seed).Questions {
			all = append(all, strings.Join(append(q.Text, q.Choices...), "\n"))
		}
		return strings.Join(all, "\n")
	}
	for _, level := range []int{readAndName, placeProbes, badRecord} {
		assert.Equal(t, text(level, 5), text(level, 5))
		assert.NotEqual(t, text(level, 5), text(level, 6))
	}
}

func TestWrongAnswers(t *testing.T) {
	d := begin(t, placeProbes, "", 1)
	q, _ := d.Asked()
	says := do(t, d, "body body key_on")
	assert.True(t, strings.HasPrefix(says, "Not so."), says)
	assert.Contains(t, says, "Those are not the two points")
	assert.Contains(t, says, "On this vehicle yours shows 0 V", "%v", q.Text)

	_, err := d.Do("nowhere")
	assert.ErrorContains(t, err, "is no point for red")
	assert.Equal(t, 1, d.at, "what is not understood answers nothing")

	b := d.open().bay
	for _, r := range d.Tree.Readings {
		if r.ID != "earth_drop" {
			continue
		}
		for line, says := range map[string]string{
			"starter_case battery_negative_post cranking":  "",
			"starter_case battery_negative_post key_start": "",
			"battery_negative_post starter_case cranking":  "red and black are changed over",
			"starter_case battery_negative_post":           "That is not the state.",
			"engine_block battery_negative_post cranking":  "Those are not the two points.",
		} {
			right, comment, err := b.judge(r, wordsOf(line))
			require.NoError(t, err)
			assert.Equal(t, says == "", right, line)
			assert.Contains(t, comment, says, line)
			assert.Contains(t, comment, "It is: red on the starter case, black on the battery negative post, cranking.")
		}
	}

	d = begin(t, badRecord, "", 1)
	for _, bad := range []string{"3", "99 2", "1 99", "x y", "0 1"} {
		_, err := d.Do(bad)
		assert.Error(t, err, bad)
	}
	assert.Equal(t, 0, d.at)

	d = begin(t, readAndName, "", 1)
	_, err = d.Do("99")
	assert.ErrorContains(t, err, "expected 1 to")
	_, err = d.Do("what on earth")
	assert.ErrorContains(t, err, "first letters")
	assert.Contains(t, do(t, d, "help"), "An answer")
	assert.False(t, d.Done)
	assert.False(t, d.Right())
}

// A question says which step it is of, and that a load is on where one is: "everything
// off" would not be true.
func TestQuestionTellsStepAndLoad(t *testing.T) {
	about := func(level int, what string) string {
		for seed := uint64(1); seed < 60; seed++ {
			for _, q := range begin(t, level, "", seed).Questions {
				if says := strings.Join(q.Text, "\n"); strings.Contains(says, what) {
					return says
				}
			}
		}
		return ""
	}
	says := about(readAndName, `The step is "Load test".`)
	assert.Contains(t, says, "the load still on: ")
	assert.NotContains(t, says, "everything off")
	for seed := uint64(1); seed < 9; seed++ {
		for _, q := range begin(t, readAndName, "", seed).Questions {
			assert.NotContains(t, q.answer, "?:")
		}
	}
	loaded := 0
	for seed := uint64(1); seed < 9; seed++ {
		for _, q := range begin(t, badRecord, "", seed).Questions {
			if text := strings.Join(q.Text, "\n"); strings.Contains(text, "Load test: ") {
				loaded++
				assert.Contains(t, text, "at the posts")
			}
		}
	}
	assert.Positive(t, loaded)
}

// Every mistake of level 7 comes up, and each leaves a record that goes wrong by it.
func TestMistakes(t *testing.T) {
	t.Parallel()
	met := map[string]bool{}
	for seed := uint64(1); seed < 60 && len(met) < len(mistakes); seed++ {
		for _, q := range begin(t, badRecord, "", seed).Questions {
			_, why, _ := strings.Cut(q.answer, ": ")
			met[why] = true
		}
	}
	for _, m := range mistakes {
		assert.True(t, met[m.name], "%q never comes up", m.name)
	}
}
