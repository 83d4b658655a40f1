package terminal

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestVehicle(t *testing.T) {
	for states, want := range map[[2]string]string{
		{"key", "key_off"}:               "key off",
		{"doors", "closed"}:              "doors closed",
		{"loads", "small_loads"}:         "small loads",
		{"wiper_switch", "switch_on"}:    "wiper switch on",
		{"rear_screen_heater", "on"}:     "rear screen heater on",
		{"rear_lamp", "rear_lamp_lit"}:   "rear lamp lit",
		{"left_door", "left_open"}:       "left door left open",
		{"start_switch", "switched_off"}: "start switch switched off",
	} {
		assert.Equal(t, want, vehicle(map[string]string{states[0]: states[1]}))
	}
}
