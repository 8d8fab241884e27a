package gcode_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const module = "proofcut"

// imports returns, for every package of the module, which packages of the module
// it imports, tests left out.
func imports(t *testing.T) map[string][]string {
	root, err := filepath.Abs("..")
	require.NoError(t, err)
	_, err = os.Stat(filepath.Join(root, "go.mod"))
	require.NoError(t, err, "the module's root is expected above this package")
	graph := map[string][]string{}
	err = filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if n := d.Name(); name != root && (n == "testdata" || strings.HasPrefix(n, ".") || strings.HasPrefix(n, "_")) {
				return filepath.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		rel, err := filepath.Rel(root, filepath.Dir(name))
		if err != nil {
			return err
		}
		pkg := path.Join(module, filepath.ToSlash(rel))
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		graph[pkg] = append(graph[pkg], []string{}...)
		for _, i := range file.Imports {
			p, err := strconv.Unquote(i.Path.Value)
			if err != nil {
				return err
			}
			if p == module || strings.HasPrefix(p, module+"/") {
				graph[pkg] = append(graph[pkg], p)
			}
		}
		return nil
	})
	require.NoError(t, err)
	return graph
}

// reach returns what the package imports, over others too, and by which way.
func reach(graph map[string][]string, pkg string) map[string]string {
	seen := map[string]string{}
	todo := []string{pkg}
	way := map[string]string{pkg: pkg}
	for len(todo) > 0 {
		p := todo[0]
		todo = todo[1:]
		next := append([]string(nil), graph[p]...)
		sort.Strings(next)
		for _, q := range next {
			if _, ok := way[q]; !ok {
				way[q] = way[p] + " > " + q
				seen[q] = way[q]
				todo = append(todo, q)
			}
		}
	}
	return seen
}

func under(pkg, dir string) bool { return pkg == dir || strings.HasPrefix(pkg, dir+"/") }

// The checking side never imports the generating side, so that a fault of a
// strategy cannot hide in the check: between them only the text is handed over.
func TestWall(t *testing.T) {
	graph := imports(t)
	require.Contains(t, graph, module+"/gcode")
	require.Contains(t, graph, module+"/gcode/interp")
	generating := func(p string) bool {
		return p == module+"/paths" || under(p, module+"/paths/nest") || under(p, module+"/paths/hold") || under(p, module+"/paths/job") ||
			under(p, module+"/fonts") || under(p, module+"/gcode/post") || under(p, module+"/cmd")
	}
	// Cutting data are physics and sources, no strategy: both sides may use them as
	// long as they know nothing of how a cut is planned.
	for p, way := range reach(graph, module+"/paths/cutdata") {
		assert.Contains(t, []string{module + "/paths/geom", module + "/paths/setup"}, p, way)
	}
	checked := 0
	for pkg := range graph {
		if pkg != module+"/gcode" && !under(pkg, module+"/gcode/interp") &&
			!under(pkg, module+"/gcode/proof") && !under(pkg, module+"/gcode/drawing") {
			continue
		}
		checked++
		for p, way := range reach(graph, pkg) {
			assert.False(t, generating(p), "the wall is broken: %s", way)
		}
	}
	assert.GreaterOrEqual(t, checked, 2)
}

// The language imports nothing of the module, the interpreter only the language
// and plane geometry.
func TestRooms(t *testing.T) {
	graph := imports(t)
	assert.Empty(t, graph[module+"/gcode"])
	for p, way := range reach(graph, module+"/gcode/interp") {
		assert.Contains(t, []string{module + "/gcode", module + "/paths/geom"}, p, way)
	}
}

// The second reader of programs shares nothing with the first, and what stands on
// it decides nothing by the interpreter.
func TestPlainReaderIsAlone(t *testing.T) {
	graph := imports(t)
	require.Contains(t, graph, module+"/gcode/proof/prooftest/plain")
	assert.Empty(t, graph[module+"/gcode/proof/prooftest/plain"])
	assert.NotContains(t, graph[module+"/gcode/proof/prooftest"], module+"/gcode/interp")
}

// The search itself finds what it must find.
func TestReach(t *testing.T) {
	graph := map[string][]string{"a": {"b"}, "b": {"c", "a"}, "c": nil, "d": {"a"}}
	assert.Equal(t, map[string]string{"b": "a > b", "c": "a > b > c"}, reach(graph, "a"))
}
