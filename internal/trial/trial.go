package trial

import (
	"context"
	"fmt"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/vehicle"
)

// Options say what is tried on what.
type Options struct {
	Tree       *engine.Tree
	Meter      *engine.Meter
	Kit        engine.Kit
	Vehicles   int
	Seed       uint64 // of the first vehicle; the next has the next one
	Population vehicle.Population
	Workers    int            // 0: one for each processor
	Progress   func(done int) // called now and then, by any worker; may be nil
}

// chunk is how many vehicles a worker takes at a time.
const chunk = 64

// Run tries the tree. The error is a word of the tree that the vehicle does not
// know, or the context's.
func Run(ctx context.Context, o Options) (*Report, error) {
	cases := make([]Case, o.Vehicles)
	workers := o.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var next, done atomic.Int64
	errs := make([]error, workers)
	var wait sync.WaitGroup
	for k := range workers {
		wait.Go(func() {
			for ctx.Err() == nil && errs[k] == nil {
				from := int(next.Add(chunk)) - chunk
				if from >= len(cases) {
					return
				}
				to := min(from+chunk, len(cases))
				for i := from; i < to && errs[k] == nil; i++ {
					cases[i], errs[k] = o.try(o.Seed + uint64(i))
				}
				if n := done.Add(int64(to - from)); o.Progress != nil {
					o.Progress(int(n))
				}
			}
		})
	}
	wait.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return o.sum(cases), nil
}

// Draw gives the vehicle of a seed, and the generator that its meters come from.
func Draw(seed uint64, pop vehicle.Population) (*vehicle.Vehicle, *rand.Rand) {
	rng := rand.New(rand.NewPCG(scatter(seed), scatter(^seed)))
	return vehicle.Draw(rng, pop), rng
}

// scatter spreads neighbouring seeds (the finalizer of SplitMix64; Steele, Lea and
// Flood, OOPSLA 2014).
func scatter(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// Begun is when the jobs of a trial begin: no clock comes into them.
var Begun = time.Date(2025, 1, 6, 8, 0, 0, 0, time.UTC)

func (o *Options) walk() *engine.Walk { return engine.NewWalk(o.Tree, o.Meter, o.Kit) }

func (o *Options) String() string {
	return fmt.Sprintf("tree %s, edition %d, %s meter", o.Tree.Name, o.Tree.Edition, o.Meter.Name)
}
