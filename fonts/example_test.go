package fonts_test

import (
	"fmt"

	"proofcut/fonts"
	"proofcut/paths/geom"
)

// A name set in the single-stroke face; every stroke is a path of lines and
// arcs for the tool.
func ExampleLayout() {
	text, err := fonts.Layout(fonts.Plain(), "Ida 7", 10, fonts.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d strokes, %.1f mm wide\n", len(text.Strokes), text.Width)
	for _, line := range drawing(text.Strokes, text.Bounds.Grow(0.5), 0.6, 1.2) {
		fmt.Println(line)
	}
	// Output:
	// 6 strokes, 28.0 mm wide
	// ##           ##                       ##########
	// ##           ##                               ##
	// ##       ##  ##       ###  #                 ##
	// ##    ###  ####    ###  #####               ##
	// ##   ##      ##   ##      ###               ##
	// ##   ##      ##   ##       ##              ##
	// ##   ##      ##   ##       ##             ##
	// ##   ##      ##   ###     ###            ###
	// ##    #########     #########            ##
}

// The largest name that a 22 x 5 mm flat takes with a margin of 0.8 mm, cut
// 0.14 mm wide.
func ExampleFit() {
	flat := geom.Box{Max: geom.Pt(22, 5)}
	o := fonts.FitOptions{Margins: fonts.Even(0.8), CutWidth: 0.14, MinHeight: 1.2, MaxHeight: 3}
	for _, name := range []string{"Ida", "Jolanta Illing", "Bartholomew Quillfeather Esq."} {
		text, err := fonts.Fit(fonts.Plain(), name, flat, o)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%s: capitals %.2f mm, X %.2f to %.2f\n", name, text.CapHeight, text.Bounds.Min.X, text.Bounds.Max.X)
	}
	// Output:
	// Ida: capitals 3.00 mm, X 8.60 to 13.40
	// Jolanta Illing: capitals 2.39 mm, X 0.87 to 21.13
	// the text fits 20.26 x 3.26 mm only with capitals of 1.002 mm: at least 1.200 mm are asked for
}

// Text round a ring, as on the bell of an instrument.
func ExampleAround() {
	ring := fonts.Circle{Radius: 9, Middle: 1.5707963267948966}
	text, err := fonts.Around(fonts.Plain(), "HARBOUR", 4, ring, fonts.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, line := range drawing(text.Strokes, text.Bounds.Grow(0.3), 0.35, 0.7) {
		fmt.Println(line)
	}
	// Output:
	// #######
	//                       #####      ##    ##         ##
	//                    ###    ###    ##    ##      ### ####
	//                     ##     ##    ########     ##     ##
	//                      ## ####     ##     ##   ##      ##
	//                      ###  ####   ##    ###  ##      ##      ###
	//           ####        ##     ### #######     ##    ##    ###
	//            ## #####    ##                     ######   ###       ##
	//             ## #######                                ##       ###
	//              ###                                      ##     ###
	//               ##                                       #######
	//    #####       ##                                                #######
	//        #######                                              ######     ##
	//       ###                                                        ##    ##
	// ##### ##                                                        ########
	//      #####                                                    ###
	//           ##                                                 ##
}

// An outline face gives regions.
func ExampleNamed() {
	face, err := fonts.Named("go-bold")
	if err != nil {
		fmt.Println(err)
		return
	}
	text, err := fonts.Layout(face, "R8", 10, fonts.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, line := range filled(text.Region, text.Bounds, 0.5) {
		fmt.Println(line)
	}
	// Output:
	// ############          ########
	// ##############      ####   ####
	// ####      #####     ###     ###
	// ####       ####     #####  ####
	// ####     #####        #######
	// ###########          #########
	// ####    ####       ####    #####
	// ####     #####     ####      ###
	// ####      #####    ####     ####
	// ####        ####    ###########
}
