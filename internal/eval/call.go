package eval

import (
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"

	"deadflat/internal/calc"
	"deadflat/internal/source"
)

// Func is a function of the trade that a value may call. It is handed in from
// outside, so that nothing here knows of batteries.
type Func = calc.Function

// Call is a function with its arguments, each a sum or the name of a choice.
type Call struct {
	Func *Func
	Sums []*Linear // nil where the argument is a choice
	Vars []*Var    // nil where it is a sum
	Text string
}

// Over works the call out. It is not known when an argument is not, or when the
// arguments are impossible; Why tells the reason for that.
func (c *Call) Over(values []Value) Interval {
	in, _ := c.try(values)
	return in
}

// Why says why the call cannot be worked out with what is known; "" when it can,
// or when an answer is only missing.
func (c *Call) Why(values []Value) string {
	if _, err := c.try(values); err != nil {
		return err.Error()
	}
	return ""
}

func (c *Call) try(values []Value) (Interval, error) {
	args := make([]calc.Arg, len(c.Sums))
	assumed := false
	for i := range args {
		if v := c.Vars[i]; v != nil {
			val := &values[v.Slot]
			if !val.Known() {
				return Interval{}, nil
			}
			args[i].Words = v.Words(val.Set)
			continue
		}
		in := c.Sums[i].Over(values)
		if !in.Known {
			return Interval{}, nil
		}
		args[i].Range, assumed = in.Range, assumed || in.Assumed
	}
	r, err := c.Func.Over(args)
	if err != nil {
		return Interval{}, err
	}
	return Interval{Range: r, Known: true, Assumed: assumed}, nil
}

// vars lists the variables of the arguments.
func (c *Call) vars(out []*Var) []*Var {
	for i, s := range c.Sums {
		if s == nil {
			out = append(out, c.Vars[i])
			continue
		}
		out = s.vars(out)
	}
	return out
}

// Value compiles what a named value is, into the value: a sum, an extreme, or one call of a
// function. It reports false after a problem.
func (c *Compiler) Value(d *Derived, text string) bool {
	tree := c.read(text)
	if tree == nil {
		return false
	}
	if n, ok := tree.Node.(*ast.CallNode); ok {
		switch f := callee(n); {
		case extremes[f] != nil:
			if root := c.check(tree, text, false); root != nil {
				d.Extreme = (&builder{c: c, text: []rune(text)}).extreme(root)
			}
			return d.Extreme != nil
		case f != "" && f != "known" && f != "done":
			d.Call = c.call(n, n.Callee.(*ast.IdentifierNode), text)
			return d.Call != nil
		}
	}
	l := c.sum(c.check(tree, text, false), text)
	if l != nil {
		d.Alternatives = append(d.Alternatives, l)
	}
	return l != nil
}

// call builds the call of a function; nil after a problem.
func (c *Compiler) call(n *ast.CallNode, id *ast.IdentifierNode, text string) *Call {
	f := c.Scope.Func(id.Value)
	if f == nil {
		c.fault("unknown-name", id, "there is no function %q%s", id.Value, source.DidYouMean(id.Value, c.Scope.FuncNames()))
		return nil
	}
	params := f.Positional()
	need := slices.IndexFunc(params, func(p calc.Param) bool { return p.Optional })
	if need < 0 {
		need = len(params)
	}
	if len(n.Arguments) < need || len(n.Arguments) > len(params) {
		c.fault("wrong-arguments", n, "%s takes %s", f.Name, usage(params))
		return nil
	}
	before := len(c.Problems)
	call := &Call{Func: f, Text: text, Sums: make([]*Linear, len(n.Arguments)), Vars: make([]*Var, len(n.Arguments))}
	for i := range n.Arguments {
		if !c.allowed(&n.Arguments[i], 1) {
			return nil
		}
		c.argument(call, i, params[i], n.Arguments[i], text)
	}
	if len(c.Problems) > before {
		return nil
	}
	return call
}

func (c *Compiler) argument(call *Call, i int, p calc.Param, n ast.Node, text string) {
	b := builder{c: c, text: []rune(text)}
	if !p.Number() {
		v := b.variable(n)
		if v == nil || v.Number() {
			c.fault("wrong-arguments", n, "%s of %s is a choice; write the name of a reading with choices", p.Name, call.Func.Name)
			return
		}
		for _, w := range v.Choices {
			if !slices.Contains(p.Choices, w) {
				c.fault("wrong-arguments", n, "%s of %s knows no %q%s", p.Name, call.Func.Name, w, source.DidYouMean(w, p.Choices))
			}
		}
		call.Vars[i] = v
		return
	}
	l := b.sum(n)
	if l == nil {
		return
	}
	if dim := p.Measure().Dim; l.Dim != dim {
		c.fault("unit-mismatch", n, "%s of %s is %s, but %q is %s", p.Name, call.Func.Name, dim, b.slice(n), l.Dim)
		return
	}
	call.Sums[i] = l
}

// usage lists parameters in a sentence.
func usage(params []calc.Param) string {
	var all []string
	for _, p := range params {
		switch {
		case p.Optional:
			all = append(all, p.Name+" (may be left out)")
		case p.Number():
			all = append(all, p.Name+" ("+p.Unit+")")
		default:
			all = append(all, p.Name)
		}
	}
	return strings.Join(all, ", ")
}
