package job

import (
	"errors"
	"fmt"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"

	"proofcut/paths/setup"
)

// reader walks a parsed YAML document and gathers everything wrong with it.
type reader struct {
	file string
	dir  string // where the files that the document names are looked for
	unit setup.Unit
	errs ErrorList

	grain *float64 // of the stock, nil: none
}

// maxDocument is far more than any hand-written job and little enough to be
// read at once.
const maxDocument = 1 << 20

// maxDepth bounds nesting in a job document; ours needs six levels.
const maxDepth = 40

func parseYAML(file string, data []byte) (ast.Node, error) {
	if len(data) > maxDocument {
		return nil, &Error{File: file, Msg: fmt.Sprintf("the file has %d bytes; a job has at most %d", len(data), maxDocument)}
	}
	if err := shallow(file, data); err != nil {
		return nil, err
	}
	doc, err := parser.ParseBytes(data, 0)
	if err != nil {
		var se yaml.Error
		if errors.As(err, &se) && se.GetToken() != nil {
			p := se.GetToken().Position
			return nil, &Error{File: file, Line: p.Line, Col: p.Column, Msg: "not YAML: " + se.GetMessage()}
		}
		return nil, &Error{File: file, Msg: "not YAML: " + firstLine(err.Error())}
	}
	switch {
	case len(doc.Docs) == 0 || doc.Docs[0].Body == nil:
		return nil, &Error{File: file, Msg: "the file is empty; a job starts with a line such as 'job: name'"}
	case len(doc.Docs) > 1:
		return nil, &Error{File: file, Msg: "the file holds more than one document; keep one job in a file"}
	}
	return doc.Docs[0].Body, nil
}

// shallow refuses text whose brackets or indents nest so deep that a recursive
// parser would exhaust its stack.
func shallow(file string, data []byte) error {
	open, line := 0, 1
	dashes, fresh := 0, true
	for _, c := range data {
		switch c {
		case '[', '{':
			open++
		case ']', '}':
			open--
		case '\n':
			line++
			dashes, fresh = 0, true
			continue
		}
		if fresh && c == '-' || fresh && c == '?' {
			dashes++
		} else if c != ' ' {
			fresh = false
		}
		if open > maxDepth || dashes > maxDepth {
			return &Error{File: file, Line: line, Col: 1, Msg: fmt.Sprintf("nested deeper than %d levels", maxDepth)}
		}
	}
	return nil
}

func firstLine(s string) string {
	s, _, _ = strings.Cut(s, "\n")
	return s
}

func (r *reader) fail(n ast.Node, format string, args ...any) {
	e := &Error{File: r.file, Msg: fmt.Sprintf(format, args...)}
	if n != nil && n.GetToken() != nil {
		p := n.GetToken().Position
		e.Line, e.Col = p.Line, p.Column
	}
	r.errs = append(r.errs, e)
}

// mapping is a YAML mapping being read; keys that nothing asks for are errors.
type mapping struct {
	r      *reader
	node   ast.Node
	what   string // for messages: "tool", "stock"
	keys   []string
	values map[string]*ast.MappingValueNode
	asked  map[string]bool
	order  []string // keys asked for, for the hint
}

// mapping returns nil, after noting the error, when n is not a mapping.
func (r *reader) mapping(n ast.Node, what string) *mapping {
	m := &mapping{r: r, node: n, what: what, values: map[string]*ast.MappingValueNode{}, asked: map[string]bool{}}
	var list []*ast.MappingValueNode
	switch n := n.(type) {
	case *ast.MappingNode:
		list = n.Values
	case *ast.MappingValueNode:
		list = []*ast.MappingValueNode{n}
	default:
		r.fail(n, "%s has to be a group of 'key: value' lines", what)
		return nil
	}
	for _, v := range list {
		key, ok := v.Key.(*ast.StringNode)
		if !ok {
			r.fail(v.Key, "a key in %s has to be a plain word", what)
			continue
		}
		if _, twice := m.values[key.Value]; twice {
			r.fail(v.Key, "%s has the key %q twice", what, key.Value)
			continue
		}
		m.keys = append(m.keys, key.Value)
		m.values[key.Value] = v
	}
	return m
}

// done reports every key that was not asked for.
func (m *mapping) done() {
	for _, k := range m.keys {
		if m.asked[k] {
			continue
		}
		hint := "known keys: " + strings.Join(m.order, ", ")
		if n := nearest(k, m.order); n != "" {
			hint = fmt.Sprintf("did you mean %q?", n)
		}
		m.r.fail(m.values[k].Key, "%s has no key %q; %s", m.what, k, hint)
	}
}

func (m *mapping) get(key string) (ast.Node, bool) {
	if !m.asked[key] {
		m.asked[key] = true
		m.order = append(m.order, key)
	}
	v, ok := m.values[key]
	if !ok {
		return nil, false
	}
	if _, null := v.Value.(*ast.NullNode); null || v.Value == nil {
		m.r.fail(v.Key, "%s: %s has no value", m.what, key)
		return nil, false
	}
	return v.Value, true
}

// at returns where a key's value stands, or the mapping when it is missing.
func (m *mapping) at(key string) ast.Node {
	if v, ok := m.values[key]; ok && v.Value != nil {
		return v.Value
	}
	return m.node
}

func (m *mapping) has(key string) bool {
	_, ok := m.values[key]
	return ok
}

// need is get for a key that must be there.
func (m *mapping) need(key, example string) (ast.Node, bool) {
	if n, ok := m.get(key); ok {
		return n, true
	}
	if !m.has(key) {
		m.r.fail(m.node, "%s lacks %q; write for example '%s: %s'", m.what, key, key, example)
	}
	return nil, false
}

// lookup is get for a key that may be missing, need for one that may not.
func (m *mapping) lookup(key, example string, optional bool) (ast.Node, bool) {
	if optional {
		return m.get(key)
	}
	return m.need(key, example)
}

// scalar returns the text of a plain value as it stands in the file.
func (r *reader) scalar(n ast.Node, what string) (string, bool) {
	switch n := n.(type) {
	case *ast.StringNode:
		return n.Value, true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		return n.GetToken().Value, true
	case *ast.LiteralNode:
		return strings.TrimRight(n.Value.Value, "\n"), true
	case *ast.AliasNode, *ast.AnchorNode, *ast.TagNode:
		r.fail(n, "%s: anchors, aliases and tags are not used in a job; write the value itself", what)
	default:
		r.fail(n, "%s has to be a single value", what)
	}
	return "", false
}

func (r *reader) sequence(n ast.Node, what string) ([]ast.Node, bool) {
	s, ok := n.(*ast.SequenceNode)
	if !ok {
		r.fail(n, "%s has to be a list", what)
		return nil, false
	}
	return s.Values, true
}

// quantity reads key with parse. With def nil the key must be there.
func (m *mapping) quantity(key, example string, def *float64, parse func(string) (float64, error)) float64 {
	n, ok := m.lookup(key, example, def != nil)
	if !ok {
		if def != nil {
			return *def
		}
		return 0
	}
	s, ok := m.r.scalar(n, m.what+": "+key)
	if !ok {
		return 0
	}
	v, err := parse(s)
	if err != nil {
		m.r.fail(n, "%s: %s: %v", m.what, key, err)
	}
	return v
}

func (r *reader) parseLength(s string) (float64, error) { return setup.ParseLength(s, r.unit) }
func (r *reader) parseFeed(s string) (float64, error)   { return setup.ParseFeed(s, r.unit) }

// length reads a length that has to be there.
func (m *mapping) length(key, example string) float64 {
	return m.quantity(key, example, nil, m.r.parseLength)
}

// lengthOr reads a length that may be missing.
func (m *mapping) lengthOr(key string, def float64) float64 {
	return m.quantity(key, "", &def, m.r.parseLength)
}

// positive reads a length that has to be there and above zero.
func (m *mapping) positive(key, example string) float64 {
	return m.above(key, m.length(key, example), 0)
}

// above reports a value that is there but not above the limit.
func (m *mapping) above(key string, v, limit float64) float64 {
	if m.has(key) && !(v > limit) && !m.failed(key) {
		m.r.fail(m.values[key].Value, "%s: %s has to be more than %g", m.what, key, limit)
	}
	return v
}

// atLeast reports a value that is there but below the limit.
func (m *mapping) atLeast(key string, v, limit float64) float64 {
	if m.has(key) && v < limit && !m.failed(key) {
		m.r.fail(m.values[key].Value, "%s: %s has to be %g or more", m.what, key, limit)
	}
	return v
}

// failed reports whether an error was already noted at the key's value.
func (m *mapping) failed(key string) bool {
	t := m.values[key].Value.GetToken()
	if t == nil {
		return false
	}
	for _, e := range m.r.errs {
		if e.Line == t.Position.Line && e.Col == t.Position.Column {
			return true
		}
	}
	return false
}

func (m *mapping) text(key, example string) string {
	n, ok := m.need(key, example)
	if !ok {
		return ""
	}
	s, _ := m.r.scalar(n, m.what+": "+key)
	if strings.TrimSpace(s) == "" {
		m.r.fail(n, "%s: %s is empty", m.what, key)
	}
	return s
}

func (m *mapping) textOr(key, def string) string {
	if n, ok := m.get(key); ok {
		s, _ := m.r.scalar(n, m.what+": "+key)
		return s
	}
	return def
}

func (m *mapping) yes(key string, def bool) bool {
	n, ok := m.get(key)
	if !ok {
		return def
	}
	if b, ok := n.(*ast.BoolNode); ok {
		return b.Value
	}
	m.r.fail(n, "%s: %s has to be true or false", m.what, key)
	return def
}

func (m *mapping) whole(key, example string, def *int, least, most int) int {
	n, ok := m.lookup(key, example, def != nil)
	if !ok {
		if def != nil {
			return *def
		}
		return least
	}
	s, ok := m.r.scalar(n, m.what+": "+key)
	if !ok {
		return least
	}
	var v int
	var rest string
	if c, _ := fmt.Sscanf(s+" ", "%d%s", &v, &rest); c != 1 || v < least || v > most {
		m.r.fail(n, "%s: %s has to be a whole number from %d to %d, not %q", m.what, key, least, most, s)
		return least
	}
	return v
}

// choice reads one of a few words; def "" means that the key must be there.
func (m *mapping) choice(key, def string, options ...string) string {
	n, ok := m.lookup(key, options[0], def != "")
	if !ok {
		return def
	}
	s, ok := m.r.scalar(n, m.what+": "+key)
	if !ok {
		return def
	}
	for _, o := range options {
		if s == o {
			return s
		}
	}
	hint := ""
	if near := nearest(s, options); near != "" {
		hint = fmt.Sprintf("; did you mean %q?", near)
	}
	m.r.fail(n, "%s: %s is one of %s, not %q%s", m.what, key, strings.Join(options, ", "), s, hint)
	return def
}
