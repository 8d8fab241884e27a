package scan_test

import (
	"fmt"
	"image/color"

	"proofcut/paths/geom"
	"proofcut/paths/slab/scan"
	"proofcut/paths/slab/scan/scantest"
)

// A brass plate of 30 x 20 mm with a hole of 5 mm on the lid of a scanner.
func ExampleFind() {
	plate := []geom.Contour{geom.Rect(geom.Pt(8, 9), geom.Pt(38, 29), 3), geom.Circle(geom.Pt(15, 19), 2.5).Reverse()}
	scene := scantest.Scene{Width: 46, Height: 38, DPI: 300, Bed: color.NRGBA{245, 245, 242, 255}, Noise: 3, Blur: 1,
		Layers: []scantest.Layer{{Shape: plate, Colour: color.NRGBA{190, 150, 60, 255}}}}
	picture, err := scan.FromImage(scene.Render())
	if err != nil {
		fmt.Println(err)
		return
	}
	resolution := scan.DPI(300)
	t, err := scan.Find(picture, scan.Options{Resolution: &resolution})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f x %.1f mm on a %v bed\n", t.Width, t.Height, t.Bed)
	for _, h := range t.Holes {
		fmt.Printf("hole at (%.1f, %.1f), round %v, diameter %.1f\n", h.Centre.X, h.Centre.Y, h.Round, h.Diameter)
	}
	_, err = scan.Find(picture, scan.Options{})
	fmt.Println(err)
	// Output:
	// 30.0 x 20.0 mm on a light bed
	// hole at (7.0, 10.0), round true, diameter 5.0
	// the picture does not say its resolution: state it in dpi, or lay a printed square of known size beside the piece and state its side
}
