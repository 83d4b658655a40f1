package tests

import (
	"encoding/csv"
	"fmt"
	"io"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/expr-lang/expr"
	"github.com/expr-lang/expr/vm"
	"github.com/stretchr/testify/require"

	"deadflat/internal/engine"
	"deadflat/internal/eval"
)

// What the program is measured against: the same decisions written out by hand
// in Go on exact values, for the kinds of vehicle in fleet, and expr's own
// machine over a map. Neither knows doubt, staleness or hazard rules beyond what
// these vehicles need.

// fleetColumns are the columns of the fleet, numbers first.
var fleetColumns = []string{
	"battery_temp", "rest_voltage", "crank_voltage", "crank_current", "starter_voltage", "positive_drop", "earth_drop", "negative_joint_drop", "block_to_body", "load_voltage",
	"danger", "complaint", "positive_terminal", "negative_terminal", "battery_place", "may_start", "engine_class", "time_to_spare",
	"crank_danger", "engine_turned", "earth_lands", "chemistry", "battery_fitted", "found_flat",
}

const fleetNumbers = 10

// vehicleRow is one vehicle on exact values.
type vehicleRow struct {
	temp, rest, crank, amps, starter, pos, earth, negJoint, blockBody, load float64
	word                                                                    [14]string // the columns after the numbers
}

// fleet makes n vehicles of six kinds, no reading near a limit, as CSV rows.
func fleet(n int) [][]string {
	r := rand.New(rand.NewPCG(1, 2))
	f := func(lo, hi float64, places int) string {
		return strconv.FormatFloat(lo+r.Float64()*(hi-lo), 'f', places, 64)
	}
	rows := make([][]string, n)
	for i := range rows {
		word := []string{"none", "groans slowly", "clean and tight", "clean and tight", "bonnet", "yes", "medium petrol", "hours",
			"none", "slowly", "body", "flooded", "as asked", "no"}
		num := []string{f(12, 25, 0), f(12.55, 12.7, 2), f(11.1, 11.5, 2), f(150, 180, 1), f(10.95, 11.05, 2), f(0.1, 0.2, 3), f(0.1, 0.2, 3), "", "", f(10.2, 10.8, 2)}
		switch i % 6 {
		case 0: // engine strap
			num[4], num[6], num[7], num[8] = f(8.3, 8.8, 2), f(2.1, 2.6, 2), f(0.01, 0.03, 3), f(1.9, 2.1, 2)
		case 1: // cranks well, does not fire
			word[1], word[9] = "turns no fire", "normally"
		case 2: // no fault found
			word[1], word[9] = "starts now", "normally"
			num[2] = f(11.1, 11.2, 2)
		case 3: // flat: more is needed
			num[1] = f(11.4, 11.8, 2)
		case 4: // loose clamp
			word[2] = "loose"
		case 5: // worn out
			num[2] = f(8.6, 9.1, 2)
			num[9] = f(8.5, 9, 2)
		}
		rows[i] = append(num, word...)
	}
	return rows
}

// crankFloor is the floor of TM 5-4210-230-14&P-1, Table 5, by hand.
func crankFloor(t float64) float64 {
	x := [...]float64{-18, -12, -7, -1, 4, 10, 16, 21}
	y := [...]float64{8.5, 8.7, 8.9, 9.1, 9.3, 9.4, 9.5, 9.6}
	if t <= x[0] {
		return y[0]
	}
	for i := 1; i < len(x); i++ {
		if t <= x[i] {
			return y[i-1] + (t-x[i-1])/(x[i]-x[i-1])*(y[i]-y[i-1])
		}
	}
	return y[len(y)-1]
}

// byHand decides the vehicles of fleet, step by step as the tree does. It gives
// "" where more is needed.
func byHand(v *vehicleRow) string {
	w := &v.word
	danger, complaint, posT, negT, place, mayStart, class, crankDanger, turned, lands, chemistry, fitted, flat :=
		w[0], w[1], w[2], w[3], w[4], w[5], w[6], w[8], w[9], w[10], w[11], w[12], w[13]
	switch {
	case danger != "none":
		return "" // the list is judged word by word in the tree; this fleet has none
	case complaint == "spins too easily":
		return "no_compression"
	case complaint == "keeps running":
		return "starter_stuck_on"
	case complaint == "silent lamps bright":
		return ""
	case posT == "loose" || posT == "damaged":
		return "positive_joint"
	case negT == "loose" || negT == "damaged":
		return "negative_joint"
	case place == "two batteries", v.rest < 1 || v.rest > 13.1, mayStart != "yes", v.rest < 12:
		return ""
	case complaint == "after standing" || complaint == "fine after jump":
		return ""
	case crankDanger != "none":
		return "not_safe"
	case turned != "normally" && turned != "slowly", v.crank < 7:
		return ""
	}
	floor := crankFloor(v.temp)
	if v.crank < 9.6 && v.crank < floor {
		charged := 12.4
		switch chemistry {
		case "efb":
			charged = 12.45
		case "agm", "gel":
			charged = 12.6
		}
		charged += 0.0013 * (v.temp - 25)
		if v.load >= 3 && v.load < floor && v.rest >= charged {
			return "worn_out"
		}
		return ""
	}
	lost := v.crank - v.starter
	if turned == "normally" {
		top := map[string]float64{"small petrol": 250, "medium petrol": 300, "large petrol": 400, "small diesel": 500, "large diesel": 800}[class]
		switch {
		case complaint == "turns no fire" || complaint == "fires and dies":
			return "cranks_no_fire"
		case v.crank < 10.8 || v.amps > top:
			return ""
		case fitted == "smaller or lesser":
			return "wrong_battery"
		case flat == "yes":
			return "discharged"
		case lost > 0.5:
			return ""
		case complaint == "starts now":
			return "no_fault_found"
		}
		return "intermittent"
	}
	allowed := 0.002 * v.amps
	switch {
	case v.amps < 60, lost <= 2*allowed, v.pos > allowed, v.earth <= allowed:
		return ""
	case v.negJoint > 0.5*v.earth:
		return "negative_joint"
	case lands != "engine" && v.blockBody > 0.5*v.earth:
		return "engine_strap"
	}
	return "battery_earth_cable"
}

// scan reads one CSV row for byHand.
func scan(row []string, v *vehicleRow) error {
	to := [...]*float64{&v.temp, &v.rest, &v.crank, &v.amps, &v.starter, &v.pos, &v.earth, &v.negJoint, &v.blockBody, &v.load}
	for i, p := range to {
		*p = 0
		if row[i] == "" {
			continue
		}
		x, err := strconv.ParseFloat(row[i], 64)
		if err != nil {
			return err
		}
		*p = x
	}
	copy(v.word[:], row[fleetNumbers:])
	return nil
}

// handProgram is the hand-written program: the same CSV in, one line a vehicle out.
func handProgram(in io.Reader, out io.Writer) error {
	r := csv.NewReader(in)
	r.ReuseRecord = true
	if _, err := r.Read(); err != nil {
		return err
	}
	var v vehicleRow
	var line []byte
	for {
		row, err := r.Read()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		if err := scan(row, &v); err != nil {
			return err
		}
		line = append(append(line[:0], byHand(&v)...), '\n')
		if _, err := out.Write(line); err != nil {
			return err
		}
	}
}

// runner gives a runner and a way to put one row into it by the quick calls.
func fleetRunner(tb testing.TB) (*engine.Runner, func(row []string)) {
	lib, faults := engine.Load(shipped())
	if !faults.Empty() {
		tb.Fatal("the shipped trees have faults")
	}
	tree := lib.Tree("no-start")
	run := tree.NewRunner(engine.FindMeter("workshop"))
	cols := make([]engine.Column, len(fleetColumns))
	choice := make([]map[string]int, len(fleetColumns))
	for i, name := range fleetColumns {
		c, err := tree.Column(name)
		if err != nil {
			tb.Fatal(err)
		}
		cols[i], choice[i] = c, map[string]int{}
		for j, w := range c.Reading.Choices {
			choice[i][w] = j
		}
	}
	return run, func(row []string) {
		run.Reset()
		for i := range cols {
			if row[i] == "" {
				continue
			}
			if i < fleetNumbers {
				x, _ := strconv.ParseFloat(row[i], 64)
				run.PutNumber(cols[i], x)
			} else {
				run.PutChoice(cols[i], choice[i][row[i]])
			}
		}
	}
}

// TestTheFleetIsDecidedAlikeByHand: the comparison is one of equals.
func TestTheFleetIsDecidedAlikeByHand(t *testing.T) {
	run, put := fleetRunner(t)
	count := map[string]int{}
	for _, row := range fleet(3000) {
		var v vehicleRow
		require.NoError(t, scan(row, &v))
		put(row)
		got := ""
		if end := run.Run(); end.Finding != nil {
			got = end.Finding.ID
			require.Equal(t, engine.Firm, run.Certainty(), row)
		}
		require.Equal(t, byHand(&v), got, row)
		count[got]++
	}
	require.Len(t, count, 6)
}

// exprWalk walks the tree with expr's machine over a map: at each step the
// branches are asked in order until one holds.
type exprWalk struct {
	tree  *engine.Tree
	progs map[*engine.Branch]*vm.Program
	vm    vm.VM
	env   map[string]any
}

func newExprWalk(tb testing.TB, tree *engine.Tree) *exprWalk {
	x := &exprWalk{tree: tree, progs: map[*engine.Branch]*vm.Program{}, env: map[string]any{}}
	limits := map[string]any{}
	for _, l := range tree.Limits {
		limits[l.ID] = 0.0
	}
	x.env["limits"] = limits
	for _, r := range tree.Readings {
		switch {
		case r.Kind == eval.YesNo:
			x.env[r.ID] = false
		case r.Number():
			x.env[r.ID] = 0.0
		default:
			x.env[r.ID] = ""
		}
	}
	for _, v := range tree.Values {
		x.env[v.ID] = 0.0
	}
	x.env["known"] = func(v any) bool { return v != 0.0 }
	x.env["done"] = func(string) bool { return false }
	for _, s := range tree.Steps {
		for _, b := range s.Branches {
			if b.Guard == nil {
				continue
			}
			p, err := expr.Compile(asExpr(b.Guard.Program(), b.Guard.Root), expr.Env(x.env), expr.AsBool())
			if err != nil {
				tb.Fatal(err)
			}
			x.progs[b] = p
		}
	}
	return x
}

// asExpr writes a guard out for expr's machine.
func asExpr(p *eval.Program, n *eval.Node) string {
	switch n.Kind {
	case eval.Leaf:
		a := p.Atoms[n.Atom]
		switch a.Kind {
		case eval.OneOf:
			if a.Var.Kind == eval.YesNo {
				return a.Var.ID
			}
			words := a.Var.Words(a.Set)
			if len(words) == 1 {
				return fmt.Sprintf("%s == %q", a.Var.ID, words[0])
			}
			return fmt.Sprintf("%s in [\"%s\"]", a.Var.ID, strings.Join(words, `", "`))
		case eval.DoneIs:
			return `done("x")`
		}
		return a.Text
	case eval.Not:
		return "not (" + asExpr(p, n.Kids[0]) + ")"
	case eval.Always:
		return "true"
	}
	op := map[eval.NodeKind]string{eval.And: " and ", eval.Or: " or "}[n.Kind]
	parts := make([]string, len(n.Kids))
	for i, k := range n.Kids {
		parts[i] = "(" + asExpr(p, k) + ")"
	}
	return strings.Join(parts, op)
}

// put fills the map for one vehicle; limits and values that depend on readings
// are worked out by hand.
func (x *exprWalk) put(v *vehicleRow, row []string) {
	for i, name := range fleetColumns {
		switch _, yes := x.env[name].(bool); {
		case i < fleetNumbers:
		case yes:
			x.env[name] = row[i] == "yes"
		default:
			x.env[name] = row[i]
		}
	}
	for i, f := range [...]float64{v.temp, v.rest, v.crank, v.amps, v.starter, v.pos, v.earth, v.negJoint, v.blockBody, v.load} {
		x.env[fleetColumns[i]] = f
	}
	limits := x.env["limits"].(map[string]any)
	limits["crank_floor"], limits["load_floor"], limits["crank_top"] = crankFloor(v.temp), crankFloor(v.temp), 300.0
	x.env["charged_here"] = 12.4 + 0.0013*(v.temp-25)
	x.env["path_allowed"], x.env["both_allowed"], x.env["lost_on_way"] = 0.002*v.amps, 0.004*v.amps, v.crank-v.starter
	x.env["half_earth_drop"], x.env["half_positive_drop"] = 0.5*v.earth, 0.5*v.pos
}

// constants puts the limits that depend on nothing.
func (x *exprWalk) constants() {
	limits := x.env["limits"].(map[string]any)
	for _, l := range x.tree.Limits {
		if l.Table == nil && l.Cases == nil {
			limits[l.ID] = l.Is
		}
	}
}

func (x *exprWalk) run(tb testing.TB) string {
	s := x.tree.Begin
	for {
		var to engine.Target
		for _, b := range s.Branches {
			if p := x.progs[b]; p != nil {
				yes, err := x.vm.Run(p, x.env)
				if err != nil {
					tb.Fatal(s.ID, err)
				}
				if !yes.(bool) {
					continue
				}
			}
			to = b.To
			break
		}
		if to.Finding != nil {
			return to.Finding.ID
		}
		if to.Step == nil || to.Step.Kind == engine.Charge {
			return ""
		}
		s = to.Step
	}
}
