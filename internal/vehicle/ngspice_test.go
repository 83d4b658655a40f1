package vehicle_test

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"deadflat/internal/vehicle"
)

// Outside check of the virtual vehicle's steady solver against ngspice (Debian
// package "ngspice"), a circuit simulator by other hands, driven live. The decks
// are generated from the model. Both solve the same equations: this shows that
// they are solved rightly, not that they are the right ones.

// spice solves a deck and gives what it prints.
func spice(t *testing.T, deck string) map[string]float64 {
	path, err := exec.LookPath("ngspice")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("ngspice is not installed, and in CI it has to be: apt-get install ngspice")
		}
		t.Skip("ngspice is not installed, so the solver is not checked against it: apt-get install ngspice")
	}
	file := filepath.Join(t.TempDir(), "deck.cir")
	require.NoError(t, os.WriteFile(file, []byte(deck), 0o600))
	out, err := exec.Command(path, "-b", file).CombinedOutput()
	require.NoError(t, err, "%s\n%s", out, deck)
	found := map[string]float64{}
	for _, m := range spicePrints.FindAllSubmatch(out, -1) {
		x, err := strconv.ParseFloat(string(m[2]), 64)
		require.NoError(t, err)
		found[string(m[1])] = x
	}
	return found
}

var spicePrints = regexp.MustCompile(`(?m)^v\((n\d+|q)\) = (\S+)`)

// agrees compares every node of every network that a state goes through.
func agrees(t *testing.T, v *vehicle.Vehicle) {
	lists := v.Netlists()
	require.NotEmpty(t, lists)
	for _, list := range lists {
		found := spice(t, list.Deck)
		require.Len(t, found, len(list.Volts), "%s: ngspice did not print every node", list.Stage)
		for node, want := range list.Volts {
			if node == "battery" {
				assert.InDelta(t, want, found["q"], 1e-3+1e-4*math.Abs(want), "%s: battery current, A", list.Stage)
				continue
			}
			assert.InDelta(t, want, found[node], 1e-3, "%s: node %s, V", list.Stage, node)
		}
	}
}

var cranks = map[string]string{"key": "key_start", "engine": "cranking"}

func TestCrankAgreesWithNgspiceForEveryFault(t *testing.T) {
	for _, kind := range vehicle.Kinds() {
		for _, severity := range []float64{0.2, 0.9} {
			t.Run(kind.ID+"/"+strconv.FormatFloat(severity, 'g', -1, 64), func(t *testing.T) {
				v, err := vehicle.New(vehicle.Standard("medium petrol"), vehicle.Fault{ID: kind.ID, Severity: severity})
				require.NoError(t, err)
				require.NoError(t, v.Set(cranks))
				agrees(t, v)
			})
		}
	}
}

func TestOtherStatesAgreeWithNgspice(t *testing.T) {
	states := map[string]map[string]string{
		"asleep":       {"key": "key_off"},
		"small loads":  {"key": "key_on", "doors": "open", "loads": "small_loads"},
		"heavy loads":  {"key": "key_on", "loads": "heavy_loads"},
		"idling":       {"engine": "running", "loads": "heavy_loads"},
		"revving":      {"engine": "running_fast"},
		"on a charger": {"key": "key_off", "charger": "charger_on"},
		"cranking":     cranks,
	}
	for name, state := range states {
		for _, class := range []string{"small petrol", "large diesel"} {
			t.Run(name+"/"+class, func(t *testing.T) {
				v, err := vehicle.New(vehicle.Standard(class))
				require.NoError(t, err)
				require.NoError(t, v.Set(state))
				agrees(t, v)
			})
		}
	}
}
