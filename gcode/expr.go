package gcode

// The names of functions and of operators that are words, upper case.
var (
	functions = map[string]Op{
		"ATAN": OpAtan, "ABS": OpAbs, "ACOS": OpAcos, "ASIN": OpAsin, "COS": OpCos,
		"EXP": OpExp, "FIX": OpFix, "FUP": OpFup, "LN": OpLn, "ROUND": OpRound,
		"SIN": OpSin, "SQRT": OpSqrt, "TAN": OpTan,
	}
	wordOperators = map[string]Op{"MOD": OpMod, "OR": OpOr, "XOR": OpXor, "AND": OpAnd}
)

// maxName is the length of the longest name above.
const maxName = 5

// node returns a new expression node with the life of the block.
func (r *Reader) node(op Op, at int) *Expr {
	if len(r.exprs) == cap(r.exprs) {
		// Nodes in use point into the old storage, which lives on until they go.
		const first = 32
		r.exprs = make([]Expr, 0, max(first, 2*cap(r.exprs)))
	}
	r.exprs = append(r.exprs, Expr{Op: op, Pos: Pos{r.line, at + 1}})
	return &r.exprs[len(r.exprs)-1]
}

// real reads a real value from text[i:]: a number, a parameter, a bracket or a
// function.
func (r *Reader) real(text []byte, i, at, depth int) (*Expr, int, *Error) {
	i = skipSpace(text, i)
	if i == len(text) {
		return nil, 0, r.fail(at+1, "a value is missing after %q: write its number", string(upper(text[at])))
	}
	if depth > MaxDepth {
		return nil, 0, r.fail(i+1, "the expression is nested deeper than %d: split it over several settings", MaxDepth)
	}
	c := text[i]
	switch {
	case class[c]&startsNumber != 0:
		v, j, err := r.number(text, i)
		if err != nil {
			return nil, 0, err
		}
		e := r.node(OpNumber, i)
		e.Num = v
		return e, j, nil
	case c == '#':
		x, j, err := r.real(text, i+1, i, depth+1)
		if err != nil {
			return nil, 0, err
		}
		e := r.node(OpParameter, i)
		e.X = x
		return e, j, nil
	case c == '[':
		return r.bracket(text, i, depth+1)
	case class[c]&isLetter != 0:
		return r.function(text, i, depth+1)
	}
	return nil, 0, r.fail(i+1, "a value is missing after %q: %s cannot begin one", string(upper(text[at])), quoteByte(c))
}

// bracket reads an expression in brackets; text[i] is the opening one.
func (r *Reader) bracket(text []byte, i, depth int) (*Expr, int, *Error) {
	at := i
	e, i, err := r.chain(text, i+1, at, 1, depth)
	if err != nil {
		return nil, 0, err
	}
	i = skipSpace(text, i)
	if i == len(text) {
		return nil, 0, r.fail(at+1, "the bracket is not closed: ] is missing")
	}
	if text[i] != ']' {
		return nil, 0, r.fail(i+1, "an operator or ] is expected, not %s: the operators are ** * / MOD + - OR XOR AND", quoteByte(text[i]))
	}
	return e, i + 1, nil
}

// chain reads values joined by operators that bind at least as tightly as
// level. All operators associate to the left.
func (r *Reader) chain(text []byte, i, at, level, depth int) (*Expr, int, *Error) {
	x, i, err := r.real(text, i, at, depth)
	if err != nil {
		return nil, 0, err
	}
	for {
		i = skipSpace(text, i)
		op, j := operator(text, i)
		if op.level() < level {
			return x, i, nil
		}
		// Numbers are nodes with a position too, so e is made after its operands.
		y, k, err := r.chain(text, j, j-1, op.level()+1, depth)
		if err != nil {
			return nil, 0, err
		}
		e := r.node(op, i)
		e.X, e.Y = x, y
		x, i = e, k
	}
}

// operator returns the operator at text[i] and where it ends, or OpNumber.
func operator(text []byte, i int) (Op, int) {
	if i == len(text) {
		return OpNumber, i
	}
	switch text[i] {
	case '+':
		return OpPlus, i + 1
	case '-':
		return OpMinus, i + 1
	case '/':
		return OpDivide, i + 1
	case '*':
		if j := skipSpace(text, i+1); j < len(text) && text[j] == '*' {
			return OpPower, j + 1
		}
		return OpTimes, i + 1
	}
	// A function may follow at once, as in 2MODSIN[3].
	for n := 3; n >= 2; n-- {
		if short, k := readNameOf(text, i, n); len(short) == n {
			if op, ok := wordOperators[short]; ok {
				return op, k
			}
		}
	}
	return OpNumber, i
}

// readName returns the letters from text[i] on in upper case, spaces left out,
// and where they end. More letters than any name has are cut off.
func readName(text []byte, i int) (string, int) { return readNameOf(text, i, maxName+1) }

func readNameOf(text []byte, i, n int) (string, int) {
	var name [maxName + 1]byte
	k := 0
	for i < len(text) && k < n {
		if class[text[i]]&isSpace != 0 {
			i++
			continue
		}
		if class[text[i]]&isLetter == 0 {
			break
		}
		name[k] = upper(text[i])
		k++
		i++
	}
	return string(name[:k]), i
}

// function reads a function call; text[i] is its first letter.
func (r *Reader) function(text []byte, i, depth int) (*Expr, int, *Error) {
	at := i
	name, i := readName(text, i)
	op, ok := functions[name]
	if !ok {
		return nil, 0, r.fail(at+1, "unknown function %q: the functions are ABS ACOS ASIN ATAN COS EXP FIX FUP LN ROUND SIN SQRT TAN", name)
	}
	if i = skipSpace(text, i); i == len(text) || text[i] != '[' {
		return nil, 0, r.fail(at+1, "[ is missing after %s: put its operand in [ ]", name)
	}
	x, i, err := r.bracket(text, i, depth)
	if err != nil {
		return nil, 0, err
	}
	var y *Expr
	if op == OpAtan {
		if i = skipSpace(text, i); i == len(text) || text[i] != '/' {
			return nil, 0, r.fail(at+1, "/ is missing after the first bracket of ATAN: write ATAN[y]/[x]")
		}
		if i = skipSpace(text, i+1); i == len(text) || text[i] != '[' {
			return nil, 0, r.fail(at+1, "the second bracket of ATAN is missing: write ATAN[y]/[x]")
		}
		if y, i, err = r.bracket(text, i, depth); err != nil {
			return nil, 0, err
		}
	}
	e := r.node(op, at)
	e.X, e.Y = x, y
	return e, i, nil
}
