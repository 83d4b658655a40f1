package terminal

import (
	"bytes"
	_ "embed"
	"time"

	"deadflat/internal/engine"
)

//go:embed testdata/bench.yaml
var benchYAML []byte

//go:embed testdata/faults.yaml
var faultsYAML []byte

// bench is a walk of the short tree under testdata.
func bench() *engine.Walk { return walkOf(benchYAML) }

func walkOf(tree []byte) *engine.Walk {
	lib, faults := engine.Load([]engine.Source{{Name: "bench.yaml", Data: tree}, {Name: "faults.yaml", Data: faultsYAML}})
	if !faults.Empty() {
		var b bytes.Buffer
		faults.Print(&b)
		panic(b.String())
	}
	return engine.NewWalk(lib.Tree("bench"), engine.FindMeter("workshop"), engine.Kit{})
}

// testOptions are for a person whose clock stands still.
func testOptions() Options {
	at := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	return Options{Clock: func() time.Time { return at }, Save: func(engine.Event) error { return nil }}
}

func brief() Options {
	o := testOptions()
	o.Brief = true
	return o
}
