package main

import (
	"math"
	"slices"

	"deadflat/internal/eval"
	"deadflat/internal/leadacid"
	"deadflat/internal/unit"
)

// callable lists the functions of the trade that a tree's values may call, with
// the unit of what they give: those whose answer is a single number.
var callable = map[string]string{
	"charge_from_voltage":   "%",
	"voltage_from_charge":   "V",
	"corrected_gravity":     "1",
	"charge_from_gravity":   "%",
	"voltage_from_gravity":  "V",
	"freezing_point":        "°C",
	"load_floor":            "V",
	"crank_floor":           "V",
	"reserve_from_capacity": "min",
	"capacity_from_reserve": "Ah",
	"cable_drop":            "V",
	"current_by_cable":      "A",
	"current_by_shunt":      "A",
	"charging_current":      "A",
	"charging_voltage":      "V",
	"gassing_voltage":       "V",
	"gassing_temperature":   "°C",
	"draw_limit":            "mA",
	"fuse_current":          "mA",
	"days_until_no_start":   "d",
}

// tradeFunctions hands the trade's arithmetic to the trees.
func tradeFunctions() []*eval.Func {
	var out []*eval.Func
	for _, f := range leadacid.All() {
		if gives, ok := callable[f.Name]; ok {
			out = append(out, evalFunc(f, gives))
		}
	}
	return out
}

func evalFunc(f *leadacid.Function, gives string) *eval.Func {
	u, _ := unit.Lookup(gives)
	e := &eval.Func{Name: f.Name, Unit: u, Source: f.Source.Text}
	for _, p := range f.Params {
		q := eval.Param{Name: p.Name, Choices: p.Choices, Optional: p.Optional}
		if p.Number() {
			q.Unit, _ = unit.Lookup(p.Unit)
		}
		e.Params = append(e.Params, q)
	}
	slices.SortStableFunc(e.Params, func(a, b eval.Param) int { return order(a.Optional) - order(b.Optional) })
	e.Of = func(args []eval.Arg) (eval.Interval, error) { return work(f, e, args) }
	return e
}

// order puts what must be given first.
func order(optional bool) int {
	if optional {
		return 1
	}
	return 0
}

// work runs the function for every combination of the words that are left, and
// gives the range over all of them.
func work(f *leadacid.Function, e *eval.Func, args []eval.Arg) (eval.Interval, error) {
	given := leadacid.Args{}
	for i, a := range args {
		if p := e.Params[i]; p.Choices == nil {
			given[p.Name] = leadacid.Arg{Range: leadacid.Range{Lo: p.Unit.From(a.Lo), Best: p.Unit.From(a.Best), Hi: p.Unit.From(a.Hi)}}
		}
	}
	all := eval.Interval{Lo: math.Inf(1), Hi: math.Inf(-1)}
	err := eachWord(e.Params[:len(args)], args, given, func() error {
		r, err := f.Run(given)
		if err != nil {
			return err
		}
		v := r.Values[0].Range
		all.Lo, all.Hi = min(all.Lo, e.Unit.Base(v.Lo)), max(all.Hi, e.Unit.Base(v.Hi))
		all.Best = e.Unit.Base(v.Best)
		return nil
	})
	if err == nil && (all.Best < all.Lo || all.Best > all.Hi) {
		all.Best = (all.Lo + all.Hi) / 2
	}
	return all, err
}

// eachWord calls do with every combination of the words left put into given.
func eachWord(params []eval.Param, args []eval.Arg, given leadacid.Args, do func() error) error {
	for i, p := range params {
		if p.Choices == nil {
			continue
		}
		for _, w := range args[i].Words {
			given[p.Name] = leadacid.Arg{Word: w}
			if err := eachWord(params[i+1:], args[i+1:], given, do); err != nil {
				return err
			}
		}
		return nil
	}
	return do()
}
