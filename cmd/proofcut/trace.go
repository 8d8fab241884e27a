package main

import (
	"errors"
	"fmt"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"proofcut/gcode/release"
	"proofcut/paths/geom"
	"proofcut/paths/setup"
	"proofcut/paths/slab/scan"
)

func traceCommand() *cli.Command {
	return &cli.Command{
		Name:         "trace",
		Usage:        "find the outline and holes of a slab in a scan or square-on photo",
		ArgsUsage:    "PICTURE",
		OnUsageError: usage,
		Description: "Writes NAME.svg, the outline as a drawing that a job's stock can name, and\n" +
			"NAME.trace.png, the outline over the picture: look at it before you cut. Lay the\n" +
			"slab on a bed of another tone, wholly in the picture, with nothing touching it. A\n" +
			"reference square is printed filled or as a frame, stands free, and lies at the\n" +
			"height of the face that is traced: a photo shows a nearer face larger.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "dpi", Usage: "the picture has `N` pixels an inch, whatever it says itself"},
			&cli.StringFlag{Name: "square", Usage: "a printed square of this `SIDE` lies in the picture: it gives the scale and undoes rotation and perspective"},
			&cli.StringFlag{Name: "square-at", Usage: "the square is the one at the pixel `X,Y`, from the upper left"},
			&cli.StringFlag{Name: "bed", Value: "auto", Usage: "the bed is `light|dark`, or as it is along the picture's edge (auto)"},
			&cli.StringFlag{Name: "tone", Value: "srgb", Usage: "the numbers are encoded as scanners and cameras do (`srgb|linear`), or proportional to light"},
			&cli.StringFlag{Name: "speck", Value: "0.5mm", Usage: "what is thinner than this `WIDTH` is dirt"},
			&cli.StringFlag{Name: "tolerance", Usage: "lines and arcs keep within this `LENGTH` of the edge (a quarter of a pixel unless given)"},
			&cli.IntFlag{Name: "piece", Usage: "of several pieces take number `N` by size, 1 the largest"},
			&cli.BoolFlag{Name: "mirror", Usage: "the face that was on the glass will lie on the plate: turn the picture over"},
			&cli.BoolFlag{Name: "points", Usage: "write NAME.csv, points round the outline, and NAME.holes.csv as well"},
			&cli.StringFlag{Name: "out", Value: ".", Usage: "write the files into `DIR`; it is made when it is missing"},
		},
		Action: func(c *cli.Context) error {
			path, err := fileArgument(c, "picture")
			if err != nil {
				return err
			}
			o, err := traceOptions(c)
			if err != nil {
				return usageError{err}
			}
			p, err := readPicture(path)
			if err != nil {
				return err
			}
			t, err := scan.Find(p, o)
			if err != nil {
				return usageError{fmt.Errorf("%s: %w%s", path, err, flagFor(err))}
			}
			printTrace(c.App.Writer, t)
			return writeTrace(c, p, t, strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
		},
	}
}

// traceOptions reads the flags.
func traceOptions(c *cli.Context) (o scan.Options, err error) {
	length := func(name string, to *float64) {
		if c.String(name) == "" || err != nil {
			return
		}
		if *to, err = setup.ParseLength(c.String(name), setup.MM); err == nil && *to <= 0 {
			err = errors.New("it has to be more than 0")
		}
		if err != nil {
			err = fmt.Errorf("--%s %s: %w", name, c.String(name), err)
		}
	}
	length("square", &o.Square)
	length("speck", &o.Speck)
	length("tolerance", &o.Tolerance)
	if err != nil {
		return o, err
	}
	if s := c.String("dpi"); s != "" {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			return o, fmt.Errorf("--dpi %s: it is no number; write for example --dpi 300", s)
		}
		r := scan.DPI(v)
		o.Resolution = &r
	}
	if s := c.String("square-at"); s != "" {
		x, y, ok := strings.Cut(s, ",")
		px, err1 := strconv.ParseFloat(x, 64)
		py, err2 := strconv.ParseFloat(y, 64)
		if !ok || err1 != nil || err2 != nil {
			return o, fmt.Errorf("--square-at %s: write a pixel as X,Y, for example --square-at 420,300", s)
		}
		o.SquareAt = &geom.Point{X: px, Y: py}
	}
	var ok bool
	if o.Bed, ok = map[string]scan.Bed{"auto": scan.AutoBed, "light": scan.LightBed, "dark": scan.DarkBed}[c.String("bed")]; !ok {
		return o, fmt.Errorf("--bed %s: it is light, dark or auto", c.String("bed"))
	}
	if o.Tone, ok = map[string]scan.Tone{"srgb": scan.ToneSRGB, "linear": scan.ToneLinear}[c.String("tone")]; !ok {
		return o, fmt.Errorf("--tone %s: it is srgb or linear", c.String("tone"))
	}
	o.Piece, o.Mirror = c.Int("piece"), c.Bool("mirror")
	return o, nil
}

// readPicture opens and decodes a picture.
func readPicture(path string) (*scan.Picture, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && (info.IsDir() || info.Mode()&os.ModeDevice != 0) {
		return nil, usageError{fmt.Errorf("%s is no file that could hold a picture", path)}
	}
	p, err := scan.Decode(f)
	if err != nil {
		return nil, usageError{fmt.Errorf("%s: %w", path, err)}
	}
	return p, nil
}

// flagFor names the flags that mend a fault.
func flagFor(err error) string {
	var e *scan.Error
	if !errors.As(err, &e) {
		return ""
	}
	switch e.Fault {
	case scan.NoScale:
		return " (--dpi 300, or --square 50mm)"
	case scan.SeveralPieces:
		return " (--piece 1, or --speck 3mm)"
	case scan.SeveralSquares:
		return " (--square-at X,Y)"
	}
	return ""
}

// printTrace prints sizes, holes and residuals.
func printTrace(w io.Writer, t *scan.Trace) {
	fmt.Fprintf(w, "outline   %.2f x %.2f mm, %.1f mm2 without the holes, %s; %v bed, a pixel is %.4f mm\n",
		t.Width, t.Height, t.Area, count(len(t.Outline), "segment"), t.Bed, t.Pixel)
	fmt.Fprintf(w, "edge      %d points, %.4f mm (rms) and %.4f mm at most from the outline, seen along %.1f %% of it\n",
		t.Points, t.RMS, t.Max, 100*t.Seen)
	if t.Unseen() {
		fmt.Fprintf(w, "          no edge along %.2f mm at (%.2f, %.2f): the outline is straight there\n", t.Blind, t.BlindAt.X, t.BlindAt.Y)
	}
	if s := t.Square; s != nil {
		m := s.Corners[0].Lerp(s.Corners[2], 0.5)
		fmt.Fprintf(w, "square    at the pixel (%.0f, %.0f), sides straight to %.2f pixels (rms), pixels differ by %.2f %% across it\n",
			m.X, m.Y, s.RMS, 100*(s.Slant-1))
	}
	for i, h := range t.Holes {
		what := fmt.Sprintf("round, diameter %.3f mm", h.Diameter)
		if !h.Round {
			size := h.Contour.Bounds().Size()
			what = fmt.Sprintf("free, %.2f x %.2f mm", size.X, size.Y)
		}
		fmt.Fprintf(w, "hole %-4d %s at (%.3f, %.3f), residual %.4f mm (rms) and %.4f mm at most\n", i+1, what, h.Centre.X, h.Centre.Y, h.RMS, h.Max)
	}
	if n := len(t.Ignored); n > 0 {
		d := t.Ignored[0]
		fmt.Fprintf(w, "ignored   %s thinner than %g mm, the longest %.1f mm at (%.1f, %.1f)\n", count(n, "spot"), t.Speck, d.Size, d.At.X, d.At.Y)
	}
}

// writeTrace writes the files, each whole or not at all.
func writeTrace(c *cli.Context, p *scan.Picture, t *scan.Trace, name string) error {
	over, err := t.Overlay(p)
	if err != nil {
		return outputError{err}
	}
	if err := os.MkdirAll(c.String("out"), 0o755); err != nil {
		return outputError{err}
	}
	base := filepath.Join(c.String("out"), name)
	files := []struct {
		path  string
		write func(io.Writer) error
	}{
		{base + ".trace.png", func(w io.Writer) error { return png.Encode(w, over) }},
		{base + ".csv", t.WritePoints},
		{base + ".holes.csv", t.WriteHoles},
		{base + ".svg", t.WriteSVG},
	}
	if !c.Bool("points") {
		files = append(files[:1], files[3])
	}
	for _, f := range files {
		if err := release.WriteFile(f.path, f.write); err != nil {
			return outputError{err}
		}
	}
	fmt.Fprintf(c.App.Writer, "wrote     %s.svg; look at %s.trace.png before you cut\n", base, base)
	return nil
}
