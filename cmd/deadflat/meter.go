package main

import (
	"cmp"
	"fmt"
	"os"
	"strings"

	"deadflat/internal/engine"
	"deadflat/internal/source"
)

const meterHelp = "the `METER` readings are taken with: basic, workshop, calibrated, or the YAML file of\nyour own (default: the one in your kit)"

// usualMeter stands in when nobody said which meter it is.
const usualMeter = "workshop"

// chooseMeter takes the meter named by the flag, else the kit's, and notes it
// in the kit.
func chooseMeter(flag string, kit *engine.Kit) (*engine.Meter, error) {
	name := cmp.Or(flag, kit.Meter, usualMeter)
	kit.Meter = name
	if m := engine.FindMeter(name); m != nil {
		return m, nil
	}
	if !isMeterFile(name) {
		return nil, usage("%s", noMeter(name))
	}
	data, err := readBoundedFile(name)
	if err != nil {
		return nil, fmt.Errorf("meter %q: %w: name another with --meter", name, bare(err))
	}
	faults := &source.Faults{}
	m := engine.ReadMeter(name, data, faults)
	if !faults.Empty() {
		return nil, faultsError{faults}
	}
	return m, nil
}

func noMeter(name string) string {
	known := names(engine.Meters(), func(m *engine.Meter) string { return m.Name })
	return fmt.Sprintf("there is no meter %q%s: name one of %s, or a YAML file", name, source.DidYouMean(name, known), strings.Join(known, ", "))
}

// isMeterFile tells the path of a meter's file from the name of a shipped meter.
func isMeterFile(name string) bool {
	return isYAML(name) || strings.ContainsRune(name, os.PathSeparator)
}
