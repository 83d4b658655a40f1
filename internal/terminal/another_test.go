package terminal

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
)

// removed makes Save fail from the second event on, and Another fail so many times.
func removed(o *Options, fails int) (another *int) {
	another = new(int)
	saves := 0
	o.Resume = "deadflat walk --resume van"
	o.Save = func(engine.Event) error {
		if saves++; saves > 1 && *another <= fails {
			return errors.New(`"van.job" was removed`)
		}
		return nil
	}
	o.Another = func() (string, error) {
		if *another++; *another <= fails {
			return "", errors.New("disk full")
		}
		return "deadflat walk --resume van-2", nil
	}
	return another
}

func TestAFailedSaveOffersAnotherFile(t *testing.T) {
	o := brief()
	another := removed(&o, 0)
	said, end := lines(t, bench(), o, "12.6", "1", "y")
	said = strings.Join(strings.Fields(said), " ")
	assert.Contains(t, said, `The answer is not saved: "van.job" was removed.`)
	assert.Contains(t, said, "Go on in another file, with every answer so far in it?")
	assert.Contains(t, said, "To go on later: deadflat walk --resume van-2")
	assert.Contains(t, said, "Everything answered so far is saved. Go on with: deadflat walk --resume van-2")
	assert.True(t, end.Paused)
	assert.Equal(t, 1, *another)
}

// Whoever types on without a yes or a no is asked again, and at the end nothing is
// called saved that is not.
func TestAFailedSaveIsNotTypedOver(t *testing.T) {
	o := brief()
	another := removed(&o, 0)
	said, _ := lines(t, bench(), o, "12.6", "1", "note seen")
	said = strings.Join(strings.Fields(said), " ")
	assert.Equal(t, 2, strings.Count(said, "The answer is not saved"))
	assert.Contains(t, said, "Everything answered so far is saved. Go on with: deadflat walk --resume van-2")
	assert.Equal(t, 1, *another)
}

func TestNothingIsSavedWhereNoFileIsLeft(t *testing.T) {
	for _, typed := range []string{"12.6\n1\n", "12.6\n1\nn\n", "12.6\n1\ny\ny\ny\nn\n", "12.6\n1\ny\n"} {
		var out bytes.Buffer
		o := brief()
		o.Plain, o.In, o.Out, o.Err = true, strings.NewReader(typed), &out, &out
		removed(&o, 1000)
		_, err := Run(context.Background(), bench(), o)
		require.ErrorContains(t, err, "saved", "%q", typed)
		assert.NotContains(t, out.String(), "Everything answered so far is saved")
	}
}

func TestTheScreenOffersAnotherFile(t *testing.T) {
	o := brief()
	s := sit(bench(), o, 80, 24)
	another := removed(&s.Dialog.(*session).o, 1)
	s.enters("12.6")
	s.enters("1")
	assert.Contains(t, s.sees(), "Go on in another file")
	s.enters("y")
	assert.Contains(t, s.sees(), "The answers are not saved in another file either: disk full.")
	s.enters("y")
	assert.Contains(t, s.sees(), "Every answer so far is saved in another file")
	assert.Equal(t, 2, *another)
	assert.NoError(t, s.err)
}
