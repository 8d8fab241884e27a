package deps

import (
	_ "github.com/go-text/typesetting/shaping"
	_ "github.com/goccy/go-yaml"
	_ "github.com/goccy/go-yaml/parser"
	_ "github.com/golang/freetype/raster"
	_ "github.com/rogpeppe/go-internal/testscript"
	_ "github.com/schollz/progressbar/v3"
	_ "github.com/stretchr/testify/assert"
	_ "github.com/stretchr/testify/require"
	_ "github.com/tidwall/rtree"
	_ "github.com/urfave/cli/v2"
	_ "golang.org/x/image/font/gofont/goregular"
	_ "golang.org/x/image/font/sfnt"
	_ "golang.org/x/image/vector"
	_ "gonum.org/v1/gonum/mat"
	_ "gonum.org/v1/gonum/optimize"
	_ "gonum.org/v1/gonum/optimize/convex/lp"
	_ "pgregory.net/rapid"
)
