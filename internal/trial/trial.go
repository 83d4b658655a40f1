package trial

import (
	"context"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"deadflat/internal/engine"
	"deadflat/internal/mechanic"
	"deadflat/internal/vehicle"
)

// Options say what is tried on what.
type Options struct {
	Tree       *engine.Tree
	Meter      *engine.Meter
	Kit        engine.Kit
	Vehicles   int
	Seed       uint64 // of the first vehicle; the next has the next one
	Population Population
	Workers    int             // 0: one for each processor
	Learn      int             // vehicles to learn the bound from; 0: it is not worked out
	Library    *engine.Library // of the trees that findings lead to
	Progress   func(done int)  // called now and then, by any worker, up to Total; may be nil
}

// Run tries the tree. The error is a word of the tree that the vehicle does not
// know, or the context's.
func Run(ctx context.Context, o Options) (*Report, error) {
	cases := make([]Case, o.Vehicles)
	b := bench{o: &o, ctx: ctx}
	err := b.all(len(cases), func(i int) (err error) {
		cases[i], err = o.try(o.Seed + uint64(i))
		return err
	})
	if err != nil {
		return nil, err
	}
	report := o.sum(cases)
	if o.Learn > 0 {
		if report.Bound, err = o.bound(&b, cases); err != nil {
			return nil, err
		}
	}
	return report, nil
}

// Total is how many vehicles Progress counts up to: those that are tried, and for the
// bound those that are learnt from and those that are called.
func (o *Options) Total() int { return o.Vehicles + o.Learn + min(o.Learn, o.Vehicles) }

// bench shares work out to the workers and counts what is done.
type bench struct {
	o    *Options
	ctx  context.Context
	done atomic.Int64
}

// all does something for each number under n. It ends early with an error, or the
// context's.
func (b *bench) all(n int, do func(int) error) error {
	var failed atomic.Pointer[error]
	each(n, b.o.workers(), func(i int) {
		if b.ctx.Err() != nil || failed.Load() != nil {
			return
		}
		if err := do(i); err != nil {
			failed.CompareAndSwap(nil, &err)
		}
		if done := b.done.Add(1); b.o.Progress != nil && done%told == 0 {
			b.o.Progress(int(done))
		}
	})
	if err := failed.Load(); err != nil {
		return *err
	}
	return b.ctx.Err()
}

// told is after how many vehicles progress is told.
const told = 64

// each does something for every number under n, several at a time.
func each(n, workers int, do func(int)) {
	var next atomic.Int64
	var wait sync.WaitGroup
	for range workers {
		wait.Go(func() {
			for i := next.Add(1) - 1; i < int64(n); i = next.Add(1) - 1 {
				do(int(i))
			}
		})
	}
	wait.Wait()
}

func (o *Options) workers() int {
	if o.Workers > 0 {
		return o.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// Draw gives the vehicle of a seed, and the generator that meters and people come from,
// which is one of its own: the same vehicle is met by other people and the other way
// round.
func Draw(seed uint64, pop vehicle.Population) (*vehicle.Vehicle, *rand.Rand) {
	a, b := scatter(seed), scatter(^seed)
	return vehicle.Draw(rand.New(rand.NewPCG(a, b)), pop), rand.New(rand.NewPCG(b, a))
}

// job puts somebody at the vehicle of a seed, with what they have.
func (o *Options) job(seed uint64) (*mechanic.Mechanic, engine.Kit) {
	v, rng := Draw(seed, o.Population.Population)
	p, kit := o.Population.People.Draw(rng), o.Kit
	if kit.Has == nil {
		kit.Has = p.Kit(o.Equipment())
	} else {
		kit.Has = p.Kit(kit.Has)
	}
	return mechanic.New(v, o.Meter, rng, Begun).By(p), kit
}

// Equipment are the words for what a kit may hold, of all trees of the job.
func (o *Options) Equipment() (all []string) {
	for _, t := range o.trees() {
		for _, tool := range t.Words.Equipment {
			if !slices.Contains(all, tool) {
				all = append(all, tool)
			}
		}
	}
	return all
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

func (o *Options) walk(kit engine.Kit) *engine.Walk {
	w := engine.NewWalk(o.Tree, o.Meter, kit)
	w.Quiet()
	return w
}
