package gcode

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// A slow and simple second reading of expressions checks the parser: the text is
// stripped of space, cut into tokens by a regular expression and put in order by
// Dijkstra's shunting yard (E. W. Dijkstra, "Making a translator for ALGOL 60",
// 1961), with the levels of NISTIR 6556, section 3.3.2.3 (from memory).

var oracleToken = regexp.MustCompile(`^(?:[0-9]+\.?[0-9]*|\.[0-9]+|\*\*|[-+*/#\[\]]|MOD|XOR|OR|AND|ATAN|ABS|ACOS|ASIN|COS|EXP|FIX|FUP|LN|ROUND|SIN|SQRT|TAN)`)

var oracleLevel = map[string]int{"**": 3, "*": 2, "/": 2, "MOD": 2, "+": 1, "-": 1, "OR": 1, "XOR": 1, "AND": 1}

// oracle returns the tree of the value text, written as tree writes it.
func oracle(text string) string {
	text = strings.ToUpper(strings.NewReplacer(" ", "", "\t", "").Replace(text))
	var tokens []string
	for text != "" {
		tok := oracleToken.FindString(text)
		if tok == "" {
			panic("no token in " + text)
		}
		text = text[len(tok):]
		// A sign where a value is due belongs to the number behind it.
		due := len(tokens) == 0 || tokens[len(tokens)-1] == "[" || tokens[len(tokens)-1] == "#" || oracleLevel[tokens[len(tokens)-1]] > 0
		if (tok == "-" || tok == "+") && due {
			n := oracleToken.FindString(text)
			text = text[len(n):]
			if tok == "-" {
				n = "-" + n
			}
			tok = n
		}
		tokens = append(tokens, tok)
	}
	var values, ops []string
	pop := func() string {
		v := values[len(values)-1]
		values = values[:len(values)-1]
		return v
	}
	apply := func() {
		op := ops[len(ops)-1]
		ops = ops[:len(ops)-1]
		switch {
		case op == "#":
			values = append(values, fmt.Sprintf("(# %s )", pop()))
		case oracleLevel[op] > 0:
			y, x := pop(), pop()
			values = append(values, fmt.Sprintf("(%s %s %s)", op, x, y))
		case op == "ATAN":
			y, x := pop(), pop()
			values = append(values, fmt.Sprintf("(ATAN %s %s)", x, y))
		default:
			values = append(values, fmt.Sprintf("(%s %s )", op, pop()))
		}
	}
	top := func() string {
		if len(ops) == 0 {
			return ""
		}
		return ops[len(ops)-1]
	}
	// A # takes the one value behind it as soon as that is there, and so does a
	// function; ATAN waits for its second bracket.
	settle := func() {
		for top() != "" && top() != "[" && oracleLevel[top()] == 0 && top() != "ATAN" {
			apply()
		}
	}
	waiting := 0             // ATANs whose first bracket is closed: the / and [ follow
	second := map[int]bool{} // by depth of the stack: the next bracket is the second of an ATAN
	for i := 0; i < len(tokens); i++ {
		switch tok := tokens[i]; {
		case tok == "[":
			ops = append(ops, "[")
		case tok == "]":
			for top() != "[" {
				apply()
			}
			ops = ops[:len(ops)-1]
			if top() == "ATAN" && !second[len(ops)] {
				second[len(ops)] = true // first bracket done; pass the slash
				waiting++
				i++
				continue
			}
			if top() == "ATAN" {
				delete(second, len(ops))
				waiting--
				apply()
			}
			settle()
		case tok == "#" || oracleLevel[tok] == 0 && tok[0] >= 'A':
			ops = append(ops, tok)
		case oracleLevel[tok] > 0:
			for oracleLevel[top()] >= oracleLevel[tok] {
				apply()
			}
			ops = append(ops, tok)
		default:
			var v float64
			if _, err := fmt.Sscanf(tok, "%g", &v); err != nil {
				panic(err)
			}
			values = append(values, fmt.Sprintf("%v", v+0))
			settle()
		}
	}
	for len(ops) > 0 {
		apply()
	}
	if waiting != 0 || len(values) != 1 {
		panic("the oracle is lost")
	}
	return values[0]
}

func TestParserAgreesWithOracle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := lineGenerator{t: t}
		g.real(3)
		text := g.b.String()
		if len(text) >= DefaultMaxLine {
			t.Skip("too long a line")
		}
		b, err := NewReader(strings.NewReader("X"+text), Options{}).Next()
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if got, want := treeOf(b.Words[0].Value), oracle(text); got != want {
			t.Fatalf("%q read as %s, not %s", text, got, want)
		}
	})
}
