package vehicle

// What is told or tried by hand in the trees for faults that come and go, for two
// batteries, for a battery in the boot and for starting with help.
func init() {
	for name, look := range map[string]func(*Vehicle) string{
		"boot_opens":       func(*Vehicle) string { return "yes" },
		"vent_pipe":        func(*Vehicle) string { return "led outside" },
		"works_now":        func(v *Vehicle) string { return yes(v.engineTurned() == "normally") },
		"fails_provoked":   func(v *Vehicle) string { return yes(v.par.Loose > 0) },
		"fails_when":       func(v *Vehicle) string { return word(v.par.Loose > 0, "shaken", "no pattern") },
		"wiggle":           func(v *Vehicle) string { return word(v.par.Loose > 0, "positive joint", "nothing") },
		"collapsed_before": func(*Vehicle) string { return "not known" },
		"helping_battery":  func(*Vehicle) string { return "booster" },
		"posts_to_use":     func(v *Vehicle) string { return word(v.par.Rear, "jump posts", "battery itself") },
		"jump_turned":      (*Vehicle).jumpTurned,
		"arrangement":      func(*Vehicle) string { return "side by side" },
		"second_case":      func(*Vehicle) string { return "sound and dry" },
		"plus_on_plus":     func(v *Vehicle) string { return yes(!v.par.Battery.Reversed) },
	} {
		if _, known := observations[name]; !known {
			observations[name] = look
		}
	}
}

// jumpTurned is what the engine does with the booster connected.
func (v *Vehicle) jumpTurned() string {
	k := v.suppose(func(w *Vehicle) { w.attached.booster = true })
	switch {
	case v.state.engine >= idling || v.fires(&k):
		return "starts"
	case k.outcome == Turns && k.speed >= slow*v.expected():
		return "turns well no fire"
	case k.outcome == Turns:
		return "slowly"
	}
	return "clunk or nothing"
}
