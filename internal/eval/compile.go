package eval

import (
	"fmt"
	"reflect"
	"strings"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/checker"
	"github.com/expr-lang/expr/conf"
	"github.com/expr-lang/expr/file"
	"github.com/expr-lang/expr/parser"

	"deadflat/internal/source"
)

// What an expression may cost before it is even read.
const (
	MaxLength = 2048 // bytes
	MaxDepth  = 32   // brackets inside brackets, and nodes under nodes
	maxNodes  = 500
)

// Problem is a fault found in an expression. From and To are rune offsets into
// its text.
type Problem struct {
	Rule     string
	From, To int
	Message  string
	Name     string // what is not declared, where that is the fault
}

// Scope resolves the names an expression may use. A nil result means the name
// is not declared.
type Scope interface {
	Var(name string) *Var         // "rest_voltage"
	Take(step, name string) *Var  // "recheck.rest_voltage"; nil when the step takes no such reading
	Limit(name string) *Limit     // of "limits.NAME"
	Derived(name string) *Derived // a value
	Step(name string) int         // index, or -1
	Func(name string) *Func       // a registered function
	FuncNames() []string
	Names() []string // every bare name, for "did you mean"
	LimitNames() []string
	StepNames() []string
	Env() map[string]any // sample values for expr's type check, keys as in the expression
}

// Compiler builds the guards of one step into one program.
type Compiler struct {
	Scope    Scope
	Problems []Problem
	prog     *Program
	atoms    map[string]int
	groups   map[string]*Node
	cfg      *conf.Config
	text     string // the expression that is being compiled
	choice   string // the last comparison of a choice that names met, as a list of one: kind in ["agm"
}

// NewCompiler compiles for one scope, one step after another.
func NewCompiler(s Scope) *Compiler {
	c := &Compiler{Scope: s}
	c.Next()
	return c
}

// Next starts the program of another step in the same scope.
func (c *Compiler) Next() {
	c.prog, c.atoms, c.groups = &Program{}, map[string]int{}, map[string]*Node{}
}

// Program is what has been compiled so far.
func (c *Compiler) Program() *Program { return c.prog }

func (c *Compiler) fault(rule string, n ast.Node, format string, args ...any) {
	from, to := n.Location().From, n.Location().To
	if to <= from {
		to = from + 1
	}
	c.problem(rule, from, to, format, args...)
}

func (c *Compiler) problem(rule string, from, to int, format string, args ...any) {
	c.Problems = append(c.Problems, Problem{Rule: rule, From: from, To: to, Message: fmt.Sprintf(format, args...)})
}

// unknown books a name that is not declared.
func (c *Compiler) unknown(n ast.Node, name, format string, args ...any) {
	c.fault("unknown-name", n, format, args...)
	c.Problems[len(c.Problems)-1].Name = name
}

// Guard compiles one expression that must be true or false. It returns nil when
// there was a problem.
func (c *Compiler) Guard(text string) *Guard {
	before := len(c.Problems)
	root := c.parse(text, true)
	if root == nil {
		return nil
	}
	b := builder{c: c, text: []rune(text)}
	node := b.boolean(root)
	if len(c.Problems) > before {
		return nil
	}
	return c.AddGuard(text, node)
}

// AddGuard makes a guard of a structure over atoms already in the program.
func (c *Compiler) AddGuard(text string, root *Node) *Guard {
	g := &Guard{Text: text, Root: root, prog: c.prog}
	seen := map[*Var]bool{}
	var walk func(n *Node)
	walk = func(n *Node) {
		for _, k := range n.Kids {
			walk(k)
		}
		if n.Kind != Leaf {
			return
		}
		for _, v := range c.prog.Atoms[n.Atom].Vars() {
			if !seen[v] {
				seen[v] = true
				g.Vars = append(g.Vars, v)
			}
		}
	}
	walk(root)
	c.prog.Guards = append(c.prog.Guards, g)
	return g
}

// Vars lists the variables the atom looks at.
func (a *Atom) Vars() []*Var {
	switch a.Kind {
	case Compare:
		return a.Diff.vars(nil)
	case DoneIs:
		return nil
	}
	return []*Var{a.Var}
}

// Sum compiles an expression that must be a sum of readings times limits. It
// returns nil when there was a problem.
func (c *Compiler) Sum(text string) *Linear { return c.sum(c.parse(text, false), text) }

func (c *Compiler) sum(root ast.Node, text string) *Linear {
	if root == nil {
		return nil
	}
	before := len(c.Problems)
	b := builder{c: c, text: []rune(text)}
	l := b.sum(root)
	if len(c.Problems) > before {
		return nil
	}
	l.Text = text
	return l
}

// By compiles what bands go by: a sum, or an extreme. It returns nil when there was
// a problem.
func (c *Compiler) By(text string) *Operand {
	root := c.parse(text, false)
	if root == nil {
		return nil
	}
	before := len(c.Problems)
	b := builder{c: c, text: []rune(text)}
	s := Operand{Extreme: b.extreme(root)}
	if s.Extreme == nil && len(c.Problems) == before {
		s.Linear = c.sum(root, text)
	}
	if s == (Operand{}) {
		return nil
	}
	return &s
}

// Below builds "value < limit"; nil when the units differ, with the fault placed in the
// text of the limit's name.
func (c *Compiler) Below(value *Operand, limit *Linear) *Node {
	if value.dim() != limit.Dim {
		c.problem("unit-mismatch", 0, len([]rune(limit.Text)), "%s is %s, but %s is %s", limit.Text, limit.Dim, value.text(), value.dim())
		return nil
	}
	return c.compareNode(*value, Operand{Linear: limit}, "<")
}

// IsOneOf adds the atom "the choice of v lies in set".
func (c *Compiler) IsOneOf(v *Var, set uint64, text string) int {
	return c.atom(&Atom{Kind: OneOf, Var: v, Set: set, Text: text})
}

// read checks the size and lets expr parse; nil after a problem.
func (c *Compiler) read(text string) *parser.Tree {
	if len(text) > MaxLength {
		c.problem("too-large", 0, 1, "this expression has %d bytes; at most %d are allowed", len(text), MaxLength)
		return nil
	}
	if at := tooDeep(text); at >= 0 {
		c.problem("too-large", at, at+1, "brackets are nested more than %d deep", MaxDepth)
		return nil
	}
	if c.cfg == nil {
		c.cfg = c.config()
	}
	c.text = text
	tree, err := parser.ParseWithConfig(text, c.cfg)
	if err != nil {
		c.syntax(err, text)
		return nil
	}
	return tree
}

// parse reads an expression, refuses whatever lies outside the part of the language
// that is allowed, and lets expr check the types.
func (c *Compiler) parse(text string, wantBool bool) ast.Node {
	if tree := c.read(text); tree != nil {
		return c.check(tree, text, wantBool)
	}
	return nil
}

func (c *Compiler) check(tree *parser.Tree, text string, wantBool bool) ast.Node {
	if !c.allowed(&tree.Node, 0) {
		return nil
	}
	c.cfg.Expect = reflect.Invalid
	if wantBool {
		c.cfg.Expect = reflect.Bool
	}
	if _, err := checker.Check(tree, c.cfg); err != nil {
		c.syntax(err, text)
		return nil
	}
	return tree.Node
}

// allowed reports whether the node holds only what may stand in an expression, with
// names that are declared. Names with a point in them become one.
func (c *Compiler) allowed(n *ast.Node, depth int) bool {
	before := len(c.Problems)
	c.choice = ""
	if c.allow(*n, depth); len(c.Problems) == before {
		ast.Walk(n, flatten{})
		c.names(*n, false)
	}
	return len(c.Problems) == before
}

// config is expr set up for one scope, made once: no functions of expr's own,
// the names of the tree with sample values.
func (c *Compiler) config() *conf.Config {
	env := c.Scope.Env()
	for f, of := range extremes {
		env[f+calledSuffix] = of
	}
	cfg := conf.New(env)
	cfg.MaxNodes = maxNodes
	cfg.Optimize = false
	for name := range cfg.Builtins {
		cfg.Disabled[name] = true
	}
	cfg.Builtins = conf.FunctionsTable{}
	cfg.DisableIfOperator = true
	return cfg
}

// flatten turns a.b into one name with a point in it, so that a step and a
// reading may share a word, and tells the functions from names.
type flatten struct{}

func (flatten) Visit(n *ast.Node) {
	if call, ok := (*n).(*ast.CallNode); ok && extremes[callee(call)] != nil {
		call.Callee.(*ast.IdentifierNode).Value = callee(call) + calledSuffix
		return
	}
	m, ok := (*n).(*ast.MemberNode)
	if !ok {
		return
	}
	head, name := m.Node.(*ast.IdentifierNode), m.Property.(*ast.StringNode)
	id := &ast.IdentifierNode{Value: head.Value + "." + name.Value}
	id.SetLocation(file.Location{From: head.Location().From, To: max(name.Location().To, head.Location().To)})
	*n = id
}

// tooDeep gives the rune offset of the bracket that goes too deep, or -1.
func tooDeep(text string) int {
	depth := 0
	for at, r := range []rune(text) {
		switch r {
		case '(', '[', '{':
			if depth++; depth > MaxDepth {
				return at
			}
		case ')', ']', '}':
			depth--
		}
	}
	return -1
}

// names reports every name that is not declared, before anything is made of
// them. inDone is set inside done(...), where a step is named.
func (c *Compiler) names(n ast.Node, inDone bool) {
	switch n := n.(type) {
	case *ast.IdentifierNode:
		if head, name, ok := strings.Cut(n.Value, "."); ok {
			c.checkMember(n, head, name)
			return
		}
		c.checkName(n, inDone)
	case *ast.CallNode:
		done := callee(n) == "done"
		for _, a := range n.Arguments {
			c.names(a, done)
		}
	case *ast.UnaryNode:
		c.names(n.Node, false)
	case *ast.BinaryNode:
		if c.wordSlip(n) {
			return
		}
		c.operand(n, n.Left)
		c.operand(n, n.Right)
		b := &builder{c: c}
		if v := b.variable(n.Left); n.Operator == "in" && v != nil && !v.Number() {
			if word, ok := n.Right.(*ast.StringNode); ok {
				c.fault("not-allowed", word, "a list stands in brackets; write %s in [%q]", v.ID, word.Value)
			}
		}
		if v := b.variable(n.Right); n.Operator == "in" && v != nil && !v.Many() {
			c.fault("not-allowed", n, `%s is not a reading with several choices; write %s == "..."`, v.ID, v.ID)
		}
	case *ast.ArrayNode:
		for _, k := range n.Nodes {
			c.names(k, false)
		}
	}
}

func (c *Compiler) checkName(n *ast.IdentifierNode, inDone bool) {
	s := c.Scope
	switch {
	case inDone:
		if s.Step(n.Value) < 0 {
			c.unknown(n, n.Value, "%q is not a step%s", n.Value, source.DidYouMean(n.Value, s.StepNames()))
		}
	case s.Var(n.Value) != nil || s.Derived(n.Value) != nil:
	case s.Limit(n.Value) != nil:
		c.fault("unknown-name", n, `%q is a limit; write "limits.%s"`, n.Value, n.Value)
	default:
		c.unknown(n, n.Value, "%q is not a declared reading or value%s", n.Value, source.DidYouMean(n.Value, s.Names()))
	}
}

func (c *Compiler) checkMember(n ast.Node, head, name string) {
	s := c.Scope
	switch {
	case head == "limits":
		if s.Limit(name) == nil {
			c.unknown(n, name, "%q is not a declared limit%s", name, source.DidYouMean(name, s.LimitNames()))
		}
	case s.Step(head) < 0:
		c.unknown(n, head, "%q is not a step%s", head, source.DidYouMean(head, append(s.StepNames(), "limits")))
	case s.Var(name) == nil:
		c.unknown(n, name, "%q is not a declared reading%s", name, source.DidYouMean(name, s.Names()))
	case s.Take(head, name) == nil:
		c.fault("unknown-name", n, "step %q does not take %q", head, name)
	}
}

var allowedBinary = map[string]bool{
	"<": true, "<=": true, ">": true, ">=": true, "==": true, "!=": true,
	"+": true, "-": true, "*": true, "and": true, "&&": true, "or": true, "||": true, "in": true,
}

// allow books what may not stand in an expression.
func (c *Compiler) allow(n ast.Node, depth int) {
	if depth > MaxDepth {
		c.fault("too-large", n, "this expression is nested more than %d deep", MaxDepth)
		return
	}
	switch n := n.(type) {
	case *ast.IdentifierNode, *ast.IntegerNode, *ast.FloatNode, *ast.StringNode:
	case *ast.BoolNode:
		c.fault("not-allowed", n, "true and false are not used in guards; write the name of a yes-or-no reading, or not and its name")
	case *ast.UnaryNode:
		if n.Operator != "not" && n.Operator != "!" && n.Operator != "-" {
			c.fault("not-allowed", n, "%q is not used in guards", n.Operator)
		}
		c.allow(n.Node, depth+1)
	case *ast.BinaryNode:
		c.allowBinary(n, depth)
	case *ast.MemberNode:
		_, head := n.Node.(*ast.IdentifierNode)
		_, name := n.Property.(*ast.StringNode)
		if !head || !name || n.Optional {
			c.fault("not-allowed", n, `only "limits.NAME" and "step.reading" may have a point in them`)
		}
	case *ast.CallNode:
		c.allowCall(n, depth)
	case *ast.ArrayNode:
		for _, k := range n.Nodes {
			if _, ok := k.(*ast.StringNode); !ok {
				c.fault("not-allowed", k, "a list after in holds choices in quotes only")
			}
		}
	default:
		c.fault("not-allowed", n, "this kind of expression is not part of the tree language")
	}
}

func (c *Compiler) allowBinary(n *ast.BinaryNode, depth int) {
	switch {
	case n.Operator == "/":
		c.fault("not-linear", n, "a quotient is for showing, not for deciding; compare with an allowed value instead (limit times reading)")
	case n.Operator == "..":
		c.fault("not-allowed", n, `a range "a..b" means whole numbers only; write "a <= x and x < b"`)
	case !allowedBinary[n.Operator]:
		c.fault("not-allowed", n, "%q is not used in guards", n.Operator)
	}
	if n.Operator == "==" || n.Operator == "!=" {
		name, isName := n.Left.(*ast.IdentifierNode)
		truth, isTruth := n.Right.(*ast.BoolNode)
		if isName && isTruth {
			c.fault("not-allowed", n, "a yes-or-no reading is true or false by itself; write %s%s", notIf(truth.Value == (n.Operator == "!=")), name.Value)
			return
		}
	}
	c.allow(n.Left, depth+1)
	c.allow(n.Right, depth+1)
}

func (c *Compiler) allowCall(n *ast.CallNode, depth int) {
	f := callee(n)
	switch {
	case extremes[f] != nil:
		c.allowExtreme(n, f, depth)
		return
	case f != "known" && f != "done":
		c.fault("not-allowed", n, "only known(reading), done(step), and highest, lowest and spread of readings may be called")
		return
	case len(n.Arguments) != 1:
		c.fault("not-allowed", n, "%s takes one name in its brackets", f)
		return
	}
	switch n.Arguments[0].(type) {
	case *ast.IdentifierNode:
	case *ast.MemberNode:
		if f == "done" {
			c.fault("not-allowed", n.Arguments[0], "done takes the name of a step")
		}
	default:
		c.fault("not-allowed", n.Arguments[0], "%s takes a name in its brackets", f)
	}
	c.allow(n.Arguments[0], depth+1)
}
