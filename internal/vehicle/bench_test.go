package vehicle

import (
	"math/rand/v2"
	"testing"
)

func workshopVolts() MeterSpec {
	return MeterSpec{Ranges: []Range{{6, 0.3, 2, 0.001}, {60, 0.3, 2, 0.01}}}
}

// BenchmarkWalk draws a vehicle and takes what a whole steady walk takes: rest,
// small loads, a crank with both paths split, and the control circuit.
func BenchmarkWalk(b *testing.B) {
	pop := AsFound()
	b.ReportAllocs()
	for n := range b.N {
		rng := rand.New(rand.NewPCG(1, uint64(n)))
		walkOnce(b, Draw(rng, pop), NewMeter(workshopVolts(), rng))
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "vehicles/s")
}

func walkOnce(b *testing.B, v *Vehicle, m *Meter) {
	still := map[string]string{"key": "key_off", "doors": "closed", "loads": "loads_off", "engine": "still"}
	lamps := map[string]string{"key": "key_off", "doors": "open", "loads": "small_loads", "engine": "still"}
	ignition := map[string]string{"key": "key_on", "doors": "closed", "loads": "small_loads", "engine": "still"}
	crank := map[string]string{"key": "key_start", "doors": "closed", "loads": "loads_off", "engine": "cranking"}
	read := func(state map[string]string, red, black, hold string) {
		if err := v.Set(state); err != nil {
			b.Fatal(err)
		}
		if _, err := v.Read(red, black, hold, m); err != nil {
			b.Fatal(err)
		}
	}
	v.Observe("complaint")
	read(still, "battery_positive_post", "battery_negative_post", "settled")
	read(lamps, "battery_positive_post", "battery_negative_post", "settled")
	read(ignition, "battery_positive_post", "battery_negative_post", "at: 15 s")
	read(still, "battery_positive_post", "battery_negative_post", "settled")
	for _, probe := range [][2]string{
		{"battery_positive_post", "battery_negative_post"},
		{"battery_positive_post", "starter_feed_stud"},
		{"starter_case", "battery_negative_post"},
		{"battery_positive_post", "battery_positive_clamp"},
		{"battery_negative_clamp", "battery_negative_post"},
		{"engine_block", "body"},
		{"starter_feed_stud", "starter_motor_stud"},
		{"battery_positive_post", "trigger_terminal"},
	} {
		read(crank, probe[0], probe[1], "plateau")
	}
	v.Current("battery_negative_lead", "plateau", m)
	v.Observe("engine_turned")
}

// BenchmarkSteady solves one cranking state.
func BenchmarkSteady(b *testing.B) {
	v, _ := New(Standard("medium petrol"))
	v.state = state{key: keyStart, engine: cranking}
	for range b.N {
		v.crank()
	}
}
